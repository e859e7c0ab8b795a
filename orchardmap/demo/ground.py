"""The lie of the invented land, in metres on a drawing sheet: fields, stream, lanes, pond, yard.

Every shape was made up for this farm. Only the spot where the sheet is laid down is on the globe: open
country in a temperate climate, so that the map has true bearings and true lengths. "West" and
"north" of the sheet are its left and its top.
"""

import math

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import LineString, MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from orchardmap.geometry.frame import lonlat_deg

ORIGIN_LONLAT = (-2.716, 52.234)
TURN_DEG = 17.0  # the farm is drawn square to the sheet; on the globe it lies turned anticlockwise by this
LONLAT_DECIMALS = 7  # about a centimetre: what a survey on foot would claim

# Corners in metres: south-west, south-east, north-east, north-west.
FIELDS: dict[str, tuple[tuple[float, float], ...]] = {
    "home": ((38, 26), (566, -8), (571, 246), (-22, 262)),
    "wash": ((-14, 272), (571, 256), (592, 560), (-30, 545)),
    "long": ((596, -42), (1196, 52), (1139, 296), (590, 252)),
    "ham": ((590, 262), (1139, 306), (1192, 560), (606, 548)),
    "ridge": ((-52, 470), (592, 470), (574, 824), (34, 762)),
    "beacon": ((606, 470), (1150, 480), (1204, 838), (592, 786)),
}


def stream() -> LineString:
    """Return the middle of the stream, west to east, in metres."""
    x_m = np.arange(-80.0, 1241.0, 10.0)
    y_m = 512.0 + 26.0 * np.sin(x_m / 165.0 + 0.4) + 9.0 * np.sin(x_m / 64.0)
    return LineString(np.column_stack([x_m, y_m]))


LANE = LineString([(577, -80), (583, 250), (600, 500), (582, 870)])
TRACK = LineString([(572, 128), (430, 122), (330, 133), (180, 128), (-60, 140)])
CART_ROAD = LineString([(600, 650), (760, 640), (930, 664), (1240, 655)])
_THROUGH_HOME = shapely.box(210, 0, 310, 300)
_THROUGH_BEACON = shapely.box(1034, 400, 1300, 900)
"""Where a track runs through a block; elsewhere it runs along its edge."""


def ways() -> list[BaseGeometry]:
    """Return what no tree stands on and what cuts any block it crosses: stream, lane and farm track."""
    return [
        stream().buffer(8.0),
        LANE.buffer(7.0),
        TRACK.buffer(3.5, cap_style="flat").intersection(_THROUGH_HOME),
        CART_ROAD.buffer(3.5).intersection(_THROUGH_BEACON),
    ]


def pond() -> Polygon:
    """Return the pond: an uneven oval, in metres."""
    turn = np.linspace(0.0, 2.0 * np.pi, 25)[:-1]
    radius_m = 17.0 + 3.0 * np.sin(2 * turn + 0.5) + 1.5 * np.sin(3 * turn)
    return Polygon(np.column_stack([300 + 1.3 * radius_m * np.cos(turn), 388 + radius_m * np.sin(turn)]))


def yard() -> Polygon:
    """Return the farm yard, which takes a corner out of a block beside the lane, in metres."""
    return Polygon([(497, 158), (578, 162), (578, 250), (490, 250)])


def power_line() -> LineString:
    """Return the power line that comes in from the north and ends above the stream, a point at each pole, in metres."""
    return LineString([(548, 900), (538, 800), (530, 720), (524, 650)])


def cell(field: str, *, across: tuple[float, float], up: tuple[float, float]) -> Polygon:
    """Return one part of a field, in metres.

    Parameters
    ----------
    field : str
        Key of ``FIELDS``.
    across, up : tuple of float, shares of the field, 0 to 1
        From its west side to its east side, and from its south side to its north side.

    Returns
    -------
    Polygon
        Corners south-west, south-east, north-east, north-west.
    """
    west_south, east_south, east_north, west_north = (np.array(corner, float) for corner in FIELDS[field])
    corners = []
    for u, v in ((across[0], up[0]), (across[1], up[0]), (across[1], up[1]), (across[0], up[1])):
        south = west_south + u * (east_south - west_south)
        north = west_north + u * (east_north - west_north)
        corners.append(south + v * (north - south))
    return Polygon(corners)


def bank(from_x_m: float, to_x_m: float, *, off_m: float) -> NDArray[np.float64]:
    """Return a line along the south bank, from west to east.

    Parameters
    ----------
    from_x_m, to_x_m : float, metres
        On the sheet; ``from_x_m < to_x_m``.
    off_m : float, metres, > 0
        From the middle of the stream.

    Returns
    -------
    ndarray of float64, shape (n, 2), metres
        Vertices about 12 m apart.
    """
    line = shapely.offset_curve(stream(), -off_m)
    points = shapely.line_interpolate_point(line, np.arange(0.0, line.length, 12.0))
    xy_m = shapely.get_coordinates(points)
    return xy_m[(xy_m[:, 0] >= from_x_m) & (xy_m[:, 0] <= to_x_m)]


def as_lonlat(xy_m: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return longitude and latitude of points of the sheet.

    Parameters
    ----------
    xy_m : ndarray of float64, shape (n, 2), metres

    Returns
    -------
    ndarray of float64, shape (n, 2), degrees
        WGS 84, longitude first, rounded to a centimetre.
    """
    turn = math.radians(TURN_DEG)
    east_north_m = xy_m @ np.array([[math.cos(turn), math.sin(turn)], [-math.sin(turn), math.cos(turn)]])
    return np.round(lonlat_deg(east_north_m, ORIGIN_LONLAT), LONLAT_DECIMALS)


def outline_lonlat(shape: Polygon | MultiPolygon) -> Polygon | MultiPolygon:
    """Return an outline in degrees (WGS 84) from one in metres."""
    moved: Polygon | MultiPolygon = shapely.transform(shape, as_lonlat)
    return moved
