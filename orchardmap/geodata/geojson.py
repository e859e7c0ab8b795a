"""GeoJSON (RFC 7946) by json and shapely: it never reaches GDAL, and nothing it links to is fetched.

Source: RFC 7946, The GeoJSON Format, August 2016; the ``crs`` member is that of the 2008 specification it replaced.
"""

import json
import re
from collections.abc import Iterator
from typing import cast

import shapely
from shapely.geometry.base import BaseGeometry

from orchardmap.errors import ImportFileError
from orchardmap.geodata.preview import MAX_FEATURES, RawFeature, RawFile
from orchardmap.geodata.raw import UnreadableError, gathered, raw_feature
from orchardmap.geodata.text import clean_properties, clean_text, decoded

WGS84 = "OGC:CRS84"
_DEPTH = 8
_PARTS = {"MultiPoint": "Point", "MultiLineString": "LineString", "MultiPolygon": "Polygon"}
_KINDS = (*_PARTS, *_PARTS.values(), "GeometryCollection")
_EPSG_NAME = re.compile(r"(?:urn:(?:ogc|x-ogc):def:crs:EPSG:[\d.]*:|EPSG:)(\d{4,6})$", re.IGNORECASE)
_CRS84_NAME = re.compile(r"urn:ogc:def:crs:OGC:[\d.]*:CRS84$|OGC:CRS84$", re.IGNORECASE)
_Position = tuple[float, ...]


def _position(value: object) -> _Position:
    if not isinstance(value, list) or not 2 <= len(value) <= 9:
        raise UnreadableError("a position is not a list of two or three numbers")
    # a bool is an int to Python, a JSON true is no coordinate
    if any(isinstance(part, bool) or not isinstance(part, int | float) for part in value[:3]):
        raise UnreadableError("a coordinate is not a number")
    try:
        return tuple(float(part) for part in value[:3])
    except OverflowError as fault:
        raise UnreadableError("a coordinate is too large to be one") from fault


def _positions(value: object, *, least: int) -> list[_Position]:
    if not isinstance(value, list):
        raise UnreadableError("its coordinates are not a list of positions")
    found = [_position(part) for part in value]
    if len(found) < least:
        raise UnreadableError(f"it has {len(found)} positions where at least {least} are needed")
    size = min(len(part) for part in found)
    return [part[:size] for part in found]


def _rings(value: object) -> list[list[_Position]]:
    if not isinstance(value, list) or not value:
        raise UnreadableError("an outline has no rings")
    rings = []
    for place, part in enumerate(value, start=1):
        ring = _positions(part, least=3)
        # comparing with NaN is never equal, and a ring with NaN is told apart later
        if ring[0] != ring[-1] and not any(number != number for number in ring[0] + ring[-1]):
            raise UnreadableError(f"ring {place} is not closed: its last position is not its first")
        if len(ring) < 4:
            raise UnreadableError(f"ring {place} has {len(ring)} positions where at least 4 are needed")
        rings.append(ring)
    size = min(len(ring[0]) for ring in rings)
    return [[position[:size] for position in ring] for ring in rings]


def _simple(kind: str, coordinates: object) -> BaseGeometry:
    if kind == "Point":
        return shapely.Point(_position(coordinates))
    if kind == "LineString":
        return shapely.LineString(_positions(coordinates, least=2))
    shell, *holes = _rings(coordinates)
    return shapely.Polygon(shell, holes)


def _several(kind: str, coordinates: object) -> BaseGeometry:
    if not isinstance(coordinates, list) or not coordinates:
        raise UnreadableError("it has no parts")
    parts = [_simple(_PARTS[kind], part) for part in coordinates]
    if not all(part.has_z for part in parts):
        parts = [shapely.force_2d(part) for part in parts]
    return gathered(parts)


def _geometry(value: object, *, depth: int = 0) -> BaseGeometry:
    if not isinstance(value, dict):
        raise UnreadableError("its geometry is not an object")
    kind = value.get("type")
    if kind not in _KINDS:
        raise UnreadableError(f"its geometry is of the unknown type {clean_text(str(kind), limit=40)!r}")
    if kind != "GeometryCollection":
        return (_several if kind in _PARTS else _simple)(str(kind), value.get("coordinates"))
    members = value.get("geometries")
    if not isinstance(members, list) or not members:
        raise UnreadableError("its collection is empty")
    if depth == _DEPTH:
        raise UnreadableError(f"its collections are nested more than {_DEPTH} deep")
    return shapely.GeometryCollection([_geometry(part, depth=depth + 1) for part in members])


def _raw_feature(value: object, number: int) -> RawFeature:
    if not isinstance(value, dict) or value.get("type") != "Feature":
        return RawFeature(number, None, {}, "is not a GeoJSON feature")
    own = value.get("properties")
    properties = dict(own) if isinstance(own, dict) else {}
    if isinstance(value.get("id"), str | int):
        properties.setdefault("id", value["id"])
    clean = clean_properties(properties)
    if value.get("geometry") is None:
        return RawFeature(number, None, clean, "has no geometry")
    return raw_feature(number, clean, read=lambda: _geometry(value["geometry"]))


def _named_crs(document: dict[str, object]) -> tuple[str | None, list[str]]:
    """Return the coordinate system that holds, and what to say about it. Nothing is fetched."""
    if "crs" not in document:
        return WGS84, []
    member = document["crs"]
    kind = member.get("type") if isinstance(member, dict) else None
    details = member.get("properties") if isinstance(member, dict) else None
    name = details.get("name") if isinstance(details, dict) else None
    if kind == "name" and isinstance(name, str):
        if _CRS84_NAME.match(name):
            return WGS84, []
        if epsg := _EPSG_NAME.match(name):
            return f"EPSG:{epsg.group(1)}", [
                f"It names its coordinate system in the old way: {clean_text(name, limit=60)}."
            ]
        return None, [f"The coordinate system it names is not known: {clean_text(name, limit=60)}."]
    if kind in ("link", "url"):  # a tuple: whatever stands there need not be hashable
        return None, ["It links to its coordinate system; links are not followed."]
    if member is None:
        return None, ["It says that its coordinate system is not known (crs is null)."]
    return None, ["Its crs member cannot be read."]


def _members(document: dict[str, object]) -> Iterator[RawFeature]:
    kind = document.get("type")
    if kind == "FeatureCollection":
        listed = document.get("features")
        if not isinstance(listed, list):
            raise ImportFileError("The FeatureCollection has no list of features.", where="GeoJSON")
        if len(listed) > MAX_FEATURES:
            raise ImportFileError(
                f"It has {len(listed)} features; at most {MAX_FEATURES} are read.", where="GeoJSON"
            )
        yield from (_raw_feature(value, number) for number, value in enumerate(listed, start=1))
    elif kind == "Feature":
        yield _raw_feature(document, 1)
    elif kind in _KINDS:
        yield _raw_feature({"type": "Feature", "geometry": document}, 1)
    else:
        raise ImportFileError(
            f"This is JSON of the type {clean_text(str(kind), limit=40)!r}, not GeoJSON.",
            todo="Save it as a GeoJSON FeatureCollection.",
        )


def read_geojson(data: bytes) -> RawFile:
    """Return the features of a GeoJSON file, each with what is wrong with it.

    Parameters
    ----------
    data : bytes
        The file; UTF-8 as the standard wants, or UTF-16 with its mark.

    Returns
    -------
    RawFile
        On WGS 84 unless an old ``crs`` member names another coordinate system.

    Raises
    ------
    ImportFileError
        When it is not JSON, or JSON that is not GeoJSON.
    """
    text = decoded(data)
    try:
        document = json.loads(text)
    except json.JSONDecodeError as fault:
        raise ImportFileError(
            f"The JSON breaks off or is wrong at line {fault.lineno}, column {fault.colno}.",
            where="GeoJSON",
            todo="Save the file again.",
        ) from fault
    except (RecursionError, ValueError) as fault:
        raise ImportFileError(
            "The JSON is nested too deep or holds a number too long.", where="GeoJSON"
        ) from fault
    if not isinstance(document, dict):
        raise ImportFileError("This is JSON, but not GeoJSON.", where="GeoJSON")
    crs, notes = _named_crs(cast("dict[str, object]", document))
    return RawFile("GeoJSON", crs, tuple(_members(document)), notes=tuple(notes))
