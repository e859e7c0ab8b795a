"""The rectangle of a block in which faulty trees gather most, and what chance alone would show somewhere.

Source: Kulldorff 1997, Communications in Statistics - Theory and Methods 26:1481-1496, for the Bernoulli model, with windows that
follow the work: a run of rows by a stretch of positions. Pure.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import xlogy

from orchardmap.errors import InputError

__all__ = ["MOST_RECTANGLES", "Rectangles", "ScanSizes", "chance_maxima", "llr_table", "rectangles"]

MOST_RECTANGLES = 4_000_000
"""Where a block has more, positions are looked at in twos, in threes ...: 999 permutations of three million take ten seconds."""
_PERMUTATIONS_AT_ONCE = 128

Whole = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class ScanSizes:
    """How large and how small an area may be."""

    most_rows: int = 12
    """Rows from its first to its last, whether checked or not."""
    most_share: float = 0.5
    """Of all checks: what is weak almost everywhere is the block's own rate, no area."""
    least_checks: int = 3

    def __post_init__(self) -> None:
        """Refuse sizes that leave nothing to look at."""
        if self.most_rows < 1:
            raise InputError("It must be 1 or more.", where="most_rows")
        if not 0.0 < self.most_share < 1.0:
            raise InputError("It must lie between 0 and 1.", where="most_share")
        if self.least_checks < 1:
            raise InputError("It must be 1 or more.", where="least_checks")


@dataclass(frozen=True, slots=True, eq=False)
class _Run:
    """The rectangles that reach from one row to another and hold a check in both."""

    rows: tuple[int, int]
    members: Whole
    """Checks of these rows in the order of their positions, as indices."""
    low: Whole
    high: Whole
    """Shape (k,): each rectangle holds ``members[low:high]``, fewest checks first."""
    groups: Whole
    """Where in ``low`` each number of checks begins."""


@dataclass(frozen=True, slots=True, eq=False)
class Rectangles:
    """Every rectangle that is looked at, each set of checks once and in its tightest bounds; made by `rectangles`."""

    runs: tuple[_Run, ...]
    checks: int
    position: Whole
    """Shape (checks,)."""
    most: int
    """Checks in the largest rectangle that may be."""

    @property
    def count(self) -> int:
        """How many there are."""
        return sum(len(run.low) for run in self.runs)

    def bounds(self) -> Whole:
        """Return first row, last row, first position, last position and number of checks, shape (count, 5)."""
        told = [
            np.column_stack((
                np.broadcast_to(np.array(run.rows), (len(run.low), 2)),
                self.position[run.members[run.low]],
                self.position[run.members[run.high - 1]],
                run.high - run.low,
            ))
            for run in self.runs
        ]
        return np.concatenate([np.empty((0, 5), np.int64), *told])

    def faulty(self, is_faulty: NDArray[np.bool_]) -> Whole:
        """Return the faulty checks in each rectangle, shape (count,), in the order of `bounds`."""
        told = [np.empty(0, np.int64)]
        for run in self.runs:
            running = np.concatenate(([0], np.cumsum(is_faulty[run.members])))
            told.append(running[run.high] - running[run.low])
        return np.concatenate(told)


def llr_table(faulty: int, checks: int, most: int) -> NDArray[np.float64]:
    """Return the log likelihood ratio of every area that there could be.

    Parameters
    ----------
    faulty, checks : int, trees
        Of the whole block, ``0 <= faulty <= checks``.
    most : int, trees
        Checks in the largest area, ``< checks``.

    Returns
    -------
    ndarray of float, shape (most + 1, faulty + 1)
        ``[n, c]`` for c faulty among the n checks of the area: 0 where its share is no higher than outside (or c > n), and
        never falling as c rises. A table, so that equal counts have equal values to the last bit.

    Examples
    --------
    >>> round(float(llr_table(15, 200, 20)[20, 8]), 8)
    10.22524304
    """
    n, c = np.ogrid[: most + 1, : faulty + 1]
    outside, c_outside = checks - n, faulty - c
    possible = (c <= n) & (c_outside <= outside) & (c * checks > faulty * n)
    with np.errstate(all="ignore"):
        inside_part = xlogy(c, c / n) + xlogy(n - c, (n - c) / n)
        outside_part = xlogy(c_outside, c_outside / outside)
        outside_part += xlogy(outside - c_outside, (outside - c_outside) / outside)
    whole = xlogy(faulty, faulty / checks) + xlogy(checks - faulty, (checks - faulty) / checks)
    return np.where(possible, inside_part + outside_part - whole, 0.0)


def rectangles(row: ArrayLike, position: ArrayLike, sizes: ScanSizes) -> Rectangles:
    """Return every rectangle of checks within the sizes.

    Parameters
    ----------
    row, position : array_like of int, shape (n,)
        Of each check, in the order of rows and then positions. Rows and positions without a check are gaps of no account.
    sizes : ScanSizes
        How large and how small.

    Returns
    -------
    Rectangles
        All of them, up to `MOST_RECTANGLES`; else those whose ends fall between cells of two positions, of three, ...

    Examples
    --------
    >>> found = rectangles([1, 1, 2, 2], [1, 2, 1, 2], ScanSizes(least_checks=2))
    >>> found.bounds().tolist()
    [[1, 1, 1, 2, 2], [1, 2, 1, 1, 2], [1, 2, 2, 2, 2], [2, 2, 1, 2, 2]]
    """
    rows, positions = np.asarray(row, np.int64), np.asarray(position, np.int64)
    numbers, begins, nth = np.unique(rows, return_index=True, return_inverse=True)
    ends = np.append(begins[1:], len(rows))
    spans = [
        (first, last)
        for first, number in enumerate(numbers)
        for last in range(first, int(np.searchsorted(numbers, number + sizes.most_rows)))
    ]
    cell = _cells(positions, [(int(begins[first]), int(ends[last])) for first, last in spans])
    most = int(len(rows) * sizes.most_share)
    along = np.argsort(positions, kind="stable")
    nth_along = nth[along]
    runs = []
    for first, last in spans:
        here = (nth_along >= first) & (nth_along <= last)
        members = along[here]
        low, high = _stretches(nth_along[here] - first, last - first, cell[members], sizes.least_checks, most)
        if len(low):
            groups = np.flatnonzero(np.diff(high - low, prepend=0))
            runs.append(_Run((int(numbers[first]), int(numbers[last])), members, low, high, groups))
    return Rectangles(tuple(runs), len(rows), positions, most)


def _cells(positions: Whole, spans: list[tuple[int, int]]) -> Whole:
    """Return the cell of each position, as narrow as `MOST_RECTANGLES` allows."""
    checks = np.array([end - begin for begin, end in spans])
    if (checks * (checks + 1) // 2).sum() <= MOST_RECTANGLES:
        return positions
    width = 1
    while True:
        cell = positions // width
        places = np.array([len(np.unique(cell[begin:end])) for begin, end in spans])
        if (places * (places + 1) // 2).sum() <= MOST_RECTANGLES or places.max() == 1:
            return cell
        width += 1


def _stretches(nth: Whole, last: int, cell: Whole, least: int, most: int) -> tuple[Whole, Whole]:
    """Return where each stretch of the rows 0 to ``last`` begins and ends among checks in the order of their cells, fewest checks first."""
    edges = np.concatenate(([0], np.flatnonzero(np.diff(cell)) + 1, [len(cell)]))
    n = edges - edges[:, np.newaxis]
    kept = (n >= least) & (n <= most)
    for outer in {
        0,
        last,
    }:  # without its outer rows it is a rectangle of a shorter run, and would be looked at twice
        before = np.concatenate(([0], np.cumsum(nth == outer)))[edges]
        kept &= before > before[:, np.newaxis]
    first, beyond = np.nonzero(kept)
    order = np.argsort(n[kept], kind="stable")
    return edges[first[order]], edges[beyond[order]]


def chance_maxima(
    looked_at: Rectangles, llr: NDArray[np.float64], *, permutations: int, rng: np.random.Generator
) -> NDArray[np.float64]:
    """Return the largest log likelihood ratio anywhere in the block, each time the faulty trees are dealt out anew.

    Parameters
    ----------
    looked_at : Rectangles
        The rectangles.
    llr : ndarray of float, shape (most + 1, faulty + 1)
        Of `llr_table`.
    permutations : int
        How often the faulty trees are dealt out among all checked ones.
    rng : Generator
        Deals.

    Returns
    -------
    ndarray of float, shape (permutations,)
        What chance shows where nothing is weak.
    """
    faulty = llr.shape[1] - 1
    counts = np.int16 if faulty < np.iinfo(np.int16).max else np.int32
    maxima = []
    for begin in range(0, permutations, _PERMUTATIONS_AT_ONCE):
        labels = np.zeros((min(_PERMUTATIONS_AT_ONCE, permutations - begin), looked_at.checks), counts)
        labels[:, :faulty] = 1
        dealt = np.ascontiguousarray(rng.permuted(labels, axis=1).T)
        # the ratio rises with the faulty trees among n, so the most of them are all that need be known for each n
        best = np.zeros((looked_at.most + 1, dealt.shape[1]), counts)
        for run in looked_at.runs:
            running = np.zeros((len(run.members) + 1, dealt.shape[1]), counts)
            np.cumsum(dealt[run.members], axis=0, out=running[1:])
            found = running[run.high]
            found -= running[run.low]
            n = (run.high - run.low)[run.groups]
            best[n] = np.maximum(best[n], np.maximum.reduceat(found, run.groups, axis=0))
        maxima.append(llr[np.arange(looked_at.most + 1)[:, np.newaxis], best].max(axis=0))
    return np.concatenate(maxima) if maxima else np.empty(0)
