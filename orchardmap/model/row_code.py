"""What a row-end code says: the address of a row. Written here, read by the service and by ``web/src/core/row-code.ts``.

``<origin>/R/<block code>/<row>`` in upper case, each odd character of the code percent-encoded as UTF-8,
so that all of it fits the alphanumeric mode of a QR code. Case does not matter when it is read.
"""

import re
import unicodedata
from collections.abc import Collection, Iterable

from orchardmap.errors import InputError

__all__ = ["code_key", "matching", "read_origin", "read_row_list", "row_address"]

_PLAIN = frozenset("ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-.")
"""What stands for itself both in an address and in the alphanumeric mode; a dash and a dot are in both."""
_PART = re.compile(r"([0-9]{1,6})(?:\s*-\s*([0-9]{1,6}))?")
_ORIGIN = re.compile(r"(?i)https?://([a-z0-9]([a-z0-9-.]*[a-z0-9])?|\[[0-9a-f:.]+\])(:[0-9]{1,5})?/?")
_LARGEST_LIST = 100_000


def code_key(code: str) -> str:
    """Return what is compared of a block code: composed Unicode, upper case, single blanks.

    Returns
    -------
    str

    Examples
    --------
    >>> code_key(" h6 ")
    'H6'
    """
    return " ".join(unicodedata.normalize("NFC", code).upper().split())


def read_origin(text: str) -> str:
    """Return an origin as it is written into codes: scheme, host and port alone.

    Returns
    -------
    str

    Raises
    ------
    InputError
        If it is anything else.
    """
    if len(text) > 300 or not _ORIGIN.fullmatch(text.strip()):
        raise InputError(
            "is no address of a service",
            where=text[:80],
            todo="Give what tablets open, such as https://orchard.lan:8420, without a path.",
        )
    return text.strip().rstrip("/")


def row_address(origin: str, code: str, row: int, *, others: Collection[str] = ()) -> str:
    """Return what the code at a row's end says.

    Parameters
    ----------
    origin : str
        Scheme, host and port of the service; both are without case.
    code : str
        Of the block.
    row : int
        Its number.
    others : collection of str
        Further block codes of the farm: where one differs from this code by case alone, the code keeps its case.

    Returns
    -------
    str

    Raises
    ------
    InputError
        If the code is dots alone, which an address takes for a step up.

    Examples
    --------
    >>> row_address("https://orchard.lan", "h6", 12)
    'HTTPS://ORCHARD.LAN/R/H6/12'
    >>> row_address("https://orchard.lan", "Top field/2", 3)
    'HTTPS://ORCHARD.LAN/R/TOP%20FIELD%2F2/3'
    """
    if not code.strip("."):
        raise InputError("a block code of dots alone cannot stand in an address", where=code)
    has_twin = any(other != code and code_key(other) == code_key(code) for other in others)
    said = code if has_twin else code_key(code)
    safe = "".join(c if c in _PLAIN else "".join(f"%{byte:02X}" for byte in c.encode()) for c in said)
    return f"{origin.upper()}/R/{safe}/{row}"


def matching(said: str, codes: Iterable[str]) -> list[str]:
    """Return the block codes that a code read at a row's end can mean: the same one, else those that differ by case alone.

    Returns
    -------
    list of str

    Examples
    --------
    >>> matching("h6", ["H6", "H7"]), matching("h6", ["H6", "h6"])
    (['H6'], ['h6'])
    """
    known = list(codes)
    exact = [code for code in known if code == said]
    return exact or [code for code in known if code_key(code) == code_key(said)]


def read_row_list(text: str) -> list[int]:
    """Read row numbers such as ``1-20`` or ``3, 7-9``; each once, in order.

    Returns
    -------
    list of int

    Raises
    ------
    InputError
        If it is anything else, or far too long.

    Examples
    --------
    >>> read_row_list("3, 7-9")
    [3, 7, 8, 9]
    """
    found: set[int] = set()
    for part in text.split(","):
        read = _PART.fullmatch(part.strip())
        first, last = (int(read[1]), int(read[2] or read[1])) if read else (0, 0)
        if not 1 <= first <= last <= _LARGEST_LIST:
            raise InputError(
                "is no list of rows", where=text[:80], todo="Give row numbers such as 1-20, or 3,7-9."
            )
        found.update(range(first, last + 1))
    return sorted(found)
