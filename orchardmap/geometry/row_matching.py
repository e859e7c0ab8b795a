"""Which rows of a new survey are which rows that are there: by where they stand, never by the order they come in."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from orchardmap.geometry.frame import local_xy_m, origin_lonlat
from orchardmap.model.orchard import Row

__all__ = ["Match", "matched_rows"]

FloatArray = NDArray[np.float64]

_MOST_TURN_DEG = 10.0
"""Rows that run otherwise by more are other rows, wherever they cross: a bearing that was typed wrong is off by less."""
_SHARED = 0.5
"""Of the shorter row's length, that both must run beside each other."""


class Match(NamedTuple):
    """A new row and the one that it was."""

    new: int
    old: int
    """Indices into what was given."""
    turned: bool
    """It runs against the old one."""
    distance_m: float
    """From its middle to the old row's line, across."""


def matched_rows(old: Sequence[Row], new: Sequence[Row], *, within_m: float) -> list[Match]:
    """Return pairs of new and old rows that are the same trees.

    Parameters
    ----------
    old, new : sequence of Row
        Of one block, lines in EPSG:4326.
    within_m : float, metres
        Farthest that a row may stand from where it was: less than half the row spacing, or neighbours are taken for each other.

    Returns
    -------
    list of Match
        Each row in one pair at most, the nearest pairs taken first; by index of the new row. Rows that run beside each other for
        less than half of the shorter one are none, nor are rows that cross each other.

    Notes
    -----
    Rows are taken as the straight line from their first to their last vertex: so are nearly all, and of bent ones neighbours bend alike.
    """
    if not old or not new:
        return []
    origin = origin_lonlat(shapely.get_coordinates([row.line for row in (*old, *new)]))
    before, after = _ends_m(old, origin), _ends_m(new, origin)
    unit, length = _directions(before)
    along_new, _ = _directions(after)
    # shape (new, old): across from the middle of the new row, along of both its ends
    off = after.mean(axis=1)[:, None, :] - before[None, :, 0, :]
    across = np.abs(off[..., 0] * unit[:, 1] - off[..., 1] * unit[:, 0])
    along = np.einsum("nekd,kd->nek", after[:, :, None, :] - before[None, None, :, 0, :], unit)
    low, high = along.min(axis=1), along.max(axis=1)
    shared = np.minimum(high, length[None, :]) - np.maximum(low, 0.0)
    shorter = np.minimum(high - low, length[None, :])
    beside = np.abs(along_new @ unit.T) >= np.cos(np.radians(_MOST_TURN_DEG))
    fits = (across <= within_m) & (shared >= _SHARED * shorter) & (shorter > 0.0) & beside
    pairs = np.argwhere(fits)
    pairs = pairs[np.argsort(across[fits], kind="stable")]
    found: list[Match] = []
    free_new, free_old = set(range(len(new))), set(range(len(old)))
    for n, o in pairs.tolist():
        if n in free_new and o in free_old:
            free_new.discard(n)
            free_old.discard(o)
            found.append(Match(n, o, bool(along[n, 0, o] > along[n, 1, o]), float(across[n, o])))
    return sorted(found)


def _directions(ends_m: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return unit vectors along rows, shape (n, 2), and how long the rows are, metres."""
    direction = ends_m[:, 1] - ends_m[:, 0]
    length = np.hypot(direction[:, 0], direction[:, 1])
    return direction / np.maximum(length, 1e-9)[:, None], length


def _ends_m(rows: Sequence[Row], origin: FloatArray) -> FloatArray:
    """Return first and last vertex of each row, shape (n, 2, 2), metres."""
    ends = [shapely.get_coordinates(row.line)[[0, -1]] for row in rows]
    return local_xy_m(np.array(ends).reshape(-1, 2), origin).reshape(-1, 2, 2)
