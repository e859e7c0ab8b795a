"""Geometry as other programs expect it: two-dimensional, longitudes within -180 .. 180, one kind a table."""

import shapely
from shapely.affinity import translate
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from orchardmap.geodata.raw import gathered

__all__ = ["as_multi", "cut_at_antimeridian"]


def cut_at_antimeridian(geometry: BaseGeometry) -> BaseGeometry:
    """Return a geometry with all longitudes in -180 .. 180 (RFC 7946, 3.1.9); a block across the antimeridian is stored unbroken.

    Parameters
    ----------
    geometry : shapely geometry, degrees
        Longitudes within 360 degrees of Greenwich.

    Returns
    -------
    shapely geometry, degrees
    """
    west, _, east, _ = geometry.bounds
    if west >= -180 and east <= 180:
        return geometry
    parts: list[BaseGeometry] = []
    for turn in (-360.0, 0.0, 360.0):
        inside = shapely.intersection(geometry, shapely.box(-180 + turn, -90, 180 + turn, 90))
        moved = translate(inside, xoff=-turn)
        parts.extend(
            part
            for part in shapely.get_parts(moved)
            if not part.is_empty and part.geom_type in {"Polygon", "LineString", "Point"}
        )
    return gathered(parts)


def as_multi(geometry: BaseGeometry | None) -> BaseGeometry | None:
    """Return a line or polygon as its multi-geometry, and a point as it is: a table holds one kind only.

    Parameters
    ----------
    geometry : shapely geometry or None, degrees
        Empty ones count as none.

    Returns
    -------
    shapely geometry or None, degrees
        Two-dimensional, longitudes in -180 .. 180, outer rings counterclockwise.
    """
    if geometry is None or geometry.is_empty:
        return None
    cut = shapely.orient_polygons(cut_at_antimeridian(shapely.force_2d(geometry)))
    return gathered([cut]) if isinstance(cut, Polygon | LineString) else cut
