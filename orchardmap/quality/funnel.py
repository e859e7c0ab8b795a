"""Crews compared fairly: how far a crew's faulty trees can lie from the expected by chance alone.

D. J. Spiegelhalter 2005, Funnel plots for comparing institutional performance, Statistics in Medicine 24:1185-1202.
Crews are never ranked, and one stands out only beyond the limits of 99.8 %: of ten crews that are all alike, one lies
outside those of 95 % in 40 seasons of 100, and outside those of 99.8 % in two.
"""

from dataclasses import dataclass
from math import floor, inf
from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import chdtri, ndtri
from scipy.stats import binom

from orchardmap.errors import InputError
from orchardmap.pruning.bounds import within

__all__ = [
    "FAR", "LEAST_CHECKS", "LEAST_CREWS", "NEAR", "CrewStanding", "Limits", "Overdispersion", "Standing",
    "crew_standings", "log_ratio_scores", "overdispersion", "ratio_limits", "share_limits", "share_scores",
]  # fmt: skip

NEAR, FAR = 0.95, 0.998
"""Spiegelhalter's two levels: about two and three standard deviations."""
LEAST_CHECKS = 30
"""Common practice: fewer checks tell nothing of a crew."""
LEAST_CREWS = 10
"""From so many on, over-dispersion can be told from one bad crew, which is then drawn in; of fewer the limits stay exact."""
_TRIMMED = 0.1

Standing = Literal["as_others", "more_faulty", "fewer_faulty", "too_few_checks"]


class Limits(NamedTuple):
    """Between these a crew lies by chance alone."""

    low: float
    high: float


_NO_LIMITS = Limits(0.0, inf)


class Overdispersion(NamedTuple):
    """How much more crews differ than chance has it."""

    phi: float
    """Mean square of the standard scores, the farthest tenth on either side drawn in: 1 by chance alone."""
    tau2: float
    """Variance between crews beyond chance, in the squared unit of the scores' standard deviations; 0 where there is none."""


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


def share_limits(target: ArrayLike, checked: ArrayLike, *, level: float) -> tuple[NDArray[np.float64], ...]:
    """Return the limits of a share of faulty trees, by its number of checks.

    Parameters
    ----------
    target : array_like of float, one or shape (n,), 0 to 1
        Share of faulty trees to be expected of every crew, or of each.
    checked : array_like of int, shape (n,)
        Trees.
    level : float, 0.5 to 0.9999
        `NEAR` or `FAR`.

    Returns
    -------
    tuple of two ndarray of float64, shape (n,)
        Lower and upper limits, 0 to 1: exact binomial ones, interpolated between whole trees.

    Raises
    ------
    InputError
        If a value is out of range.

    Examples
    --------
    >>> [limits.round(3).tolist() for limits in share_limits(0.1, [50, 100], level=NEAR)]
    [[0.014, 0.04], [0.18, 0.158]]
    """
    n, p = within(checked, "checked", 1), within(target, "target", 0, 1)
    tail = _tail(level)

    def limit(chance: float) -> NDArray[np.float64]:
        k = np.maximum(binom.ppf(chance, n, p), 0.0)
        reached, before = binom.cdf(k, n, p), binom.cdf(k - 1, n, p)
        part = (reached - chance) / (reached - before)
        return np.asarray(np.clip((k - part) / n, 0.0, 1.0))

    return limit(tail), limit(1.0 - tail)


def ratio_limits(expected: ArrayLike, *, level: float) -> tuple[NDArray[np.float64], ...]:
    """Return the limits of faulty trees over expected ones, by the number expected.

    Parameters
    ----------
    expected : array_like of float, shape (n,), more than 0
        Faulty trees to be expected: of each block a crew was checked in, checks times the block's share.
    level : float, 0.5 to 0.9999
        `NEAR` or `FAR`.

    Returns
    -------
    tuple of two ndarray of float64, shape (n,)
        Lower and upper limits: exact Poisson ones, as of the true ratio of a crew that is found at 1 (F. Garwood 1936). Taken
        for limits of what is found, the lower ones are left more often than they say and the upper ones less often, so
        `crew_standings` takes those of `share_limits`.

    Raises
    ------
    InputError
        If a value is out of range.

    Examples
    --------
    >>> [limits.round(3).tolist() for limits in ratio_limits([15, 30], level=NEAR)]
    [[0.56, 0.675], [1.649, 1.428]]
    """
    e = within(expected, "expected")
    tail = _tail(level)
    # chdtri turns an upper tail into a quantile
    return np.asarray(chdtri(2 * e, 1 - tail) / (2 * e)), np.asarray(chdtri(2 * (e + 1), tail) / (2 * e))


def _tail(level: float) -> float:
    return (1.0 - float(within(level, "level", 0.5, 0.9999))) / 2


def share_scores(
    shares: ArrayLike, checked: ArrayLike, target: ArrayLike
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return how many standard deviations each share of faulty trees lies off the target.

    Parameters
    ----------
    shares : array_like of float, shape (n,), 0 to 1
    checked : array_like of int, shape (n,)
        Trees.
    target : array_like of float, one or shape (n,), between 0 and 1, exclusive

    Returns
    -------
    tuple of two ndarray of float64, shape (n,)
        Standard scores, and the standard deviations they are in.

    Examples
    --------
    >>> [one.round(2).tolist() for one in share_scores([0.05, 0.2], [60, 45], 0.1)]
    [[-1.29, 2.24], [0.04, 0.04]]
    """
    due = np.asarray(target, np.float64)
    deviations = np.sqrt(due * (1 - due) / np.asarray(checked, np.float64))
    return (np.asarray(shares, np.float64) - due) / deviations, deviations


def log_ratio_scores(
    faulty: ArrayLike, expected: ArrayLike
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return how many standard deviations each ratio of faulty trees to expected ones lies off 1, as logarithms.

    Parameters
    ----------
    faulty, expected : array_like of float, shape (n,)
        Trees; ``expected`` more than 0. No faulty tree counts as half a one, for nothing has no logarithm.

    Returns
    -------
    tuple of two ndarray of float64, shape (n,)
        Standard scores, and the standard deviations they are in.

    Examples
    --------
    >>> [one.round(2).tolist() for one in log_ratio_scores([100, 150], [108, 112])]
    [[-0.8, 3.09], [0.1, 0.09]]
    """
    e = np.asarray(expected, np.float64)
    return np.sqrt(e) * np.log(np.maximum(faulty, 0.5) / e), 1 / np.sqrt(e)


def overdispersion(scores: ArrayLike, deviations: ArrayLike) -> Overdispersion:
    """Return how much more crews differ than chance has it.

    Parameters
    ----------
    scores, deviations : array_like of float, shape (crews,)
        From `share_scores` or `log_ratio_scores`.

    Returns
    -------
    Overdispersion
        No variance beyond chance where there are fewer than two crews.

    Notes
    -----
    D. J. Spiegelhalter 2005, Quality and Safety in Health Care 14:347-351; the variance is DerSimonian and Laird's.

    Examples
    --------
    >>> told = overdispersion(*log_ratio_scores([100, 150, 180, 80, 120, 225], [108, 112, 165, 95, 100, 220]))
    >>> round(told.phi, 3), round(told.tau2, 4)
    (2.948, 0.0195)
    """
    z = np.sort(np.asarray(scores, np.float64))
    crews, out = len(z), floor(_TRIMMED * len(z))
    if crews < 2:
        return Overdispersion(1.0, 0.0)
    phi = float(np.mean(np.clip(z, z[out], z[crews - 1 - out]) ** 2))
    weights = 1 / np.asarray(deviations, np.float64) ** 2
    beyond = crews * phi - (crews - 1)
    spread = float(weights.sum() - (weights**2).sum() / weights.sum())
    return Overdispersion(phi, max(0.0, beyond / spread))


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
        reach = -ndtri(_tail(level)) * np.sqrt((1 - due) / e + tau2)
        low, high = np.minimum(low, np.maximum(0, 1 - reach)), np.maximum(high, 1 + reach)
    return [Limits(*pair) for pair in zip(low.tolist(), high.tolist(), strict=True)]
