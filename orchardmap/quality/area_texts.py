"""What a weak area and the level that they are held to say, in words. Pure."""

from math import floor, log10

from orchardmap.locale.catalogue import message, translated
from orchardmap.locale.numbers import whole_text
from orchardmap.quality.weak_areas import WeakArea

__all__ = ["level_text", "odds_text"]

_ODDS = message("{faulty} of {checked} faulty; chance alone: 1 in {of}")
_LESS = message("{faulty} of {checked} faulty; chance alone: less than 1 in {of}")
_RECHECK = message("{odds}; of {checked} new trees {faulty} faulty")
_LEVEL = message("Blocks with enough checks to look at: {blocks}. In a season without any weak area one is shown 1 time in {of}, by chance alone.")  # fmt: skip
_LEVEL_ONE = message("One block has enough checks to look at. In a season without any weak area one is shown 1 time in {of}, by chance alone.")  # fmt: skip
_NO_BLOCKS = message("No block has enough checks, with faulty trees among them, to look for weak areas.")


def odds_text(area: WeakArea, *, deals: int, language: str) -> str:
    """Return what was found in an area and how often chance alone shows as much somewhere in its block.

    Parameters
    ----------
    area : WeakArea
    deals : int
        Permutations that its p rests on; where none of them showed as much, "less than" is said.
    language : str
        ISO 639-1 code; English where it has no catalogue.

    Returns
    -------
    str
        A phrase without a full stop, as lists and the map show it.

    Examples
    --------
    >>> area = WeakArea((3, 4), (5, 9), 14, 9, 10.7, 0.001, "suspect")
    >>> odds_text(area, deals=999, language="en"), odds_text(area, deals=3999, language="en")
    ('9 of 14 faulty; chance alone: less than 1 in 1,000', '9 of 14 faulty; chance alone: 1 in 1,000')
    """
    is_least = area.p * (deals + 1) < 1.5
    odds = translated(_LESS if is_least else _ODDS, language).format(
        faulty=area.faulty, checked=area.checked, of=whole_text(_one_in(area.p), language)
    )
    if area.recheck is None:
        return odds
    told = area.recheck
    return translated(_RECHECK, language).format(odds=odds, checked=told.checked, faulty=told.faulty)


def level_text(level: float, *, blocks: int, language: str) -> str:
    """Return what it means that weak areas are held to a level.

    Parameters
    ----------
    level : float, between 0 and 1
    blocks : int
        In which weak areas could be looked for.
    language : str
        ISO 639-1 code; English where it has no catalogue.

    Returns
    -------
    str

    Examples
    --------
    >>> level_text(0.05, blocks=31, language="en").split(". ")[1]
    'In a season without any weak area one is shown 1 time in 20, by chance alone.'
    """
    if not blocks:
        return translated(_NO_BLOCKS, language)
    return translated(_LEVEL if blocks > 1 else _LEVEL_ONE, language).format(
        blocks=whole_text(blocks, language),
        of=whole_text(_one_in(level), language),
    )


def _one_in(chance: float) -> int:
    """Return the number in "1 in so many", to two digits."""
    of = 1.0 / chance
    step: int = 10 ** max(0, floor(log10(of)) - 1)
    return max(1, int(round(of / step) * step))
