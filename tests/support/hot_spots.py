"""Other ways to look for weak areas, which the scan over rectangles is measured against. Each flags checks of one block."""

from collections import Counter

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy import stats

from orchardmap.quality.scan import llr_table
from orchardmap.quality.weak_areas import CheckedTree
from orchardmap.quality.weak_rows import weak_rows

Flags = NDArray[np.bool_]


def exact_gi_star(
    neighbours: ArrayLike, faulty_near: ArrayLike, *, checks: int, faulty: int
) -> NDArray[np.float64]:
    """Return the chance of so many faulty ones among the checks near each, over all dealings of the faulty ones."""
    return np.asarray(stats.hypergeom.sf(np.asarray(faulty_near) - 1, checks, faulty, np.asarray(neighbours)))


def kept_by_fdr(p: ArrayLike, q: float = 0.05) -> Flags:
    """Benjamini & Hochberg 1995: which are told while a share q of what is told may be false."""
    return np.asarray(stats.false_discovery_control(p) <= q, bool)


def distances_m(xy_m: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the distance of every check from every other, from positions of shape (n, 2)."""
    return np.asarray(np.hypot(*(xy_m[:, np.newaxis] - xy_m).T))


def gi_star_flags(xy_m: NDArray[np.float64], is_faulty: Flags, radius_m: float = 18.0) -> Flags:
    """Checks with too many faulty ones within the radius."""
    near = (distances_m(xy_m) <= radius_m).astype(int)
    p = exact_gi_star(near.sum(axis=1), near @ is_faulty, checks=len(xy_m), faulty=int(is_faulty.sum()))
    return kept_by_fdr(p)


def circle_flags(
    xy_m: NDArray[np.float64], is_faulty: Flags, rng: np.random.Generator, permutations: int
) -> Flags:
    """Checks in the most striking circle around a check, of three checks to half of them, if chance shows none such."""
    n, c = len(xy_m), int(is_faulty.sum())
    nearest = np.argsort(distances_m(xy_m), axis=1, kind="stable")[:, : n // 2]
    llr = llr_table(c, n, n // 2)

    def ratios(labels: Flags) -> NDArray[np.float64]:
        counts = np.cumsum(labels[nearest], axis=1)
        return llr[np.arange(1, n // 2 + 1), counts][:, 2:]

    found = ratios(is_faulty)
    chance = [ratios(rng.permutation(is_faulty)).max() for _ in range(permutations)]
    flags = np.zeros(n, bool)
    if (1 + (np.array(chance) >= found.max()).sum()) / (permutations + 1) <= 0.05:
        centre, size = np.unravel_index(found.argmax(), found.shape)
        flags[nearest[centre, : int(size) + 3]] = True
    return flags


def row_flags(checks: list[CheckedTree]) -> Flags:
    """Checks of rows that are weak by themselves."""
    weak = {one.row for one in weak_rows(checks)}
    return np.array([one.row in weak for one in checks])


def row_fdr_flags(checks: list[CheckedTree]) -> Flags:
    """Checks of rows with too many faulty ones by the exact chance, rows held to one false discovery rate."""
    checked = Counter(one.row for one in checks)
    faulty = Counter(one.row for one in checks if one.is_faulty)
    rows = sorted(checked)
    p = exact_gi_star(
        [checked[row] for row in rows],
        [faulty[row] for row in rows],
        checks=len(checks),
        faulty=faulty.total(),
    )
    weak = {row for row, is_kept in zip(rows, kept_by_fdr(p), strict=True) if is_kept}
    return np.array([one.row in weak for one in checks])
