"""What a weak area and the level that they are held to say, in words. Pure."""

from math import floor, log10

from orchardmap.locale.catalogue import message, translated
from orchardmap.locale.numbers import whole_text
from orchardmap.quality.weak_areas import WeakArea

__all__ = ["level_text", "odds_text"]

_ODDS = message("{faulty} of {checked} faulty; chance alone: 1 in {of}")
_ABOUT = message("{faulty} of {checked} faulty; chance alone: about 1 in {of}")
_LESS = message("{faulty} of {checked} faulty; chance alone: less than 1 in {of}")
_RECHECK = message("{odds}; of {checked} new trees {faulty} faulty")
_LEVEL = message("Blocks with enough checks to look at: {blocks}. In a season without any weak area one is shown 1 time in {of}, by chance alone.")  # fmt: skip
_LEVEL_ONE = message("One block has enough checks to look at. In a season without any weak area one is shown 1 time in {of}, by chance alone.")  # fmt: skip
# from so many permutations on that showed as much, their number tells the odds to a tenth: its standard error is its root
_TELLING = 100
_NO_BLOCKS = message("No block has enough checks, with faulty trees among them, to look for weak areas.")


def odds_text(area: WeakArea, *, deals: int, language: str) -> str:
    """Return what was found in an area and how often chance alone shows as much somewhere in its block.

    Parameters
    ----------
    area : WeakArea
    deals : int
        Permutations that its p rests on. Where none of them showed as much, "less than" is said; where few did, "about" and a number
        no finer than they can tell (1, 2 or 5 and zeros, never rarer than counted): by another draw they would be a few more or less.
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
    ('9 of 14 faulty; chance alone: less than 1 in 1,000', '9 of 14 faulty; chance alone: about 1 in 1,000')
    """
    reached = round(area.p * (deals + 1)) - 1
    words = _LESS if reached < 1 else _ABOUT if reached < _TELLING else _ODDS
    of = _round_one_in(area.p) if words is _ABOUT else _one_in(area.p)
    odds = translated(words, language).format(
        faulty=area.faulty, checked=area.checked, of=whole_text(of, language)
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


def _round_one_in(chance: float) -> int:
    """Return the number in "about 1 in so many": 1, 2 or 5 and zeros, the next below."""
    of = 1.0 / chance * (1.0 + 1e-9)
    step: int = 10 ** max(0, floor(log10(of)))
    return max(first for first in (1, 2, 5) if first * step <= of) * step
