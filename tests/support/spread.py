"""How evenly sample trees are spread over a block."""

import numpy as np
from numpy.typing import ArrayLike, NDArray


def voronoi_shares(trees_xy: ArrayLike, sample: ArrayLike) -> NDArray[np.float64]:
    """Return for each sample tree the trees nearest to it, in shares of what would be even; ties are split.

    Stevens & Olsen 2004, JASA 99:262-278; trees shape (n, 2), sample their indices.
    """
    xy, chosen = np.asarray(trees_xy, float), np.asarray(sample)
    squares = ((xy[:, np.newaxis] - xy[chosen]) ** 2).sum(axis=2)
    nearest = np.isclose(squares, squares.min(axis=1, keepdims=True))
    return np.asarray((nearest / nearest.sum(axis=1, keepdims=True)).sum(axis=0) * len(chosen) / len(xy))


def voronoi_balance(trees_xy: ArrayLike, sample: ArrayLike) -> float:
    """Return the mean square of what the shares are off one: 0 is perfectly even."""
    return float(((voronoi_shares(trees_xy, sample) - 1.0) ** 2).mean())
