"""Rings of an outline, taken apart and put together: from GeoJSON or shapely, unchanged."""

from collections.abc import Mapping

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

__all__ = ["outline_of", "rings_of"]

FloatArray = NDArray[np.float64]
Areal = Polygon | MultiPolygon


def rings_of(geometry: BaseGeometry | Mapping[str, object]) -> tuple[str, list[tuple[str, FloatArray]]]:
    """Return the kind of a geometry and, when it is an outline, its rings by place.

    Parameters
    ----------
    geometry : shapely geometry, or mapping of a GeoJSON geometry, degrees
        What claims to be an outline.

    Returns
    -------
    kind : str
        Its type by its own word.
    rings : list of (str, ndarray of float64 of shape (n, 2))
        Place ("part 2 hole 1"; empty for the only outer ring) and vertices in degrees, just as given; in
        each part the outer ring comes first. Empty when it is no Polygon or MultiPolygon.

    Raises
    ------
    TypeError
        If the coordinates are not lists of numbers nested as GeoJSON has them.
    """
    if isinstance(geometry, BaseGeometry):
        kind = geometry.geom_type
        if not isinstance(geometry, Polygon | MultiPolygon):
            return kind, []
        nested: object = [
            [shapely.get_coordinates(ring) for ring in (part.exterior, *part.interiors)]
            for part in shapely.get_parts(geometry).tolist()
        ]
    else:
        kind = str(geometry.get("type"))
        if kind not in ("Polygon", "MultiPolygon"):
            return kind, []
        nested = geometry.get("coordinates", [])
        nested = [nested] if kind == "Polygon" else nested
    if not isinstance(nested, list | tuple):
        raise TypeError(kind)
    rings = []
    for p, part in enumerate(nested, 1):
        for r, ring in enumerate(part):
            place = (f"part {p}" if len(nested) > 1 else "") + (f" hole {r}" if r else "")
            rings.append((place.strip(), _lonlat(ring)))
    return kind, rings


def _lonlat(ring: object) -> FloatArray:
    if not isinstance(ring, list | tuple | np.ndarray):
        raise TypeError("ring")
    if any(isinstance(number, str | bool) for point in ring for number in point):
        raise TypeError("coordinate")
    points = np.array([[float(point[0]), float(point[1])] for point in ring], dtype=np.float64)
    return points.reshape(-1, 2)


def outline_of(kind: str, rings: list[tuple[str, FloatArray]]) -> Areal:
    """Return rings as an outline: `rings_of` backwards.

    Parameters
    ----------
    kind : str
        "Polygon" or "MultiPolygon".
    rings : list of (str, ndarray of float64 of shape (n, 2))
        Place and vertices, degrees.

    Returns
    -------
    Polygon or MultiPolygon, degrees
        Parts with their holes.
    """
    parts: list[list[FloatArray]] = []
    for place, lonlat in rings:
        if "hole" in place:
            parts[-1].append(lonlat)
        else:
            parts.append([lonlat])
    polygons = [Polygon(part[0], part[1:]) for part in parts if len(part[0])]
    return polygons[0] if kind == "Polygon" else MultiPolygon(polygons)
