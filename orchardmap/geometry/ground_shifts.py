"""What of an edited ground is easily wrong and hard to see: rows taken for their neighbours, first ends that moved, rows and blocks on other ground."""

from collections.abc import Sequence
from functools import partial

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from orchardmap.geometry.frame import local_xy_m, origin_lonlat
from orchardmap.geometry.ground import BlockGround, continued_rows
from orchardmap.geometry.positions import position_lonlat
from orchardmap.model.orchard import Block, Row

__all__ = ["beyond_m", "first_end_moved_m", "overlap_share", "rows_outside", "sideways_m", "turned_deg"]

FloatArray = NDArray[np.float64]

_BESIDE = 0.2
"""Of the row spacing: rows of a new survey that all lie farther than this to one side may be each its neighbour."""
_LEAST_ROWS = 3
_OTHERWISE_DEG = 1.0
"""Less is what surveys differ by; over 100 m it is 1.7 m."""
_EDGE_M = 1.0
"""Outlines are walked and drawn by hand: what lies this near to them lies in them."""
_LEAST_OVERLAP = 0.01


def first_end_moved_m(before: Row, after: Row) -> float:
    """Return how far the first tree of a row moves along it where the row grows or shrinks at that end.

    Parameters
    ----------
    before, after : Row
        The row, and what an edit made of it.

    Returns
    -------
    float, metres
        Outwards, inwards where negative. 0 for less than half a tree, and where the whole row slides: then its trees go with it.
    """
    if before.line == after.line or not before.positions or not after.positions:
        return 0.0
    ends = shapely.get_coordinates(before.line)[[0, -1]]
    trees = [position_lonlat(row, [1, row.positions]) for row in (before, after)]
    points = local_xy_m(np.concatenate([ends, *trees]), origin_lonlat(ends))
    along = points[1] - points[0]
    length_m = float(np.hypot(*along))
    if not length_m:
        return 0.0
    was_first, was_last, is_first, is_last = (points[2:] @ along / length_m).tolist()
    half_tree_m = before.length_m / before.positions / 2.0
    out_m, longer_m = was_first - is_first, (is_last - is_first) - (was_last - was_first)
    return round(out_m, 1) if min(abs(out_m), abs(longer_m)) > half_tree_m else 0.0


def beyond_m(outline: BaseGeometry, rows: Sequence[Row]) -> float:
    """Return how far an outline reaches beyond row 1, to the side on which no row follows.

    Parameters
    ----------
    outline : BaseGeometry
        Polygon or polygons, lonlat degrees (WGS 84).
    rows : sequence of Row
        Its rows in order of their numbers.

    Returns
    -------
    float, metres
        Across row 1, from its line to the outline's farthest corner; 0 with fewer than two rows.
    """
    if len(rows) < 2:
        return 0.0
    ends = np.array([shapely.get_coordinates(row.line)[[0, -1]] for row in (rows[0], rows[-1])])
    corners = shapely.get_coordinates(outline)
    origin = origin_lonlat(corners)
    (start, end), last = local_xy_m(ends[0], origin), local_xy_m(ends[1], origin)
    across = np.array([end[1] - start[1], start[0] - end[0]]) / np.hypot(*(end - start))
    across = across * np.sign(((last - start) @ across).sum())
    return float(max(0.0, -((local_xy_m(corners, origin) - start) @ across).min()))


def sideways_m(before: BlockGround, after: BlockGround) -> float:
    """Return how far the rows of a block that was surveyed again lie to one side of where they stood, all of them together.

    Parameters
    ----------
    before, after : BlockGround
        The block, and what the survey made of it.

    Returns
    -------
    float, metres
        The middle of their distances, to the right of their direction, to the left where negative; 0 where they lie on either side,
        or near: then each is the row that stood there.

    Notes
    -----
    A survey that is off by more than half the row spacing makes each row its neighbour, and the rows then lie to one side by what is
    missing to the next row. Nothing but a look at one row in the field tells this from rows that were drawn wrong before.
    """
    old, new = _both_m(before, after)
    planting = after.block.planting
    if len(old) < _LEAST_ROWS or planting is None:
        return 0.0
    along = old[:, 1] - old[:, 0]
    off = new.mean(axis=1) - old[:, 0]
    across = (off[:, 0] * along[:, 1] - off[:, 1] * along[:, 0]) / np.maximum(np.hypot(*along.T), 1e-9)
    middle = float(np.median(across))
    one_side = abs(float(np.sign(across).sum())) >= 0.8 * len(across)
    return round(middle, 1) if one_side and abs(middle) > _BESIDE * planting.row_spacing_m else 0.0


def turned_deg(before: BlockGround, after: BlockGround) -> float:
    """Return by how many degrees the rows of a block run otherwise than before, the middle of them; 0 for what surveys differ by."""
    old, new = _both_m(before, after)
    if not len(old):
        return 0.0
    bearings = [np.degrees(np.arctan2(*(ends[:, 1] - ends[:, 0]).T)) for ends in (old, new)]
    turned = (bearings[1] - bearings[0] + 180.0) % 360.0 - 180.0
    middle = abs(float(np.median(turned)))
    return round(middle, 1) if middle > _OTHERWISE_DEG else 0.0


def _both_m(before: BlockGround, after: BlockGround) -> tuple[FloatArray, FloatArray]:
    """Return first and last vertex of each row that goes on, before and after, each of shape (n, 2, 2), metres."""
    now = continued_rows({after.block.id: after})
    pairs = [
        (one.row, now[key][1].row) for one in before.rows if (key := (before.block.id, one.row.number)) in now
    ]
    if not pairs:
        return np.empty((0, 2, 2)), np.empty((0, 2, 2))
    ends = np.array([[shapely.get_coordinates(row.line)[[0, -1]] for row in pair] for pair in pairs])
    flat = ends.reshape(-1, 2)
    metres = local_xy_m(flat, origin_lonlat(flat)).reshape(ends.shape)
    return metres[:, 0], metres[:, 1]


def rows_outside(ground: BlockGround) -> list[int]:
    """Return the numbers of rows that lie outside the block's outline for more than half of their length."""
    outline = ground.block.outline
    if outline is None:
        return []
    there, *lines = _in_metres([outline, *(one.row.line for one in ground.rows)])
    around = shapely.buffer(there, _EDGE_M)
    inside = shapely.length(shapely.intersection(lines, around)) if lines else np.empty(0)
    return [
        one.row.number
        for one, line, length in zip(ground.rows, lines, inside, strict=True)
        if length < line.length / 2.0
    ]


def overlap_share(block: Block, others: Sequence[Block]) -> dict[str, float]:
    """Return by id of another block which share of this one's ground is that one's too, where it is worth a word."""
    if block.outline is None:
        return {}
    near = [one for one in others if one.outline is not None and one.outline.intersects(block.outline)]
    if not near:
        return {}
    own, *theirs = _in_metres([block.outline, *(one.outline for one in near)])
    inner = shapely.buffer(own, -_EDGE_M)
    shares = {
        one.id: shapely.intersection(inner, other).area / own.area
        for one, other in zip(near, theirs, strict=True)
    }
    return {key: share for key, share in shares.items() if share >= _LEAST_OVERLAP}


def _in_metres(geometries: Sequence[BaseGeometry | None]) -> list[BaseGeometry]:
    origin = origin_lonlat(shapely.get_coordinates(geometries))
    return list(shapely.transform(np.array(geometries), partial(local_xy_m, origin_lonlat=origin)))
