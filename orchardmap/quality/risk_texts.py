"""What a plan lets pass, in words for people who have no use for a curve."""

from typing import NamedTuple

from orchardmap.locale.catalogue import message, translated
from orchardmap.locale.numbers import percent_text, whole_text
from orchardmap.quality.bounds import share
from orchardmap.quality.passing import faulty_in_lot, pass_chance

__all__ = ["Times", "in_times", "risk_text"]

_ALWAYS = message("A lot of {lot} trees, {faulty} of them faulty ({percent}), always passes.")
_NEVER = message("A lot of {lot} trees, {faulty} of them faulty ({percent}), never passes.")
_ONCE = message("A lot of {lot} trees, {faulty} of them faulty ({percent}), passes 1 time in {of}.")
_TIMES = message("A lot of {lot} trees, {faulty} of them faulty ({percent}), passes {times} times in {of}.")
_HARDLY = message(
    "A lot of {lot} trees, {faulty} of them faulty ({percent}), passes less than 1 time in {of}."
)
_NEARLY = message(
    "A lot of {lot} trees, {faulty} of them faulty ({percent}), is sent back less than 1 time in {of}."
)

_RAREST = 1000
_MIDDLE = ((1, 3), (2, 5), (1, 2), (3, 5), (2, 3))


class Times(NamedTuple):
    """So many times in so many."""

    times: int
    of: int


def in_times(chance: float) -> Times:
    """Return a chance as people say it: 1 time in 3, 2 times in 5, 19 times in 20.

    Parameters
    ----------
    chance : float, between 0 and 1, exclusive

    Returns
    -------
    Times
        From a third to two thirds the nearest of a third, 2 in 5, half, 3 in 5 and two thirds; else 1 in so many, or all
        but 1.

    Examples
    --------
    >>> in_times(0.32), in_times(0.44), in_times(0.947)
    (Times(times=1, of=3), Times(times=2, of=5), Times(times=18, of=19))
    """
    if 1 / 3 <= chance <= 2 / 3:
        return Times(*min(_MIDDLE, key=lambda pair: abs(pair[0] / pair[1] - chance)))
    of = max(3, round(1 / min(chance, 1 - chance)))
    return Times(1, of) if chance < 0.5 else Times(of - 1, of)


def risk_text(n: int, accept: int, faulty_share: float, *, lot: int, language: str) -> str:
    r"""Return how often a lot of this size passes, as a sentence.

    Parameters
    ----------
    n, accept : int
        The plan: trees checked, and the most faulty ones that pass.
    faulty_share : float, 0 to 1
        Of the lot's trees; rounded to whole trees, which are told with the share that they are.
    lot : int
        Trees in the lot, ``>= n``.
    language : str
        ISO 639-1 code; English where it has no catalogue.

    Returns
    -------
    str

    Raises
    ------
    InputError
        If a value is out of range.

    Examples
    --------
    >>> risk_text(20, 1, 0.1, lot=100, language="en")
    'A lot of 100 trees, 10 of them faulty (10\xa0%), passes 1 time in 3.'
    """
    chance = float(
        pass_chance(n, accept, share(faulty_share, "faulty_share"), model="hypergeometric", lot=lot)
    )
    faulty = int(faulty_in_lot(faulty_share, lot))
    times, of = Times(0, _RAREST)
    if faulty <= accept:
        words = _ALWAYS
    elif lot - faulty < n - accept:
        words = _NEVER
    elif chance < 1 / _RAREST:
        words = _HARDLY
    elif chance > 1 - 1 / _RAREST:
        words = _NEARLY
    else:
        times, of = in_times(chance)
        words = _ONCE if times == 1 else _TIMES
    told = {
        "lot": whole_text(lot, language),
        "faulty": whole_text(faulty, language),
        "percent": percent_text(_rounded(100 * faulty / lot), language),
        "times": str(times),
        "of": whole_text(of, language),
    }
    return translated(words, language).format_map(told)


def _rounded(percent: float) -> float:
    """Return a share of whole trees as people say it: a tenth of a percent tells something only where there are few."""
    return round(percent, 0 if percent >= 10 else 1)
