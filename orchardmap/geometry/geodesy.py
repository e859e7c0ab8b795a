"""Lengths, areas, distances and azimuths on the ellipsoid (Karney's geodesics, through PROJ).

Every function takes longitude and latitude in degrees (EPSG:4326) and an optional ellipsoid by
its PROJ name; the default is WGS 84.
"""

from collections.abc import Iterator, Sequence
from functools import lru_cache

import numpy as np
import shapely
from numpy.typing import ArrayLike, NDArray
from pyproj import Geod
from shapely.geometry import LineString, MultiLineString, MultiPolygon, Point, Polygon

from orchardmap.errors import OutlineError

__all__ = [
    "area_m2",
    "destination_lonlat",
    "distance_azimuth",
    "line_length_m",
    "line_lengths_m",
    "perimeter_m",
    "point_line_distance_m",
]

FloatArray = NDArray[np.float64]
Areal = Polygon | MultiPolygon
Linear = LineString | MultiLineString


def distance_azimuth(
    start_lonlat: ArrayLike, end_lonlat: ArrayLike, *, ellipsoid: str = "WGS84"
) -> tuple[FloatArray, FloatArray]:
    """Return the geodesic distance from points to points, and the azimuth at the start.

    Parameters
    ----------
    start_lonlat, end_lonlat : array_like of float, shape (2,) or (n, 2), degrees
        Points, longitude first.
    ellipsoid : str
        PROJ name of the ellipsoid.

    Returns
    -------
    distance_m : ndarray of float64, shape () or (n,), metres
        Geodesic distances.
    azimuth_deg : ndarray of float64, shape () or (n,), degrees
        From true north, clockwise, 0 <= azimuth < 360.

    Examples
    --------
    >>> distance, azimuth = distance_azimuth([11.0, 45.0], [11.0, 45.0 + 1 / 3600])
    >>> round(float(distance), 2), round(float(azimuth), 6)
    (30.87, 0.0)
    """
    start, end = np.broadcast_arrays(
        np.asarray(start_lonlat, dtype=np.float64), np.asarray(end_lonlat, dtype=np.float64)
    )
    ahead, _, distance = _geod(ellipsoid).inv(start[..., 0], start[..., 1], end[..., 0], end[..., 1])
    return np.asarray(distance), np.asarray(ahead) % 360.0


def destination_lonlat(
    start_lonlat: ArrayLike, azimuth_deg: ArrayLike, *, distance_m: ArrayLike, ellipsoid: str = "WGS84"
) -> FloatArray:
    """Return where a geodesic of a given azimuth and length ends.

    Parameters
    ----------
    start_lonlat : array_like of float, shape (2,) or (n, 2), degrees
        Where it starts, longitude first.
    azimuth_deg : array_like of float, shape () or (n,), degrees
        From true north, clockwise.
    distance_m : array_like of float, shape () or (n,), metres
        Length of the geodesic.
    ellipsoid : str
        PROJ name of the ellipsoid.

    Returns
    -------
    ndarray of float64, shape (2,) or (n, 2), degrees
        Longitude and latitude of the ends.

    Examples
    --------
    >>> destination_lonlat([11.0, 45.0], 0.0, distance_m=30.87).round(5).tolist()
    [11.0, 45.00028]
    """
    start = np.asarray(start_lonlat, dtype=np.float64)
    lon, lat, azimuth, distance = np.broadcast_arrays(start[..., 0], start[..., 1], azimuth_deg, distance_m)
    end_lon, end_lat, _ = _geod(ellipsoid).fwd(lon, lat, azimuth, distance)
    return np.stack((np.asarray(end_lon), np.asarray(end_lat)), axis=-1)


def line_lengths_m(lines: Sequence[Linear] | NDArray[np.object_], *, ellipsoid: str = "WGS84") -> FloatArray:
    """Return the geodesic lengths of many lines in one pass.

    Parameters
    ----------
    lines : sequence of LineString or MultiLineString, n of them, degrees
        Lines in EPSG:4326. Gaps between the parts of a MultiLineString do not count.
    ellipsoid : str
        PROJ name of the ellipsoid.

    Returns
    -------
    ndarray of float64, shape (n,), metres
        Plan lengths on the ellipsoid; 0 for an empty line.

    Examples
    --------
    >>> line_lengths_m([LineString([(11, 45), (11, 45 + 1 / 3600)]), LineString()]).round(2)
    array([30.87,  0.  ])
    """
    whole = np.asarray(lines, dtype=object)
    parts, owner = shapely.get_parts(whole, return_index=True)
    lonlat, part = shapely.get_coordinates(parts, return_index=True)
    same = part[1:] == part[:-1]
    steps_m, _ = distance_azimuth(lonlat[:-1][same], lonlat[1:][same], ellipsoid=ellipsoid)
    return np.bincount(owner[part[1:][same]], weights=steps_m, minlength=len(whole)).astype(np.float64)


def line_length_m(line: Linear, *, ellipsoid: str = "WGS84") -> float:
    """Return the geodesic length of one line.

    Parameters
    ----------
    line : LineString or MultiLineString, degrees
        A line in EPSG:4326.
    ellipsoid : str
        PROJ name of the ellipsoid.

    Returns
    -------
    float
        Metres on the ellipsoid; a slope makes the ground longer (see `slope`).

    Examples
    --------
    >>> round(line_length_m(LineString([(11, 45), (11, 45 + 1 / 3600)])), 2)
    30.87
    """
    return float(line_lengths_m([line], ellipsoid=ellipsoid)[0])


def area_m2(outline: Areal, *, ellipsoid: str = "WGS84") -> float:
    """Return the geodesic area of an outline: its parts less their holes.

    Parameters
    ----------
    outline : Polygon or MultiPolygon, degrees
        In EPSG:4326; rings may run either way round.
    ellipsoid : str
        PROJ name of the ellipsoid.

    Returns
    -------
    float
        Square metres, >= 0. A ring that crosses itself is measured as drawn: loops of opposite
        sense cancel.

    Examples
    --------
    >>> outline = Polygon([(179.999, -16.8), (-179.999, -16.8), (-179.999, -16.801), (179.999, -16.801)])
    >>> round(area_m2(outline), 2)
    23593.75
    """
    area = 0.0
    for polygon in _polygons(outline):
        area += _ring_area_perimeter(polygon.exterior, ellipsoid)[0]
        area -= sum(_ring_area_perimeter(hole, ellipsoid)[0] for hole in polygon.interiors)
    return max(area, 0.0)


def perimeter_m(outline: Areal, *, with_holes: bool = False, ellipsoid: str = "WGS84") -> float:
    """Return the geodesic length of an outline's outer rings.

    Parameters
    ----------
    outline : Polygon or MultiPolygon, degrees
        In EPSG:4326.
    with_holes : bool
        Count the edges of holes too (as PostGIS does; PROJ does not).
    ellipsoid : str
        PROJ name of the ellipsoid.

    Returns
    -------
    float
        Metres.

    Examples
    --------
    >>> round(perimeter_m(Polygon([(11, 45), (11.001, 45), (11.001, 45.001), (11, 45.001)])), 1)
    380.0
    """
    rings = [
        ring
        for polygon in _polygons(outline)
        for ring in (polygon.exterior, *(polygon.interiors if with_holes else ()))
    ]
    return float(sum(_ring_area_perimeter(ring, ellipsoid)[1] for ring in rings))


def point_line_distance_m(point: Point, line: Linear, *, ellipsoid: str = "WGS84") -> float:
    """Return the geodesic distance from a point to the nearest place on a line.

    Parameters
    ----------
    point : Point, degrees
        In EPSG:4326.
    line : LineString or MultiLineString, degrees
        In EPSG:4326; its segments are geodesics.
    ellipsoid : str
        PROJ name of the ellipsoid.

    Returns
    -------
    float
        Metres.

    Raises
    ------
    OutlineError
        If the point or the line is empty.

    Notes
    -----
    For each segment the foot is found by stepping along the geodesic by the along-track part of
    what is left (distance times the cosine of the angle between), held within the segment. For
    distances small against the Earth's radius each step squares the error; 40 steps are the limit.

    Examples
    --------
    >>> line = LineString([(11.0, 45.0), (11.0, 45.1)])
    >>> round(point_line_distance_m(Point(11.001, 45.05), line), 2)
    78.78
    """
    if point.is_empty or line.is_empty:
        raise OutlineError("There is no distance to a point or line without coordinates.")
    geod = _geod(ellipsoid)
    lonlat, part = shapely.get_coordinates(shapely.get_parts(line), return_index=True)
    same = part[1:] == part[:-1]
    start, end = lonlat[:-1][same], lonlat[1:][same]
    length_m, azimuth_deg = distance_azimuth(start, end, ellipsoid=ellipsoid)
    along_m = length_m / 2.0
    here_lon, here_lat = np.full(len(start), point.x), np.full(len(start), point.y)
    for _ in range(40):
        lon, lat, back = geod.fwd(start[:, 0], start[:, 1], azimuth_deg, along_m)
        ahead, _, left_m = geod.inv(lon, lat, here_lon, here_lat)
        angle = np.radians(np.asarray(ahead) - (np.asarray(back) + 180.0))
        moved_m = np.clip(along_m + np.asarray(left_m) * np.cos(angle), 0.0, length_m)
        still = np.abs(moved_m - along_m).max() < 1e-7
        along_m = moved_m
        if still:
            break
    lon, lat, _ = geod.fwd(start[:, 0], start[:, 1], azimuth_deg, along_m)
    return float(np.min(geod.inv(lon, lat, here_lon, here_lat)[2]))


@lru_cache(maxsize=8)
def _geod(ellipsoid: str) -> Geod:
    return Geod(ellps=ellipsoid)


def _polygons(outline: Areal) -> Iterator[Polygon]:
    yield from outline.geoms if isinstance(outline, MultiPolygon) else (outline,)


def _ring_area_perimeter(ring: shapely.LinearRing, ellipsoid: str) -> tuple[float, float]:
    lonlat = shapely.get_coordinates(ring)
    if not len(lonlat):
        return 0.0, 0.0
    area, perimeter = _geod(ellipsoid).polygon_area_perimeter(lonlat[:, 0], lonlat[:, 1])
    return abs(float(area)), float(perimeter)
