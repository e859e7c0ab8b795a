"""The share of faulty trees of a block, where checked trees share rows: rows first, then trees in them."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import ndtri, stdtrit

from orchardmap.errors import InputError
from orchardmap.pruning.bounds import within
from orchardmap.pruning.row_likeness import design_effect
from orchardmap.quality.bounds import confidence_level
from orchardmap.quality.intervals import CONFIDENCE, wilson_interval
from orchardmap.quality.row_means import mean_by_rows, mean_of_some_rows

__all__ = [
    "BlockShare",
    "block_share",
    "interval_with_design_effect",
]


@dataclass(frozen=True, slots=True)
class BlockShare:
    """What the checked trees say about all trees of a block."""

    share: float
    """Of faulty trees, 0 to 1; each row counts by its trees, not by its checks."""
    standard_error: float | None
    """None where rows or checks are too few to tell."""
    design_effect: float | None
    """How many checks tell as much as one of a tree drawn from the whole block; None where there is nothing to judge it by."""
    effective_checks: float | None
    """Checks of trees drawn from the whole block that would tell as much; infinite where every tree was checked."""
    low: float | None
    high: float | None
    every_row_checked: bool
    joined_rows: tuple[tuple[int, ...], ...]
    """Places (from 0, in the order given) of neighbouring rows taken together, for one check tells nothing of a row's spread."""


def interval_with_design_effect(
    share: float, standard_error: float, checked: float, *, confidence: float = CONFIDENCE
) -> tuple[float, float, tuple[float, float]]:
    """Return the design effect of an estimate, the checks it is worth, and its interval.

    Parameters
    ----------
    share : float, between 0 and 1, exclusive
        Of faulty trees.
    standard_error : float, more than 0
        With all that the design does to it.
    checked : float
        Trees.
    confidence : float, 0.5 to 0.999

    Returns
    -------
    tuple of float, float and (float, float)

    Raises
    ------
    InputError
        If the confidence is out of range.

    Notes
    -----
    Wilson's interval on the effective sample (after E. L. Korn and B. I. Graubard 1998, Survey Methodology 24:193-201).

    Examples
    --------
    >>> effect, worth, (low, high) = interval_with_design_effect(0.28769, 0.051617, 200)
    >>> round(effect, 2), round(worth, 1), round(low, 3), round(high, 3)
    (2.6, 76.9, 0.199, 0.397)
    """
    effect = standard_error**2 / (share * (1 - share) / checked)
    worth = checked / effect
    return effect, worth, wilson_interval(share * worth, worth, confidence=confidence)


def block_share(
    row_trees: ArrayLike,
    checked: ArrayLike,
    faulty: ArrayLike,
    *,
    rows_in_block: int,
    confidence: float = CONFIDENCE,
) -> BlockShare:
    """Return the share of faulty trees of a block, with what it costs that checked trees share rows.

    Parameters
    ----------
    row_trees, checked, faulty : array_like of int, shape (rows,), ``0 <= faulty <= checked <= row_trees``, ``checked >= 1``
        Trees of each row that was visited, in the order in which the rows stand, and how many of them were checked and
        found faulty. Rows, and trees in them, are drawn at random.
    rows_in_block : int
        All rows, visited or not.
    confidence : float, 0.5 to 0.999

    Returns
    -------
    BlockShare
        No interval where one row of several was visited, or a single tree of several.

    Raises
    ------
    InputError
        If a number is out of range.

    Notes
    -----
    Checks are never taken to be worth more than as many of trees drawn from the whole block (with finite correction): a
    small sample can look better than that by chance, and one without a faulty tree has no spread at all. For the latter,
    where rows were left out, the design effect is the one that trees of a row commonly have
    (`orchardmap.pruning.row_likeness`).

    Where rows were left out, the effective sample shrinks further by Student's t of the rows (Korn and Graubard): drawn
    600 times from each of 30 kinds of block, the interval held the truth 94 times in 100 or more, and without it 85 or more.

    Examples
    --------
    >>> told = block_share([120, 110, 130], [20, 20, 20], [1, 6, 2], rows_in_block=30)
    >>> round(told.share, 3), round(told.design_effect, 1), round(told.low, 2), round(told.high, 2)
    (0.144, 2.4, 0.02, 0.57)
    """
    confidence_level(confidence)
    trees, m, x = _rows(row_trees, checked, faulty, rows_in_block)
    every = len(trees) == rows_in_block
    variances, joined = _spreads(trees, m, x)
    estimate = (
        mean_by_rows(trees, m, x / m, variances)
        if every
        else mean_of_some_rows(trees, m, x / m, variances, rows_in_block=rows_in_block)
    )
    p, error = estimate
    n = float(m.sum())
    unseen = 1 - n / (float(trees.sum()) * (rows_in_block / len(trees)))
    if unseen <= 0:
        return BlockShare(p, 0.0, 0.0, inf, p, p, True, joined)
    if not np.isfinite(error):
        return BlockShare(p, None, None, None, None, None, every, joined)
    effect: float | None
    if 0 < p < 1:
        effect = error**2 / (p * (1 - p) / n)
        sure = 1.0 if every else _surety_of_few(len(trees), confidence)
        worth = min(n / effect * sure if effect else inf, n / unseen)
    else:
        effect = None
        worth = n / (unseen if every else design_effect(np.repeat(np.arange(len(m)), m.astype(np.int64))))
    low, high = wilson_interval(p * worth, worth, confidence=confidence)
    return BlockShare(p, error, effect, worth, low, high, every, joined)


def _surety_of_few(rows: int, confidence: float) -> float:
    """Return what is left of an effective sample whose spread a few rows tell: by Student's t instead of the normal law."""
    tail = 0.5 + confidence / 2
    return float(ndtri(tail) / stdtrit(rows - 1, tail)) ** 2


def _rows(
    row_trees: ArrayLike, checked: ArrayLike, faulty: ArrayLike, rows_in_block: int
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    trees, m, x = (
        within(row_trees, "row_trees", 1),
        within(checked, "checked", 1),
        within(faulty, "faulty", 0),
    )
    if not (trees.ndim == 1 and trees.size and trees.shape == m.shape == x.shape):
        raise InputError("It must be a number for each visited row.", where="row_trees")
    if np.any(m > trees):
        raise InputError(
            "More trees of a row were checked than it has.",
            where="checked",
            todo="Count each tree once, or correct the row's trees.",
        )
    if np.any(x > m):
        raise InputError("More trees of a row are faulty than were checked.", where="faulty")
    if len(trees) > rows_in_block:
        raise InputError(f"It is {rows_in_block}; {len(trees)} rows were visited.", where="rows_in_block")
    return trees, m, x


def _spreads(
    trees: NDArray[np.float64], m: NDArray[np.float64], x: NDArray[np.float64]
) -> tuple[NDArray[np.float64], tuple[tuple[int, ...], ...]]:
    """Return the variance between trees of each row, and which rows had to be joined to have one."""
    variances = np.zeros(len(trees))
    groups = _groups((m == 1) & (trees > 1), m)
    for group in groups:
        at = list(group)
        n = m[at].sum()
        p = x[at].sum() / n
        if np.any(m[at] < trees[at]):  # a row checked whole has no error of its own
            variances[at] = p * (1 - p) * n / (n - 1) if n > 1 else np.nan
    return variances, tuple(group for group in groups if len(group) > 1)


def _groups(alone: NDArray[np.bool_], m: NDArray[np.float64]) -> Sequence[tuple[int, ...]]:
    """Return rows by themselves; one with a single check joins the next row, the last one the group before it."""
    groups: list[tuple[int, ...]] = []
    open_rows: list[int] = []
    for row in range(len(m)):
        open_rows.append(row)
        if not alone[open_rows].any() or m[open_rows].sum() > 1:
            groups.append(tuple(open_rows))
            open_rows = []
    if open_rows:
        before = groups.pop() if groups else ()
        groups.append((*before, *open_rows))
    return groups
