"""What a plan lets pass, in words for people who have no use for a curve: always in a hundred, so that risks stand side by side."""

from orchardmap.locale.catalogue import message, translated
from orchardmap.locale.numbers import percent_text, whole_text
from orchardmap.quality.bounds import share
from orchardmap.quality.passing import faulty_in_lot, pass_chance

__all__ = ["risk_text"]

_ALWAYS = message("A lot of {lot} trees, {faulty} of them faulty ({percent}), always passes.")
_NEVER = message("A lot of {lot} trees, {faulty} of them faulty ({percent}), never passes.")
_ONCE = message("A lot of {lot} trees, {faulty} of them faulty ({percent}), passes 1 time in 100.")
_TIMES = message("A lot of {lot} trees, {faulty} of them faulty ({percent}), passes {times} times in 100.")
_HARDLY = message(
    "A lot of {lot} trees, {faulty} of them faulty ({percent}), passes less than 1 time in 100."
)
_NEARLY = message(
    "A lot of {lot} trees, {faulty} of them faulty ({percent}), is sent back less than 1 time in 100."
)


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
    'A lot of 100 trees, 10 of them faulty (10\xa0%), passes 36 times in 100.'
    """
    chance = float(
        pass_chance(n, accept, share(faulty_share, "faulty_share"), model="hypergeometric", lot=lot)
    )
    faulty = int(faulty_in_lot(faulty_share, lot))
    times = round(100 * chance)
    if faulty <= accept:
        words = _ALWAYS
    elif lot - faulty < n - accept:
        words = _NEVER
    elif chance < 0.01:
        words = _HARDLY
    elif chance > 0.99:
        words = _NEARLY
    else:
        words = _ONCE if times == 1 else _TIMES
    told = {
        "lot": whole_text(lot, language),
        "faulty": whole_text(faulty, language),
        "percent": percent_text(_rounded(100 * faulty / lot), language),
        "times": str(times),
    }
    return translated(words, language).format_map(told)


def _rounded(percent: float) -> float:
    """Return a share of whole trees as people say it: a tenth of a percent tells something only where there are few."""
    return round(percent, 0 if percent >= 10 else 1)
