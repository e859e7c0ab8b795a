"""Straight rows of many blocks at once: an even-odd scan line over all edges.

In a block's local frame turned to the rows, ``u`` runs along them and ``v`` across, to the side on which the
rows follow row 1: to the right of travel, or to the left where two points put row 1 at the right side. Every edge of every ring knows which row lines it crosses and where; the crossings of a
row line, sorted by ``u``, pair up into the parts of the row that lie inside. Holes and several parts
need no extra care. There is no loop over blocks or rows.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import MultiPolygon, Polygon

from orchardmap.errors import InputError, OutlineError
from orchardmap.geometry.frame import curvature_radius_m, local_xy_m
from orchardmap.geometry.plantings import SLACK_M, PlantingTable

__all__ = ["Ground", "StraightParts", "ground_of", "straight_parts"]

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

_MOST_LINES = 20_000  # a block of 10 km with rows half a metre apart: more is a slip of the pen
_MOST_CROSSINGS = 20_000_000  # about 1 GB of working memory
_POLAR_DEG = 85.0
_FLAT_M = 1e-9
_EDGE_M = 0.01
"""Nearer than this to the first or the far side a line counts as on it: 8 decimals of a degree round 1 mm away, and true
north turns by a few millimetres over the length of a row from one end of a block to the other."""


@dataclass(frozen=True, slots=True, eq=False)
class Ground:
    """The vertices of n outlines, ring by ring, each in its block's local frame."""

    xy_m: FloatArray
    """Shape (vertices, 2)."""
    ring: IntArray
    """Ring of each vertex; neighbours in the same ring make an edge."""
    block: IntArray
    """Outline of each vertex, 0 ... n-1, in order."""
    origin_lonlat: FloatArray
    """Shape (n, 2): centre of each outline's bounding box."""


@dataclass(frozen=True, slots=True, eq=False)
class StraightParts:
    """Parts of straight rows in order of block, line and ``u``; headland cut off, short ones dropped."""

    block: IntArray
    line: IntArray
    """Number of the row line within its block, counted from ``v_min`` before empty ones fall away."""
    start_xy_m: FloatArray
    end_xy_m: FloatArray
    length_m: FloatArray
    """Geodesic."""


def ground_of(outlines: Sequence[Polygon | MultiPolygon]) -> Ground:
    """Return the vertices of outlines in local metres.

    Parameters
    ----------
    outlines : sequence of Polygon or MultiPolygon, n of them, degrees
        EPSG:4326; longitudes may be wrapped at the antimeridian.

    Returns
    -------
    Ground
        Vertices in metres, shape (vertices, 2).

    Raises
    ------
    OutlineError
        If an outline is empty, not finite, not in degrees, or beyond 85 degrees of latitude.
    """
    parts, block_of_part = shapely.get_parts(np.asarray(outlines, dtype=object), return_index=True)
    rings, part_of_ring = shapely.get_rings(parts, return_index=True)
    lonlat, ring = shapely.get_coordinates(rings, return_index=True)
    block = block_of_part[part_of_ring[ring]] if len(ring) else np.empty(0, dtype=np.int64)
    first = np.searchsorted(block, np.arange(len(outlines)))
    missing = np.bincount(block, minlength=len(outlines)) == 0
    if missing.any():
        raise OutlineError("It has no vertices.", where=f"outline {int(np.argmax(missing)) + 1}")
    bad = (
        ~np.isfinite(lonlat).all(axis=1)
        | (np.abs(lonlat[:, 1]) > _POLAR_DEG)
        | (np.abs(lonlat[:, 0]) > 360.0)
    )
    if bad.any():
        raise OutlineError(
            "A vertex is not longitude, latitude in degrees.",
            where=f"outline {int(block[np.argmax(bad)]) + 1}",
        )
    if not len(outlines):
        return Ground(lonlat, ring, block, np.empty((0, 2)))
    low, high = np.minimum.reduceat(lonlat, first), np.maximum.reduceat(lonlat, first)
    wraps = high[:, 0] - low[:, 0] > 180.0
    if wraps.any():
        lonlat = lonlat.copy()
        lonlat[wraps[block] & (lonlat[:, 0] < 0.0), 0] += 360.0
        low, high = np.minimum.reduceat(lonlat, first), np.maximum.reduceat(lonlat, first)
    origin = (low + high) / 2.0
    return Ground(local_xy_m(lonlat, origin[block]), ring, block, origin)


def straight_parts(
    ground: Ground, table: PlantingTable, *, bearing_deg: FloatArray, first_v_m: FloatArray, side: FloatArray
) -> StraightParts:
    """Return the parts of all straight rows.

    Parameters
    ----------
    ground : Ground
        Vertices of n outlines.
    table : PlantingTable
        Spacings, headland and minimum length of each block, metres.
    bearing_deg : ndarray of float64, shape (n,), degrees
        Direction of the rows in the local frame.
    first_v_m : ndarray of float64, shape (n,), metres
        Where the first line lies across the rows, to the right of travel; NaN means ``v_min`` plus the first-row offset.
    side : ndarray of float64, shape (n,)
        1 where the other rows lie to the right of the first one, -1 where they lie to its left.

    Returns
    -------
    StraightParts
        Parts of rows, metres, headland cut off both ends of each.

    Notes
    -----
    More than 20,000 lines in a block, or more crossings in all than memory should be spent on, are
    refused with an `InputError`.
    """
    angle = np.radians(bearing_deg)
    along = np.stack((np.sin(angle), np.cos(angle)), axis=1)
    across = np.stack((along[:, 1], -along[:, 0]), axis=1) * side[:, None]
    here = ground.block
    u = (ground.xy_m * along[here]).sum(axis=1)
    v = (ground.xy_m * across[here]).sum(axis=1)
    first = np.searchsorted(here, np.arange(len(angle)))
    v_min = np.minimum.reduceat(v, first) if len(first) else np.empty(0)
    base = np.where(np.isnan(first_v_m), v_min + table.first_row_offset_m, first_v_m * side)
    # a line on the first side itself is drawn just inside it, where rounding of the outline cannot break it up
    base = np.where(np.abs(base - v_min) < _EDGE_M, v_min + _EDGE_M, base)
    line_of, u_of = _crossings(ground, np.stack((u, v)), base=base, table=table)
    v_max = np.maximum.reduceat(v, first) if len(first) else np.empty(0)
    inside = _line_v_m(line_of, base=base, table=table) < v_max[line_of // (2 * _MOST_LINES)] - _EDGE_M
    line_of, u_of = line_of[inside], u_of[inside]
    order = np.lexsort((u_of, line_of))
    line_of, u_of = line_of[order], u_of[order]
    # every ring crosses a line an even number of times: each vertex was rounded once, for both its edges
    line, start, end = line_of[::2], u_of[::2], u_of[1::2]
    seam = (line[1:] == line[:-1]) & (start[1:] - end[:-1] <= SLACK_M)
    opens, closes = np.append(True, ~seam)[: len(line)], np.append(~seam, True)[: len(line)]
    return _cut(
        line[opens],
        np.stack((start[opens], end[closes])),
        lie=(along, across, base),
        ground=ground,
        table=table,
    )


def _line_v_m(line: IntArray, *, base: FloatArray, table: PlantingTable) -> FloatArray:
    """Return where lines (block and line in one number) lie across the rows."""
    block, in_block = np.divmod(line, 2 * _MOST_LINES)
    row, twin = np.divmod(in_block, table.lines_per_row[block].astype(np.int64))
    v_m: FloatArray = base[block] + row * table.row_spacing_m[block] + twin * table.pair_spacing_m[block]
    return v_m


def _crossings(
    ground: Ground, uv: FloatArray, *, base: FloatArray, table: PlantingTable
) -> tuple[IntArray, FloatArray]:
    """Return line (block and line in one number) and ``u`` of every crossing."""
    same = ground.ring[1:] == ground.ring[:-1]
    block = ground.block[1:][same]
    u, v = uv
    step = (v[1:] - v[:-1])[same]
    step = np.where(np.abs(step) < _FLAT_M, np.copysign(_FLAT_M, step), step)
    run = (u[1:] - u[:-1])[same]
    u_start, v_start = u[:-1][same], v[:-1][same]
    lines, places = [], []
    for twin in range(int(table.lines_per_row.max(initial=1))):
        twin_base = base + twin * table.pair_spacing_m
        # the first line at or past each vertex: one whole number a vertex, so that parities cannot break
        past = np.ceil((v - twin_base[ground.block]) / table.row_spacing_m[ground.block]).clip(0.0)
        _refuse_too_many(past, ground.block)
        a, b = past[:-1][same], past[1:][same]
        counts = np.where(table.lines_per_row[block] > twin, np.abs(a - b), 0.0).astype(np.int64)
        if counts.sum() > _MOST_CROSSINGS:
            raise InputError(
                f"The outlines cross {counts.sum():,} row lines.", todo="Calculate fewer blocks at a time."
            )
        edge = np.repeat(np.arange(len(block)), counts)
        nth = np.arange(len(edge)) - np.repeat(np.cumsum(counts) - counts, counts) + np.minimum(a, b)[edge]
        owner = block[edge]
        reach = twin_base[owner] + nth * table.row_spacing_m[owner] - v_start[edge]
        lines.append((owner * 2 * _MOST_LINES + nth * table.lines_per_row[owner] + twin).astype(np.int64))
        # held to the edge itself, which a nearly flat one would otherwise leave by rounding
        places.append(u_start[edge] + np.clip(reach / step[edge], 0.0, 1.0) * run[edge])
    return np.concatenate(lines), np.concatenate(places)


def _cut(
    line: IntArray,
    ends: FloatArray,
    *,
    lie: tuple[FloatArray, FloatArray, FloatArray],
    ground: Ground,
    table: PlantingTable,
) -> StraightParts:
    along, across, base = lie
    block, line = np.divmod(line, 2 * _MOST_LINES)
    row, twin = np.divmod(line, table.lines_per_row[block].astype(np.int64))
    v = base[block] + row * table.row_spacing_m[block] + twin * table.pair_spacing_m[block]
    ends = np.stack((ends[0] + table.headland_m[block], ends[1] - table.headland_m[block]))
    x, y = (ends * along[block, axis] + v * across[block, axis] for axis in (0, 1))
    # the frame's scale is 1 + x^2 / 2R^2: its mean along the part turns frame metres into geodesic ones
    radius_m = curvature_radius_m(ground.origin_lonlat[:, 1])[block]
    stretch = (x[0] * x[0] + x[0] * x[1] + x[1] * x[1]) / (6.0 * radius_m * radius_m)
    length = (ends[1] - ends[0]) * (1.0 - stretch)
    kept = (length > SLACK_M) & (length + SLACK_M >= table.min_row_length_m[block])
    return StraightParts(
        block=block[kept],
        line=line[kept],
        start_xy_m=np.stack((x[0], y[0]), axis=1)[kept],
        end_xy_m=np.stack((x[1], y[1]), axis=1)[kept],
        length_m=length[kept],
    )


def _refuse_too_many(past: FloatArray, block: IntArray) -> None:
    if past.max(initial=0.0) > _MOST_LINES:
        worst = int(np.argmax(past))
        raise InputError(
            f"Outline {int(block[worst]) + 1} would get {int(past[worst]):,} rows.",
            where="row_spacing_m",
            todo="The row spacing is in metres, the outline in degrees: check both.",
        )
