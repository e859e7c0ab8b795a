"""The mean over all trees of a block, where measured trees share rows: rows first, then trees in them."""

from math import inf, sqrt
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

__all__ = ["MeanEstimate", "mean_by_rows", "mean_of_some_rows"]


class MeanEstimate(NamedTuple):
    """A mean over all trees and its standard error, in the unit of what was measured."""

    mean: float
    standard_error: float


def mean_of_some_rows(
    row_trees: ArrayLike,
    checked: ArrayLike,
    means: ArrayLike,
    variances: ArrayLike,
    *,
    rows_in_block: float | None = None,
) -> MeanEstimate:
    """Return the mean over all trees of a block of which some rows were visited, and some trees in each.

    Parameters
    ----------
    row_trees, checked : array_like of float, shape (rows,), ``0 < checked <= row_trees``
        Trees of each visited row, and how many of them were measured.
    means, variances : array_like of float, shape (rows,)
        Of the measured trees of each row; the variance with one tree less in the denominator, and any number where all
        trees were measured.
    rows_in_block : float, optional
        All rows, ``>= rows``; endlessly many where it is left out.

    Returns
    -------
    MeanEstimate
        Not a number as standard error where one row of several was visited.

    Notes
    -----
    Two-stage ratio estimate (W. G. Cochran, *Sampling Techniques*, 3rd ed. 1977, sections 11.8 and 11.9; S. L. Lohr,
    *Sampling: Design and Analysis*, chapter 5).

    Examples
    --------
    >>> told = mean_of_some_rows([100, 120, 80], [10, 10, 10], [0.1, 0.3, 0.2], [0.1, 0.23, 0.18], rows_in_block=40)
    >>> round(told.mean, 4), round(told.standard_error, 4)
    (0.2067, 0.0641)
    """
    trees, m, mean, variance = (np.asarray(one, np.float64) for one in (row_trees, checked, means, variances))
    rows, all_rows = len(trees), inf if rows_in_block is None else rows_in_block
    ratio = float(trees @ mean / trees.sum())
    if rows < 2:
        return MeanEstimate(ratio, float("nan"))
    between = float(np.sum((trees * (mean - ratio)) ** 2)) / (rows - 1)
    inside = float(np.sum(trees**2 * (1 - m / trees) * variance / m))
    squared = ((1 - rows / all_rows) * between + inside / all_rows) / rows / float(trees.mean()) ** 2
    return MeanEstimate(ratio, sqrt(squared))


def mean_by_rows(
    row_trees: ArrayLike, checked: ArrayLike, means: ArrayLike, variances: ArrayLike
) -> MeanEstimate:
    """Return the mean over all trees of a block of which every row was visited: rows are strata.

    Parameters
    ----------
    row_trees, checked, means, variances
        As in `mean_of_some_rows`.

    Returns
    -------
    MeanEstimate

    Examples
    --------
    >>> told = mean_by_rows([100, 120, 80], [10, 10, 10], [0.1, 0.3, 0.2], [0.1, 0.23, 0.18])
    >>> round(told.mean, 4), round(told.standard_error, 4)
    (0.2067, 0.0741)
    """
    trees, m, mean, variance = (np.asarray(one, np.float64) for one in (row_trees, checked, means, variances))
    weight = trees / trees.sum()
    squared = float(np.sum(weight**2 * (1 - m / trees) * variance / m))
    return MeanEstimate(float(weight @ mean), sqrt(squared))
