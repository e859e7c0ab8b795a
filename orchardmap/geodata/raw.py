"""One feature that cannot be read, told apart from a file that cannot: the others are still read."""

from collections.abc import Callable, Mapping, Sequence

import shapely
from shapely.geometry import (
    GeometryCollection,
    LineString,
    MultiLineString,
    MultiPoint,
    MultiPolygon,
    Point,
    Polygon,
)
from shapely.geometry.base import BaseGeometry

from orchardmap.geodata.preview import RawFeature, Value
from orchardmap.geodata.text import clean_text


class UnreadableError(Exception):
    """One geometry cannot be read; the sentence says why. Never leaves a reader."""


def raw_feature(
    number: int, properties: Mapping[str, Value], *, read: Callable[[], BaseGeometry]
) -> RawFeature:
    """Return a feature with its geometry, or with why there is none.

    Parameters
    ----------
    number : int
        Its place in the file, from 1.
    properties : Mapping[str, Value]
        Clean already.
    read : Callable
        Gives the geometry, or raises.

    Returns
    -------
    RawFeature
    """
    try:
        return RawFeature(number, read(), properties)
    except UnreadableError as fault:
        return RawFeature(number, None, properties, str(fault))
    except (ValueError, shapely.errors.GEOSException) as fault:
        told = clean_text(str(fault), limit=80)
        return RawFeature(number, None, properties, f"cannot be read ({told})")


def gathered(parts: Sequence[BaseGeometry]) -> BaseGeometry:
    """Return several geometries as one: a multi-geometry when they are all of a kind, else a collection.

    Parameters
    ----------
    parts : sequence of BaseGeometry
        One or more.

    Returns
    -------
    BaseGeometry

    Examples
    --------
    >>> gathered([Point(0, 0), Point(1, 1)]).geom_type
    'MultiPoint'
    """
    polygons = [part for part in parts if isinstance(part, Polygon)]
    lines = [part for part in parts if isinstance(part, LineString)]
    points = [part for part in parts if isinstance(part, Point)]
    if len(polygons) == len(parts):
        return MultiPolygon(polygons)
    if len(lines) == len(parts):
        return MultiLineString(lines)
    if len(points) == len(parts):
        return MultiPoint(points)
    return GeometryCollection(list(parts))
