"""The order in which people look for codes of blocks: B2 before B10. Pure."""

import re
from unicodedata import combining, normalize

__all__ = ["CodeKey", "code_order"]

CodeKey = tuple[tuple[tuple[int, int, str], ...], str]

_SIGNS = " _-,;:!?.'\"()[]{}@*/\\&#%`^+<=>|~$"
"""Signs of ASCII in the order of the Unicode Collation Algorithm's default table, before any digit."""
_PARTS = re.compile(r"[0-9]+|.", re.DOTALL)


def code_order(code: str) -> CodeKey:
    """Return what sorts codes as people do: numbers by what they count, letters whatever their case and accents.

    Parameters
    ----------
    code : str

    Returns
    -------
    CodeKey
        Signs come before numbers, numbers before letters. Codes that are alike so far go by their plain text, so that no two
        codes have one key. The front end's order is the same (`tests/vectors/block_codes/order.json`).

    Examples
    --------
    >>> sorted(["K10", "K2", "b1", "B-2"], key=code_order)
    ['B-2', 'b1', 'K2', 'K10']
    """
    letters = (one for one in normalize("NFKD", code) if not combining(one))
    return tuple(_part(part) for part in _PARTS.findall("".join(letters))), code


def _part(part: str) -> tuple[int, int, str]:
    if part.isdecimal():
        return 1, int(part), ""
    at = _SIGNS.find(part)
    return (2, 0, part.casefold()) if at < 0 else (0, at, "")
