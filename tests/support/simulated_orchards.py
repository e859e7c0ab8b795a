"""Invented blocks with and without weak areas, checked at random within every row; for tests and benchmarks."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from orchardmap.quality.weak_areas import CheckedTree

Grid = NDArray[np.bool_]


@dataclass(frozen=True)
class Block:
    """Rows of equal length; row 1 and position 1 stand at index 0. Spacings in metres."""

    rows: int = 40
    positions: int = 150
    row_spacing_m: float = 3.5
    tree_spacing_m: float = 1.0

    def none(self) -> Grid:
        return np.zeros((self.rows, self.positions), bool)

    def xy_m(self) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Across the rows and along them, each of shape (rows, positions)."""
        x, y = np.mgrid[: self.rows, : self.positions].astype(float)
        return x * self.row_spacing_m, y * self.tree_spacing_m


def circle(block: Block, rng: np.random.Generator, radius_m: float = 17.5) -> Grid:
    """A round patch, wholly inside."""
    x, y = block.xy_m()
    centre = (
        rng.uniform(radius_m, block.rows * block.row_spacing_m - radius_m),
        rng.uniform(radius_m, block.positions * block.tree_spacing_m - radius_m),
    )
    return np.asarray(np.hypot(x - centre[0], y - centre[1]) <= radius_m, bool)


def whole_rows(block: Block, rng: np.random.Generator, n: int = 3) -> Grid:
    """Neighbouring rows from end to end."""
    weak, first = block.none(), rng.integers(block.rows - n + 1)
    weak[first : first + n] = True
    return weak


def half_rows(block: Block, rng: np.random.Generator, n: int = 6) -> Grid:
    """Neighbouring rows, each from one end to its middle."""
    weak = whole_rows(block, rng, n)
    half = block.positions // 2
    weak[:, half:] &= bool(rng.integers(2))
    if weak[:, half:].any():
        weak[:, :half] = False
    return weak


PATCHES: dict[str, Callable[[Block, np.random.Generator], Grid]] = {
    "circle": circle,
    "3 rows": whole_rows,
    "6 half rows": half_rows,
}


def faulty_trees(weak: Grid, share: float, weak_share: float, rng: np.random.Generator) -> Grid:
    """Every tree of the block: faulty by one share, or by another where it is weak."""
    return np.asarray(rng.random(weak.shape) < np.where(weak, weak_share, share), bool)


def drawn_in_every_row(block: Block, checks: int, rng: np.random.Generator) -> Grid:
    """As many checks in each row as in the others, or one more."""
    drawn = block.none()
    extra = set(rng.choice(block.rows, checks % block.rows, replace=False).tolist())
    for row in range(block.rows):
        n = checks // block.rows + (row in extra)
        drawn[row, rng.choice(block.positions, n, replace=False)] = True
    return drawn


def checked(drawn: Grid, faulty: Grid, *, is_recheck: bool = False) -> list[CheckedTree]:
    """What the auditor writes down."""
    return [
        CheckedTree(int(row) + 1, int(at) + 1, bool(faulty[row, at]), is_recheck)
        for row, at in np.argwhere(drawn)
    ]
