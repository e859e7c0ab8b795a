"""Counts on sample trees: their mean, how far it can be trusted, and whether enough trees were counted.

For buds and limbs tallied before a block is pruned.
"""

from dataclasses import dataclass
from math import ceil, sqrt

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import ndtri, stdtrit

from orchardmap.errors import InputError
from orchardmap.pruning.bounds import SMALLEST, within
from orchardmap.pruning.row_likeness import design_effect

__all__ = ["CONFIDENCE", "HALF_WIDTH_SHARE", "LEAST_TREES", "CountEstimate", "count_estimate", "sample_size"]

CONFIDENCE = 0.95
"""Common practice."""
HALF_WIDTH_SHARE = 0.15
"""Common practice, a setting of the farm: the mean to within 15 % of itself."""
LEAST_TREES = 5
"""Growing Produce, "Tips to prune smarter, not harder"; Cornell (Miranda Sazo & Robinson 2024) takes five trees too."""


@dataclass(frozen=True, slots=True)
class CountEstimate:
    """What the trees counted so far say about all trees of the block."""

    trees: int
    """Counted so far."""
    mean: float | None
    """Per tree; None before the first tree."""
    low: float | None
    high: float | None
    """Interval of the mean over all trees; None while the spread between trees cannot be judged."""
    cv: float | None
    """Standard deviation of the counted trees over their mean, widened for trees that share rows; None as for the interval,
    or where the mean is 0."""
    trees_needed: int | None
    """Trees to count in all if further ones spread like these, over rows too; None where `cv` is."""

    @property
    def is_enough(self) -> bool:
        """Tell whether the mean is known as well as was asked."""
        return self.trees_needed is not None and self.trees >= self.trees_needed


def count_estimate(
    counts: ArrayLike,
    rows: ArrayLike,
    *,
    trees_in_block: int,
    half_width_share: float = HALF_WIDTH_SHARE,
    confidence: float = CONFIDENCE,
    least_trees: int = LEAST_TREES,
) -> CountEstimate:
    """Return the mean count of a block's trees, with its interval.

    Parameters
    ----------
    counts : array_like of float, shape (n,), ``>= 0``
        Buds or limbs of each sample tree, drawn at random; none is a valid answer too.
    rows : array_like of int, shape (n,)
        The row that each of them stands in. Trees of one row resemble each other, so the more rows the better.
    trees_in_block : int
        All trees that the mean speaks of, ``>= n``.
    half_width_share : float, 0.001 to 1
        How near the mean must be known, as a share of itself.
    confidence : float, 0.5 to 0.999
        Of the interval.
    least_trees : int
        Fewer are never enough, however alike, unless the block has no more; where they share rows it takes more of them.

    Returns
    -------
    CountEstimate
        Unrounded. One tree, or fewer than ``least_trees`` that are all alike, give a mean and no interval; all trees of
        the block give their mean, exactly.

    Raises
    ------
    InputError
        If a count or setting is out of range, a tree has no row, or more trees were counted than the block has.

    Notes
    -----
    Student's t with n - 1 degrees of freedom, and the standard error s / sqrt(n) x sqrt(1 - n / N) of a sample without
    replacement (W. G. Cochran, *Sampling Techniques*, 3rd ed. 1977, chapter 2), times the root of the design effect of
    `orchardmap.pruning.row_likeness`. The lower end is never below 0.
    On the 224 trees of Batchelor & Reed (1918) an interval of 95 % held 95 times in 100 for trees in rows of their own,
    94 for 5 in each of 4 rows (83 without the design effect) and 91 for 5 in each of 2; for whoever counts on and stops
    the first time it is enough, 93 (tests draw them again).

    Examples
    --------
    >>> told = count_estimate([20, 24, 22, 18, 26], [1, 4, 7, 9, 12], trees_in_block=500)
    >>> told.mean, round(told.low, 1), round(told.high, 1), told.trees_needed
    (22.0, 18.1, 25.9, 6)
    """
    tally = within(counts, "counts", 0.0)
    if tally.ndim != 1 or np.shape(rows) != tally.shape:
        raise InputError("It must be one count and one row a tree.", where="counts")
    n, block = len(tally), _trees(trees_in_block)
    if n > block:
        raise InputError(
            f"{n} trees were counted, the block has {block}.",
            where="counts",
            todo="Count each tree once, or correct the block's trees.",
        )
    share, sure = _share(half_width_share), _confidence(confidence)
    if n == 0:
        return CountEstimate(0, None, None, None, None, None)
    mean = float(tally.mean())
    if n == block:
        cv = float(tally.std()) / mean if mean else None
        return CountEstimate(n, mean, mean, mean, cv, n)
    effect = design_effect(rows)
    least = min(ceil(least_trees * effect), block)
    spread = float(tally.std(ddof=1)) if n > 1 else 0.0
    if n == 1 or (spread == 0.0 and n < least):
        return CountEstimate(n, mean, None, None, None, None)
    spread *= sqrt(effect)
    half = spread * _standard_errors(n, block, sure)
    low, high = max(0.0, mean - half), mean + half
    if mean == 0.0:
        return CountEstimate(n, mean, low, high, None, None)
    cv = spread / mean
    needed = max(_needed_at(cv, block, share, sure), least)
    return CountEstimate(n, mean, low, high, cv, needed)


def sample_size(
    cv: float, *, trees_in_block: int, half_width_share: float, confidence: float = CONFIDENCE
) -> int:
    """Return how many trees to count where the spread is known beforehand, for instance from last season.

    Parameters
    ----------
    cv : float, 0 to 1,000,000
        Standard deviation between trees over their mean.
    trees_in_block : int
        All trees that the mean speaks of.
    half_width_share : float, 0.001 to 1
        How near the mean must be known, as a share of itself.
    confidence : float, 0.5 to 0.999
        Of the interval.

    Returns
    -------
    int
        Trees, from 1 to ``trees_in_block``.

    Raises
    ------
    InputError
        If a value is out of range.

    Notes
    -----
    For trees in rows of their own: n0 = (z cv / share)2 and, in a finite block, n0 / (1 + n0 / N), rounded up (Cochran
    1977, section 4.6). `count_estimate` asks for a few more, for it has to judge the spread besides.

    Examples
    --------
    >>> sample_size(0.414, trees_in_block=224, half_width_share=0.15)
    26
    """
    block, share, sure = _trees(trees_in_block), _share(half_width_share), _confidence(confidence)
    endless = (float(ndtri(0.5 + sure / 2)) * float(within(cv, "cv", 0.0)) / share) ** 2
    return max(1, ceil(endless / (1.0 + endless / block)))


def _needed_at(cv: float, block: int, share: float, sure: float) -> int:
    """Return the fewest trees whose interval by Student's t is narrow enough."""
    n = max(2, sample_size(cv, trees_in_block=block, half_width_share=share, confidence=sure))
    while n < block and cv * _standard_errors(n, block, sure) > share:
        n += 1
    return n


def _standard_errors(n: int, block: int, sure: float) -> float:
    """Return the half-width of an interval in standard deviations between trees."""
    return float(stdtrit(n - 1, 0.5 + sure / 2)) * sqrt(1.0 / n - 1.0 / block)


def _trees(trees_in_block: int) -> int:
    return int(within(trees_in_block, "trees_in_block", 1.0))


def _share(half_width_share: float) -> float:
    return float(within(half_width_share, "half_width_share", SMALLEST, 1.0))


def _confidence(confidence: float) -> float:
    return float(within(confidence, "confidence", 0.5, 0.999))
