"""The rectangles of a block in which faulty trees may gather, and how striking each is.

Source: Kulldorff 1997, Communications in Statistics - Theory and Methods 26:1481-1496, for the Bernoulli model, with windows that
follow the work: a run of rows by a stretch of positions. Pure.
"""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import xlogy

from orchardmap.errors import InputError

__all__ = ["MOST_RECTANGLES", "Rectangles", "Runs", "ScanSizes", "llr_table", "rectangles"]

MOST_RECTANGLES = 4_000_000
"""Where a block has more, positions are looked at in twos, in threes ...: 999 permutations of three million take ten seconds."""
_STRETCHES_AT_ONCE = 20_000
"""Most runs of rows hold few: to call numpy for each would cost more than what it does there; what many hold must fit near the processor."""

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
class Runs:
    """The rectangles of some runs of rows; each holds a check in the first row of its run and in the last."""

    rows: Whole
    """Shape (runs, 2): first and last row of each."""
    begins: Whole
    """Where each run begins in ``members``."""
    members: Whole
    """Checks of one run after the other, as indices, in each in the order of their positions."""
    low: Whole
    high: Whole
    """Shape (k,): each rectangle holds ``members[low:high]``, fewest checks first."""
    groups: Whole
    """Where in ``low`` each number of checks begins."""

    @property
    def numbers(self) -> Whole:
        """Return each number of checks."""
        return self.high[self.groups] - self.low[self.groups]


@dataclass(frozen=True, slots=True, eq=False)
class Rectangles:
    """Every rectangle that is looked at, each set of checks once and in its tightest bounds; made by `rectangles`."""

    runs: tuple[Runs, ...]
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
        told = [self._bounds_of(run, slice(None)) for run in self.runs]
        return np.concatenate([np.empty((0, 5), np.int64), *told])

    def _bounds_of(self, some: Runs, which: slice | NDArray[np.bool_]) -> Whole:
        low, high = some.low[which], some.high[which]
        return np.column_stack((
            some.rows[np.searchsorted(some.begins, low, "right") - 1],
            self.position[some.members[low]],
            self.position[some.members[high - 1]],
            high - low,
        ))

    def faulty(self, is_faulty: NDArray[np.bool_]) -> Whole:
        """Return the faulty checks in each rectangle, shape (count,), in the order of `bounds`."""
        return np.concatenate([np.empty(0, np.int64), *(_faulty_of(run, is_faulty) for run in self.runs)])

    def striking(
        self, is_faulty: NDArray[np.bool_], llr: NDArray[np.float64], above: float
    ) -> tuple[Whole, Whole, NDArray[np.float64]]:
        """Return bounds, faulty checks and ratio of the rectangles whose ratio lies above one, and of the best whatever it is."""
        faulty = [_faulty_of(run, is_faulty) for run in self.runs]
        ratios = [llr[run.high - run.low, found] for run, found in zip(self.runs, faulty, strict=True)]
        best = max(float(ratio.max()) for ratio in ratios)
        kept = [(ratio > above) | (ratio == best) for ratio in ratios]
        bounds = [self._bounds_of(run, one) for run, one in zip(self.runs, kept, strict=True) if one.any()]
        return (
            np.concatenate(bounds),
            np.concatenate([found[one] for found, one in zip(faulty, kept, strict=True)]),
            np.concatenate([ratio[one] for ratio, one in zip(ratios, kept, strict=True)]),
        )


def _faulty_of(some: Runs, is_faulty: NDArray[np.bool_]) -> Whole:
    running = np.concatenate(([0], np.cumsum(is_faulty[some.members])))
    return np.asarray(running[some.high] - running[some.low])


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
    nth_first, nth_last = _each_to(
        np.arange(len(numbers)), np.searchsorted(numbers, numbers + sizes.most_rows)
    )
    begin, end = begins[nth_first], ends[nth_last]
    cell = _cells(positions, begin, end)
    most = int(len(rows) * sizes.most_share)
    along = np.argsort(positions, kind="stable")
    stretches = np.cumsum((end - begin) * (end - begin + 1) // 2) // _STRETCHES_AT_ONCE
    runs = []
    for some in np.split(np.arange(len(end)), np.flatnonzero(np.diff(stretches)) + 1) if len(end) else ():
        of, members = _members(nth_first[some], nth_last[some], nth, along)
        is_outer = (nth[members] == nth_first[some][of], nth[members] == nth_last[some][of])
        low, high = _stretches(of, cell[members], is_outer, sizes.least_checks, most)
        if len(low):
            groups = np.flatnonzero(np.diff(high - low, prepend=0))
            its_rows = numbers[np.column_stack((nth_first[some], nth_last[some]))]
            first_of_run = np.searchsorted(of, np.arange(len(some)))
            runs.append(Runs(its_rows, first_of_run, members, low, high, groups))
    return Rectangles(tuple(runs), len(rows), positions, most)


def _each_to(first: Whole, beyond: Whole) -> tuple[Whole, Whole]:
    """Return, for each index, every number from its first up to, not with, its other one: the indices and the numbers, shape (count,)."""
    counts = np.maximum(beyond - first, 0)
    at = np.repeat(np.arange(len(first)), counts)
    return at, np.arange(len(at)) + (first - np.cumsum(counts) + counts)[at]


def _cells(positions: Whole, begin: Whole, end: Whole) -> Whole:
    """Return the cell of each position, as narrow as `MOST_RECTANGLES` allows for runs of rows that begin and end so."""
    checks = end - begin
    if (checks * (checks + 1) // 2).sum() <= MOST_RECTANGLES:
        return positions
    width = 1
    while True:
        cell = positions // width
        places = np.array([len(np.unique(cell[a:b])) for a, b in zip(begin, end, strict=True)])
        if (places * (places + 1) // 2).sum() <= MOST_RECTANGLES or places.max() == 1:
            return cell
        width += 1


def _members(nth_first: Whole, nth_last: Whole, nth: Whole, along: Whole) -> tuple[Whole, Whole]:
    """Return the checks of one run of rows after the other: which run, and which check, in the order of positions."""
    near = along[(nth[along] >= nth_first.min()) & (nth[along] <= nth_last.max())]
    of, at = np.nonzero((nth[near] >= nth_first[:, np.newaxis]) & (nth[near] <= nth_last[:, np.newaxis]))
    return of, near[at]


def _stretches(
    of: Whole, cell: Whole, is_outer: Iterable[NDArray[np.bool_]], least: int, most: int
) -> tuple[Whole, Whole]:
    """Return where each stretch of each run begins and ends among its checks in the order of their cells, fewest checks first."""
    begins = np.flatnonzero(np.diff(of, prepend=-1) | np.diff(cell, prepend=0))
    # where one run ends the next one begins
    edges = np.append(begins, len(of))
    ends = np.searchsorted(of, of[begins], "right")
    nearest = np.searchsorted(edges, begins + least)
    for one in is_outer:
        # without its outer rows it is a rectangle of a shorter run, and would be looked at twice
        before = np.concatenate(([0], np.cumsum(one)))[edges]
        nearest = np.maximum(nearest, np.searchsorted(before, before[:-1] + 1))
    beyond = np.searchsorted(edges, np.minimum(begins + most, ends), "right")
    first, last = _each_to(nearest, beyond)
    low, high = begins[first], edges[last]
    # as small numbers they are sorted by counting
    order = np.argsort((high - low).astype(np.min_scalar_type(most)), kind="stable")
    return low[order], high[order]
