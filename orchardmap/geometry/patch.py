"""The ground that a run of rows by a stretch of positions takes: half a row and half a tree around its trees."""

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from orchardmap.geometry.frame import local_xy_m, lonlat_deg, origin_lonlat
from orchardmap.geometry.positions import position_lonlat, stretch_line
from orchardmap.model.orchard import Row

__all__ = ["patch_ring"]

LONE_ROW_HALF_M = 2.0
"""Half a row where the block has no other one (common practice: 4 m from row to row)."""
_STRAIGHT_M = 0.05
_MITRE = 2

Ring = list[tuple[float, float]]


def patch_ring(rows: Sequence[Row], *, numbers: tuple[int, int], positions: tuple[int, int]) -> Ring:
    """Return the outline of a run of rows by a stretch of positions.

    Parameters
    ----------
    rows : sequence of Row
        All rows of the block; lines in EPSG:4326. Curved ones, and such of several parts, are followed.
    numbers : (int, int)
        First and last row number, both included.
    positions : (int, int)
        First and last position, both included; a row that ends before is taken to its end.

    Returns
    -------
    list of (float, float), degrees
        Longitude and latitude, closed (the last point is the first), 7 decimals. Around the outer rows half the distance to
        the next row, along them half a tree. Gaps between the parts of a row are bridged. Empty where no row has such
        a position.

    Examples
    --------
    >>> from shapely.geometry import MultiLineString
    >>> lines = [MultiLineString([[(11 + at / 1e4, 45.0), (11 + at / 1e4, 45.001)]]) for at in range(3)]
    >>> rows = [Row("", number, line, 111.1, 0.0, (11,)) for number, line in enumerate(lines, 1)]
    >>> ring = patch_ring(rows, numbers=(2, 2), positions=(3, 5))
    >>> sorted({(round(east, 5), round(north, 5)) for east, north in ring})
    [(11.00005, 45.00015), (11.00005, 45.00045), (11.00015, 45.00015), (11.00015, 45.00045)]
    """
    near = [row for row in rows if numbers[0] - 1 <= row.number <= numbers[1] + 1 and row.positions]
    inside = [row for row in near if numbers[0] <= row.number <= numbers[1] and row.positions >= positions[0]]
    if not inside:
        return []
    origin = origin_lonlat(shapely.get_coordinates([row.line for row in inside]))
    stretches = [_stretch_xy_m(row, positions, origin) for row in inside]
    half_m = _half_row_m(
        near, {row.number: line for row, line in zip(inside, stretches, strict=True)}, origin
    )
    pieces: list[BaseGeometry] = [
        line.buffer(half_m, cap_style="flat", join_style="mitre", mitre_limit=_MITRE) for line in stretches
    ]
    pieces += [
        shapely.make_valid(Polygon([*one.coords, *reversed(other.coords)]))
        for one, other in pairwise(stretches)
    ]
    ground = shapely.union_all(pieces).simplify(_STRAIGHT_M)
    if not isinstance(ground, Polygon):
        ground = ground.convex_hull
    around = lonlat_deg(shapely.get_coordinates(shapely.get_exterior_ring(ground)), origin)
    return [(round(east, 7), round(north, 7)) for east, north in around.tolist()]


def _stretch_xy_m(row: Row, positions: tuple[int, int], origin: NDArray[np.float64]) -> LineString:
    """Return the piece of a row as one line in metres, over the gaps between its parts and half a tree beyond its ends."""
    first, last = positions[0], min(positions[1], row.positions)
    along = local_xy_m(shapely.get_coordinates(stretch_line(row, first=first, last=last)), origin)
    around = [max(1, first - 1), first, last, min(last + 1, row.positions)]
    trees = local_xy_m(position_lonlat(row, around), origin)
    half_tree_m = (
        np.linalg.norm([trees[1] - trees[0], trees[3] - trees[2], trees[2] - trees[1]], axis=1) / 2.0
    )
    half_tree_m[2] /= max(1, last - first)
    half_m = float(half_tree_m.max())
    return LineString(_drawn_out(_drawn_out(along, trees[1], half_m)[::-1], trees[2], half_m)[::-1])


def _drawn_out(along: NDArray[np.float64], tree: NDArray[np.float64], half_m: float) -> NDArray[np.float64]:
    """Return a line whose first point lies half a tree before its first tree at least."""
    ahead = along[0] - along[1]
    short_m = half_m - float(np.linalg.norm(along[0] - tree))
    if short_m <= 0.0:
        return along
    return np.concatenate(([along[0] + ahead / np.linalg.norm(ahead) * short_m], along))


def _half_row_m(near: Sequence[Row], inside: dict[int, LineString], origin: NDArray[np.float64]) -> float:
    """Return half of what lies between the rows: the middle of all distances from a row to the next one."""
    whole = {
        row.number: shapely.transform(row.line, lambda lonlat: local_xy_m(lonlat, origin)) for row in near
    }
    # where a row's trees are, not where it comes nearest: rows that fan out lie apart there
    middles = {
        number: shapely.line_interpolate_point(line, 0.5, normalized=True) for number, line in inside.items()
    }
    between = [
        shapely.distance(middle if number + step in inside else whole[number], whole[number + step])
        for number, middle in middles.items()
        for step in (-1, 1)
        if number + step in whole
    ]
    return float(np.median(between)) / 2.0 if between else LONE_ROW_HALF_M
