"""Rows near a hazard: how far each row of a block stays from a line overhead."""

import math
from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import LineString, MultiLineString

from orchardmap.errors import InputError, OutlineError
from orchardmap.geometry.frame import local_xy_m, origin_lonlat

__all__ = ["line_distances_m", "rows_near_line"]

Line = LineString | MultiLineString


def line_distances_m(rows: Sequence[Line], line: Line) -> NDArray[np.float64]:
    """Return how far each row is from a line, on the plan.

    Parameters
    ----------
    rows : sequence of LineString or MultiLineString, shape (n,), degrees
        Rows of one block, longitude first (EPSG:4326).
    line : LineString or MultiLineString, degrees
        What hangs overhead, EPSG:4326, with a vertex at each pole.

    Returns
    -------
    ndarray of float64, shape (n,), metres
        Least distance between row and line, 0 where they cross. Trees, ladders and tools reach out of a row: whoever
        asks adds that.

    Raises
    ------
    OutlineError
        If the line or a row has no points or a point that is not a number: nothing could be said to be clear.

    Notes
    -----
    Straight distances in the block's frame (`orchardmap.geometry.frame`), whose error beside the block is under a
    millimetre. Between two poles the line is straight; how far a span hangs or swings is not known here.

    Examples
    --------
    One arc second of latitude at 45 degrees north:

    >>> row = LineString([(11.0, 45.0), (11.001, 45.0)])
    >>> line = LineString([(10.999, 45 + 1 / 3600), (11.002, 45 + 1 / 3600)])
    >>> line_distances_m([row], line).round(2)
    array([30.87])
    >>> line_distances_m([], line)
    array([], dtype=float64)
    """
    together = np.array([line, *rows], dtype=object)
    lonlat, number = shapely.get_coordinates(together, return_index=True)
    has_place = np.bincount(number, minlength=len(together)) > 0
    has_place[number[~np.isfinite(lonlat).all(axis=1)]] = False
    if not has_place.all():
        first = int(np.argmin(has_place))
        where = f"row {first}" if first else "line"
        raise OutlineError("It has no points, or one that is not a number.", where=where)
    if not rows:
        return np.empty(0)
    origin = origin_lonlat(lonlat[number > 0])
    placed = shapely.transform(together, lambda points: local_xy_m(points, origin))
    return np.asarray(shapely.distance(placed[1:], placed[0]), dtype=np.float64)


def rows_near_line(rows: Sequence[Line], line: Line, distance_m: float) -> NDArray[np.bool_]:
    """Return which rows come within a distance of a line.

    Parameters
    ----------
    rows : sequence of LineString or MultiLineString, shape (n,), degrees
        As for `line_distances_m`.
    line : LineString or MultiLineString, degrees
        As for `line_distances_m`.
    distance_m : float, metres
        Clearance to keep and whatever reaches out of the row, >= 0.

    Returns
    -------
    ndarray of bool, shape (n,)
        True from exactly that distance down.

    Raises
    ------
    InputError
        If the distance is negative or not finite. A line or row is refused as in `line_distances_m`.

    Examples
    --------
    >>> row = LineString([(11.0, 45.0), (11.001, 45.0)])
    >>> rows_near_line([row], row, 0.0)
    array([ True])
    """
    if not math.isfinite(distance_m) or distance_m < 0:
        raise InputError(f"It must be a number of metres from 0 up, not {distance_m}.", where="distance_m")
    return line_distances_m(rows, line) <= distance_m
