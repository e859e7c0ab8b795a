"""How far faulty trees can lie from the expected by chance alone: limits of a funnel, and over-dispersion.

D. J. Spiegelhalter 2005, Funnel plots for comparing institutional performance, Statistics in Medicine 24:1185-1202.
"""

from math import floor
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import chdtri
from scipy.stats import binom

from orchardmap.pruning.bounds import within

__all__ = [
    "FAR",
    "NEAR",
    "Overdispersion",
    "log_ratio_scores",
    "overdispersion",
    "ratio_limits",
    "share_limits",
    "share_scores",
    "tail_beyond",
]

NEAR, FAR = 0.95, 0.998
"""Spiegelhalter's two levels: about two and three standard deviations."""
_TRIMMED = 0.1


class Overdispersion(NamedTuple):
    """How much more crews differ than chance has it."""

    phi: float
    """Mean square of the standard scores, the farthest tenth on either side drawn in: 1 by chance alone."""
    tau2: float
    """Variance between crews beyond chance, in the squared unit of the scores' standard deviations; 0 where there is none."""


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
    tail = tail_beyond(level)

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
        `orchardmap.quality.crew_standings` takes those of `share_limits`.

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
    tail = tail_beyond(level)
    # chdtri turns an upper tail into a quantile
    return np.asarray(chdtri(2 * e, 1 - tail) / (2 * e)), np.asarray(chdtri(2 * (e + 1), tail) / (2 * e))


def tail_beyond(level: float) -> float:
    """Return the chance that is left on either side of two limits.

    Parameters
    ----------
    level : float, 0.5 to 0.9999

    Returns
    -------
    float

    Raises
    ------
    InputError
        If it is out of range.

    Examples
    --------
    >>> round(tail_beyond(FAR), 6)
    0.001
    """
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
