"""Where a block's work is weak: areas in which faulty trees gather more than chance explains. Pure."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy import stats

from orchardmap.errors import InputError
from orchardmap.quality.scan import ScanSizes, llr_table, rectangles
from orchardmap.quality.scan_chance import chance_maxima

__all__ = [
    "LEVEL",
    "MOST_CHECKS",
    "PERMUTATIONS",
    "RECHECK_TREES",
    "CheckedTree",
    "Recheck",
    "WeakArea",
    "area_state",
    "weak_areas",
]

PERMUTATIONS = 999
MOST_PERMUTATIONS = 99_999
LEVEL = 0.05
"""Of chance, at which an area is suspect or confirmed: one clean block in twenty shows a suspect area somewhere."""
RECHECK_TREES = 30
"""New trees from which on a re-check that finds nothing clears a suspect area."""
MOST_CHECKS = 10_000

AreaState = Literal["suspect", "confirmed", "none"]


@dataclass(frozen=True, slots=True)
class CheckedTree:
    """A tree that an auditor looked at, once."""

    row: int
    position: int
    is_faulty: bool
    is_recheck: bool = False
    """It was drawn inside an area afterwards, to see whether that is weak."""


@dataclass(frozen=True, slots=True)
class Recheck:
    """What the new trees inside an area say."""

    checked: int
    faulty: int
    p: float
    """Chance of so many faulty ones or more if the area were as the whole first pass (Fisher's exact test, one-sided)."""


@dataclass(frozen=True, slots=True)
class WeakArea:
    """A run of rows by a stretch of positions, in the tightest bounds that hold its checks."""

    rows: tuple[int, int]
    positions: tuple[int, int]
    checked: int
    """Checks of the first pass inside."""
    faulty: int
    llr: float
    """Log likelihood ratio of one rate inside and another outside against one rate everywhere."""
    p: float
    """Chance that a block without any weak area shows one as striking somewhere."""
    state: AreaState
    recheck: Recheck | None = None
    """None where no new tree inside was looked at."""


def weak_areas(
    checks: Iterable[CheckedTree],
    *,
    rng: np.random.Generator,
    permutations: int = PERMUTATIONS,
    level: float = LEVEL,
    sizes: ScanSizes | None = None,
) -> list[WeakArea]:
    """Return the areas of a block that look weak, the most striking first.

    Parameters
    ----------
    checks : iterable of CheckedTree
        Of one block, each tree once, in any order. Rows may be missing and differ in length; positions are numbered from
        the same side in all of them.
    rng : Generator
        Deals the faulty trees out anew.
    permutations : int
        How often; no ``p`` comes below one over one more.
    level : float, between 0 and 1
        Up to which ``p`` an area is suspect.
    sizes : ScanSizes, optional
        How large and how small an area may be.

    Returns
    -------
    list of WeakArea
        The most striking one whatever its ``p`` (it is the one to re-check), then those that share no place with it and
        each other, as long as each is suspect by itself: its ``p`` is held against the most striking of each permutation,
        so looking everywhere is paid for. Empty where no share is higher than the rest: no tree is faulty, or all are.

        An area is "confirmed" when its new trees alone say so (their ``p`` within the level), else "suspect" when its own
        ``p`` is within the level and fewer than `RECHECK_TREES` new trees have been looked at, else "none".

    Raises
    ------
    InputError
        If a tree stands there twice, or there are more than `MOST_CHECKS`, or a setting cannot be used.

    Examples
    --------
    >>> checks = [CheckedTree(row, at, row == 3 and at < 5) for row in range(1, 9) for at in range(1, 11)]
    >>> area, *others = weak_areas(checks, rng=np.random.default_rng(1), permutations=99)
    >>> area.rows, area.positions, area.checked, area.faulty, area.p, area.state, others
    ((3, 3), (1, 4), 4, 4, 0.01, 'suspect', [])
    """
    if not 0.0 < level < 1.0:
        raise InputError("It must lie between 0 and 1.", where="level")
    if not 1 <= permutations <= MOST_PERMUTATIONS:
        raise InputError(f"It must lie between 1 and {MOST_PERMUTATIONS:,}.", where="permutations")
    told = _sorted_once(checks)
    first_pass = [one for one in told if not one.is_recheck]
    new_trees = [one for one in told if one.is_recheck]
    is_faulty = np.array([one.is_faulty for one in first_pass], bool)
    looked_at = rectangles(
        [one.row for one in first_pass], [one.position for one in first_pass], sizes or ScanSizes()
    )
    if not looked_at.count or is_faulty.all() or not is_faulty.any():
        return []
    llr = llr_table(int(is_faulty.sum()), len(is_faulty), looked_at.most)
    chance = chance_maxima(looked_at, llr, permutations=permutations, rng=rng)
    areas: list[WeakArea] = []
    # what more permutations reach than the level allows is no area but the first
    reached = int(level * (permutations + 1) + 1e-9)
    above = float(np.sort(chance)[-reached]) if reached else np.inf
    for bounds, faulty, ratio in _disjoint(*looked_at.striking(is_faulty, llr, above)):
        p = float(1 + (chance >= ratio).sum()) / (permutations + 1)
        if areas and p > level:
            break
        first_row, last_row, first, last, checked = bounds.tolist()
        inside = [t for t in new_trees if first_row <= t.row <= last_row and first <= t.position <= last]
        recheck = _recheck(inside, is_faulty)
        state = area_state(p, recheck, suspect_to=level, level=level)
        areas.append(
            WeakArea((first_row, last_row), (first, last), checked, faulty, ratio, p, state, recheck)
        )
    return areas


def _sorted_once(checks: Iterable[CheckedTree]) -> list[CheckedTree]:
    """Return the checks by row and position, each tree once."""
    told = sorted(checks, key=lambda one: (one.row, one.position))
    if len(told) > MOST_CHECKS:
        what = f"There are {len(told):,} checks; at most {MOST_CHECKS:,} are looked at together."
        raise InputError(what, where="checks", todo="Give one block at a time.")
    for one, following in pairwise(told):
        if (one.row, one.position) == (following.row, following.position):
            raise InputError(
                "This tree was checked twice.",
                where=f"row {one.row}, position {one.position}",
                todo="Keep the check that counts; a re-check tells only by trees that are new.",
            )
    return told


def _disjoint(
    bounds: NDArray[np.int64], faulty: NDArray[np.int64], left: NDArray[np.float64]
) -> Iterator[tuple[NDArray[np.int64], int, float]]:
    """Yield bounds, faulty trees and ratio of the most striking rectangle, then of those that do not touch the ones before."""
    while len(left) and (highest := left.max()) > 0.0:
        alike = np.flatnonzero(left == highest)
        first_row, last_row, first, last, _ = bounds[alike].T
        # of equals the one that takes the least ground, then the first: never the order of the input
        at = alike[np.lexsort((first, first_row, last - first, last_row - first_row))[0]]
        yield bounds[at], int(faulty[at]), float(highest)
        a, b, low, high, _ = bounds[at]
        kept = (bounds[:, 1] < a) | (bounds[:, 0] > b) | (bounds[:, 3] < low) | (bounds[:, 2] > high)
        bounds, faulty, left = bounds[kept], faulty[kept], left[kept]


def _recheck(inside: list[CheckedTree], is_faulty: NDArray[np.bool_]) -> Recheck | None:
    """Judge the new trees of an area against all of the first pass: those outside of it alone would look too good."""
    if not inside:
        return None
    checked, faulty = len(inside), sum(one.is_faulty for one in inside)
    p = stats.hypergeom.sf(faulty - 1, len(is_faulty) + checked, int(is_faulty.sum()) + faulty, checked)
    return Recheck(checked, faulty, float(p))


def area_state(p: float, recheck: Recheck | None, *, suspect_to: float, level: float) -> AreaState:
    """Return what an area is, by its own odds and by what its new trees say.

    Parameters
    ----------
    p : float
        Of the area (`WeakArea.p`).
    recheck : Recheck or None
        Its new trees.
    suspect_to : float, 0 to 1
        Up to which ``p`` it is suspect: the level itself in one block, less where many blocks are looked at
        (`orchardmap.quality.farm_areas.suspect_to`).
    level : float, between 0 and 1
        Up to which the ``p`` of new trees confirms it.

    Returns
    -------
    str
        "confirmed", "suspect" or "none".

    Examples
    --------
    >>> area_state(0.004, None, suspect_to=0.05, level=0.05), area_state(0.004, None, suspect_to=0.002, level=0.05)
    ('suspect', 'none')
    """
    if recheck and recheck.p <= level:
        return "confirmed"
    is_cleared = recheck is not None and recheck.checked >= RECHECK_TREES
    return "suspect" if p <= suspect_to and not is_cleared else "none"
