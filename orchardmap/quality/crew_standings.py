"""Crews compared fairly: each against what its blocks had to be expected to give any crew.

Crews are never ranked, and one stands out only beyond the limits of 99.8 %: of ten crews that are all alike, one lies
outside those of 95 % in 40 seasons of 100, and outside those of 99.8 % in two.
"""

from dataclasses import dataclass
from math import inf
from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import ndtri

from orchardmap.errors import InputError
from orchardmap.pruning.bounds import within
from orchardmap.quality.funnel import FAR, NEAR, overdispersion, share_limits, share_scores, tail_beyond

__all__ = ["LEAST_CHECKS", "LEAST_CREWS", "CrewStanding", "Limits", "Standing", "crew_standings"]

LEAST_CHECKS = 30
"""Common practice: fewer checks tell nothing of a crew."""
LEAST_CREWS = 10
"""From so many on, over-dispersion can be told from one bad crew, which is then drawn in; of fewer the limits stay exact."""

Standing = Literal["as_others", "more_faulty", "fewer_faulty", "too_few_checks"]


class Limits(NamedTuple):
    """Between these a crew lies by chance alone."""

    low: float
    high: float


_NO_LIMITS = Limits(0.0, inf)


@dataclass(frozen=True, slots=True)
class CrewStanding:
    """One crew against what its blocks had to be expected to give any crew."""

    ratio: float | None
    """Faulty trees over expected ones; None where none were to be expected."""
    near: Limits
    """Of the ratio, 95 %."""
    far: Limits
    """Of the ratio, 99.8 %."""
    standing: Standing
    """By the far limits alone."""


def crew_standings(checked: ArrayLike, faulty: ArrayLike, expected: ArrayLike) -> list[CrewStanding]:
    """Return how each crew stands against what was to be expected in its blocks.

    Parameters
    ----------
    checked, faulty : array_like of int, shape (crews,)
        Trees checked of each crew, and the faulty ones among them.
    expected : array_like of float, shape (crews,)
        Faulty trees to be expected: over the crew's blocks, its checks times the share of all checks there, so that a
        crew in bad blocks is not blamed for them.

    Returns
    -------
    list of CrewStanding
        In the order given. Limits are the exact ones; from `LEAST_CREWS` crews on they are widened by what those with enough
        checks differ beyond chance.

    Raises
    ------
    InputError
        If a number is out of range or missing.

    Examples
    --------
    >>> [one.standing for one in crew_standings([200, 180, 12], [20, 45, 3], [21.0, 18.5, 1.2])]
    ['as_others', 'more_faulty', 'too_few_checks']
    """
    n, found, e = within(checked, "checked", 0), within(faulty, "faulty", 0), within(expected, "expected", 0)
    if not (n.ndim == 1 and n.shape == found.shape == e.shape):
        raise InputError("It must be a number for each crew.", where="checked")
    for name, trees in (("faulty", found), ("expected", e)):
        if np.any(trees > n):
            raise InputError("It is more than the trees checked.", where=name)
    some = (n > 0) & (e > 0)
    judged = (n >= LEAST_CHECKS) & some & (e < n)
    tau2 = _tau2_of_ratios(n[judged], found[judged], e[judged]) if judged.sum() >= LEAST_CREWS else 0.0
    standings = [CrewStanding(None, _NO_LIMITS, _NO_LIMITS, "too_few_checks")] * len(n)
    near, far = (_limits_of_ratios(n[some], e[some], tau2, level) for level in (NEAR, FAR))
    for at, one_near, one_far in zip(np.flatnonzero(some), near, far, strict=True):
        ratio = float(found[at] / e[at])
        standing = _standing(ratio, one_far) if n[at] >= LEAST_CHECKS else "too_few_checks"
        standings[at] = CrewStanding(ratio, one_near, one_far, standing)
    return standings


def _tau2_of_ratios(n: NDArray[np.float64], found: NDArray[np.float64], e: NDArray[np.float64]) -> float:
    due = e / n
    scores, deviations = share_scores(found / n, n, due)
    return overdispersion(scores, deviations / due).tau2


def _standing(ratio: float, far: Limits) -> Standing:
    if ratio > far.high:
        return "more_faulty"
    return "fewer_faulty" if ratio < far.low else "as_others"


def _limits_of_ratios(
    n: NDArray[np.float64], e: NDArray[np.float64], tau2: float, level: float
) -> list[Limits]:
    """Return the exact limits, or those of the normal law with what crews differ beyond chance where these are wider."""
    due = e / n
    low, high = (limits / due for limits in share_limits(due, n, level=level))
    if tau2:
        reach = -ndtri(tail_beyond(level)) * np.sqrt((1 - due) / e + tau2)
        low, high = np.minimum(low, np.maximum(0, 1 - reach)), np.maximum(high, 1 + reach)
    return [Limits(*pair) for pair in zip(low.tolist(), high.tolist(), strict=True)]
