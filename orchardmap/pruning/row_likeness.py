"""Trees of one row resemble each other: how much, and what that costs a sample."""

import numpy as np
from numpy.typing import ArrayLike

from orchardmap.errors import InputError
from orchardmap.pruning.bounds import within

__all__ = ["ROW_CORRELATION", "design_effect", "row_correlation"]

ROW_CORRELATION = 0.25
"""Yields of the 28 rows of 8 Jonathan trees of Batchelor & Reed (1918), taken for buds and limbs too."""


def row_correlation(values: ArrayLike) -> float:
    """Return how much trees of one row resemble each other.

    Parameters
    ----------
    values : array_like of float, shape (rows, trees), ``>= 0``
        One number a tree, as many trees in every row; two rows of two trees at least.

    Returns
    -------
    float
        Intraclass correlation, at most 1: 0 where rows tell nothing, below 0 where they differ less than chance has it.
        0 too where all trees are alike.

    Raises
    ------
    InputError
        If a value is out of range, or there are too few rows or trees.

    Notes
    -----
    One-way analysis of variance, ICC(1): (B - W) / (B + (m - 1) W) of the mean squares between and within rows of m
    trees (Shrout and Fleiss 1979, Psychological Bulletin 86:420-428).

    Examples
    --------
    >>> row_correlation([[4, 4], [6, 6], [9, 9]])
    1.0
    """
    table = within(values, "values", 0.0)
    if table.ndim != 2 or min(table.shape) < 2:
        raise InputError("It needs two rows of two trees at least.", where="values")
    rows, trees = table.shape
    means = table.mean(axis=1)
    between = trees * float(np.sum((means - means.mean()) ** 2)) / (rows - 1)
    inside = float(np.sum((table - means[:, np.newaxis]) ** 2)) / (rows * (trees - 1))
    whole = between + (trees - 1) * inside
    return (between - inside) / whole if whole else 0.0


def design_effect(rows: ArrayLike, *, correlation: float = ROW_CORRELATION) -> float:
    """Return how many trees it takes to learn what one scattered tree would tell.

    Parameters
    ----------
    rows : array_like of int, shape (n,)
        The row of each sample tree, in any order.
    correlation : float, 0 to 1
        Between trees of one row.

    Returns
    -------
    float
        From 1, where each tree stands in a row of its own; 1 for no tree.

    Raises
    ------
    InputError
        If the correlation is out of range.

    Notes
    -----
    1 + (m - 1) x correlation (Kish, *Survey Sampling*, 1965), where m is the mean number of sample trees in the row of a
    sample tree.

    Examples
    --------
    Ten trees as five in each of two rows tell as much as five scattered ones.

    >>> design_effect([3] * 5 + [8] * 5)
    2.0
    """
    share = float(within(correlation, "correlation", 0.0, 1.0))
    per_row = np.unique(np.asarray(rows), return_counts=True)[1]
    if not len(per_row):
        return 1.0
    return 1.0 + (float(np.sum(per_row**2) / np.sum(per_row)) - 1.0) * share
