"""Where positions stand: made on request from a row, never stored.

The first position of a part stands one end offset in from its first end, the last one as far from
its last end, the others evenly between; a single position stands in the middle. Numbering runs on
through the parts.
"""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import ArrayLike, NDArray
from shapely.geometry import LineString, MultiLineString
from shapely.ops import substring

from orchardmap.errors import InputError
from orchardmap.geometry.frame import local_xy_m, lonlat_deg, origin_lonlat
from orchardmap.geometry.geodesy import line_lengths_m
from orchardmap.model.orchard import Row

__all__ = ["NearRow", "cut_after", "nearest_rows", "part_counts", "position_lonlat", "stretch_line"]

FloatArray = NDArray[np.float64]


class NearRow(NamedTuple):
    """A row near a point."""

    number: int
    distance_m: float
    position: int
    """The position nearest to the foot of the perpendicular; 0 where the row has none."""


def part_counts(row: Row) -> tuple[int, ...]:
    """Return how many positions stand on each part, a counted number included.

    Parameters
    ----------
    row : Row
        With the rule's count for each part and perhaps a number counted in the field.

    Returns
    -------
    tuple of int, one for each part, positions
        The rule's own counts; where a counted number overrides them, that number shared out in
        proportion to them (by length where the rule finds none), by largest remainder.

    Examples
    --------
    >>> line = MultiLineString([[(11, 45), (11, 45.001)], [(11, 45.002), (11, 45.003)]])
    >>> part_counts(Row("", 1, line, 222.3, 1.0, (42, 52), counted_positions=96))
    (43, 53)
    """
    if row.counted_positions is None or row.counted_positions == sum(row.part_positions):
        return row.part_positions
    weights = np.array(row.part_positions, dtype=np.float64)
    if not weights.sum():
        weights = line_lengths_m(list(row.line.geoms))
    if not weights.sum():
        weights = np.ones(len(weights))
    shares = weights / weights.sum() * row.counted_positions
    counts = np.floor(shares).astype(np.int64)
    largest = np.argsort(-(shares - counts), kind="stable")
    counts[largest[: row.counted_positions - int(counts.sum())]] += 1
    return tuple(counts.tolist())


def position_lonlat(row: Row, positions: ArrayLike | None = None) -> FloatArray:
    """Return where positions of a row stand.

    Parameters
    ----------
    row : Row
        The row; its line is in EPSG:4326.
    positions : array_like of int, shape (n,), optional
        Position numbers, from 1; all of them when left out.

    Returns
    -------
    ndarray of float64, shape (n, 2), degrees
        Longitude and latitude.

    Notes
    -----
    A position that the row does not have is refused with an `InputError`.

    Examples
    --------
    >>> line = MultiLineString([[(11.0, 45.0), (11.0, 45.001)]])
    >>> position_lonlat(Row("", 1, line, 111.1, 0.0, (3,)), [1, 3]).round(4).tolist()
    [[11.0, 45.0], [11.0, 45.001]]
    """
    counts = part_counts(row)
    wanted = np.arange(1, sum(counts) + 1) if positions is None else np.atleast_1d(np.asarray(positions))
    _refuse_unknown(row, wanted, positions=sum(counts))
    part, metre = _places(row, counts, wanted=wanted.astype(np.float64))
    local, origin = _local_parts(row)
    xy = np.empty((len(wanted), 2))
    for index, line in enumerate(local):
        here = part == index
        xy[here] = shapely.get_coordinates(shapely.line_interpolate_point(line, metre[here]))
    return lonlat_deg(xy, origin)


def cut_after(row: Row, position: int) -> tuple[int, float]:
    """Return where a row is split when a crew stops after a position.

    Parameters
    ----------
    row : Row
        The row.
    position : int
        The last position that was pruned, 0 (none) ... all of them.

    Returns
    -------
    part : int
        Index of the part, from 0.
    share : float
        How far along that part, 0 ... 1: midway between the position and the next one; 1 after the
        last position of a part, 0 for position 0.

    Notes
    -----
    A position that the row does not have is refused with an `InputError`.

    Examples
    --------
    >>> line = MultiLineString([[(11.0, 45.0), (11.0, 45.001)]])
    >>> cut_after(Row("", 1, line, 111.1, 0.0, (5,)), 2)
    (0, 0.375)
    """
    counts = part_counts(row)
    if position == 0:
        return 0, 0.0
    _refuse_unknown(row, np.array([position]), positions=sum(counts))
    ends = np.cumsum(counts)
    part = int(np.searchsorted(ends, position))
    if position == int(ends[part]):
        return part, 1.0
    _, metre = _places(row, counts, wanted=np.array([position, position + 1], dtype=np.float64))
    return part, float(metre.mean() / _local_parts(row)[0][part].length)


def stretch_line(row: Row, *, first: int, last: int) -> MultiLineString:
    """Return the piece of a row's line that positions ``first`` ... ``last`` take up.

    Parameters
    ----------
    row : Row
        The row.
    first, last : int
        Positions, both included; 1 <= first <= last.

    Returns
    -------
    MultiLineString, degrees
        From midway before the first to midway after the last; whole parts to their ends. Stretches
        that follow each other leave no gap and share no ground.

    Raises
    ------
    InputError
        If the positions are not in the row, or in the wrong order.
    """
    if not 1 <= first <= last:
        raise InputError(f"Positions {first} to {last} are not a stretch.", where=f"row {row.number}")
    if (first, last) == (1, row.positions):
        return row.line
    end_part, end_share = cut_after(row, last)
    part, share = cut_after(row, first - 1)
    parts, origin = _local_parts(row)
    kept = []
    for index, line in enumerate(parts):
        low = share if index == part else (0.0 if index > part else 1.0)
        high = end_share if index == end_part else (1.0 if index < end_part else 0.0)
        if (low, high) == (0.0, 1.0):
            kept.append(row.line.geoms[index])
            continue
        # cut in metres: a bent row's degrees are not of one length all along
        piece = substring(line, low, high, normalized=True) if low < high else None
        if isinstance(piece, LineString):
            kept.append(shapely.transform(piece, lambda xy_m: lonlat_deg(xy_m, origin)))
    return MultiLineString(kept)


def nearest_rows(rows: Sequence[Row], point_lonlat: tuple[float, float], *, most: int = 3) -> list[NearRow]:
    """Return the rows nearest to a point, the nearest first.

    Parameters
    ----------
    rows : sequence of Row
        Rows of one block, or of several near each other.
    point_lonlat : (float, float), degrees
        Longitude and latitude.
    most : int, rows
        How many to return at most.

    Returns
    -------
    list of NearRow
        Number, distance in metres and nearest position. A satellite fix alone picks the right row
        34 to 69 % of the time (see `checks/geometry.json`, GPS odds): offer the list, do not decide.

    Examples
    --------
    >>> line = MultiLineString([[(11.0, 45.0), (11.0, 45.001)]])
    >>> near = nearest_rows([Row("", 7, line, 111.1, 0.0, (5,))], (11.0001, 45.0005))
    >>> near[0].number, round(near[0].distance_m, 2), near[0].position
    (7, 7.88, 3)
    """
    if not rows:
        return []
    lines = np.array([row.line for row in rows], dtype=object)
    local = shapely.transform(lines, lambda lonlat: local_xy_m(lonlat, point_lonlat))
    here = shapely.points(0.0, 0.0)
    distances = shapely.distance(local, here)
    found = []
    for index in np.argsort(distances, kind="stable")[:most].tolist():
        row = rows[index]
        everywhere = position_lonlat(row)
        away = local_xy_m(everywhere, point_lonlat) if len(everywhere) else np.empty((0, 2))
        foot = shapely.get_coordinates(shapely.shortest_line(local[index], here))[0]
        nearest = int(np.argmin(np.hypot(*(away - foot).T))) + 1 if len(away) else 0
        found.append(NearRow(row.number, float(distances[index]), nearest))
    return found


def _places(row: Row, counts: tuple[int, ...], *, wanted: FloatArray) -> tuple[NDArray[np.int64], FloatArray]:
    # part, and metres from its first end, for each position
    length_m = np.array([line.length for line in _local_parts(row)[0]])
    number = np.array(counts, dtype=np.int64)
    ends = np.cumsum(number)
    part = np.searchsorted(ends, wanted)
    nth = wanted - (ends - number)[part]
    # a counted number may stand on a part too short for its end offsets: then they shrink to fit
    offset_m = np.minimum(row.end_offset_m, length_m / 2.0)[part]
    step_m = (length_m[part] - 2.0 * offset_m) / np.maximum(number[part] - 1, 1)
    metre = np.where(number[part] == 1, length_m[part] / 2.0, offset_m + (nth - 1.0) * step_m)
    return part, metre


def _local_parts(row: Row) -> tuple[list[LineString], FloatArray]:
    origin = origin_lonlat(shapely.get_coordinates(row.line))
    local = shapely.transform(row.line, lambda lonlat: local_xy_m(lonlat, origin))
    return list(local.geoms), origin


def _refuse_unknown(row: Row, wanted: NDArray[np.int64], *, positions: int) -> None:
    if len(wanted) and (wanted.min() < 1 or wanted.max() > positions):
        raise InputError(f"It has positions 1 to {positions}.", where=f"row {row.number}")
