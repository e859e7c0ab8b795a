"""Short codes for the blocks of a file: what stands on the map, on labels and in addresses."""

import re
from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import Any

__all__ = ["block_codes", "code_and_name"]

_MOST_OF_A_NAME = 6
_MOST_OF_A_CODE = 20
_NUMBERED = re.compile(r"B([0-9]{1,9})[a-z]*")


def code_and_name(feature: Mapping[str, Any]) -> tuple[str, str]:
    """Return the code that a file gives a block, under the names that our own exports use (empty where none), and its name."""
    for key in ("code", "block"):
        said = feature["properties"].get(key)
        if isinstance(said, float) and said.is_integer():
            said = int(said)
        if isinstance(said, str | int | float) and not isinstance(said, bool) and str(said).strip():
            return str(said), feature["name"]
    return "", feature["name"]


def block_codes(said: Sequence[tuple[str, str]], taken: Collection[str] = ()) -> list[str]:
    """Return a short code for each block of a file; the browser makes the same ones (`tests/vectors/block_codes`).

    Parameters
    ----------
    said : sequence of (str, str)
        Code and name of each block, as the file says them; empty where it does not.
    taken : collection of str
        Codes that are not to be had.

    Returns
    -------
    list of str
        What the file calls a code is kept where no two of its codes are alike; a code or a name of up to six letters is kept
        by the first block that has it; all others are numbered B1, B2, ... by their place in the file, after the numbers that
        are not to be had.

    Examples
    --------
    >>> block_codes([("", "Kiln"), ("", "The long field"), ("", "Kiln")])
    ['Kiln', 'B2', 'B3']
    """
    pairs = [(" ".join(code.split()), " ".join(name.split())) for code, name in said]
    codes = [code for code, _ in pairs if code]
    most = _MOST_OF_A_CODE if len(set(codes)) == len(codes) else _MOST_OF_A_NAME
    used = set(taken)
    own: list[str | None] = []
    for code, name in pairs:
        text, longest = (code, most) if code else (name, _MOST_OF_A_NAME)
        kept = text if text and len(text) <= longest and text not in used else None
        own.append(kept)
        used |= {kept} if kept is not None else set()
    start = _highest(taken)
    free = max(start + len(own), _highest(code for code in own if code is not None))
    made = []
    for place, kept in enumerate(own, 1):
        code = kept or f"B{start + place}"
        if kept is None and code in used:
            free += 1
            code = f"B{free}"
        made.append(code)
    return made


def _highest(codes: Iterable[str]) -> int:
    """Return the highest number among B1, B2, ...; 0 where there is none."""
    found = [_NUMBERED.fullmatch(code) for code in codes]
    return max((int(match[1]) for match in found if match), default=0)
