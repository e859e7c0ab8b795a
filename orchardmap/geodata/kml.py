"""KML (and the drawing inside a KMZ) by a hardened XML parser. Links to other files are never followed.

Source: OGC 12-007r2, OGC KML 2.3; longitude, latitude and height on WGS 84 by definition.
"""

from xml.etree.ElementTree import Element

import shapely
from shapely.geometry.base import BaseGeometry

from orchardmap.errors import ImportFileError
from orchardmap.geodata.preview import MAX_FEATURES, Format, RawFeature, RawFile
from orchardmap.geodata.raw import UnreadableError, gathered, raw_feature
from orchardmap.geodata.text import clean_properties, clean_text
from orchardmap.geodata.xml import child_text, children, local_name, parsed

_GEOMETRIES = ("Point", "LineString", "LinearRing", "Polygon", "MultiGeometry", "Track", "MultiTrack")
_DEPTH = 8


def _numbers(text: str, separator: str | None) -> tuple[float, ...]:
    parts = text.split(separator)
    if len(parts) not in {2, 3}:
        raise UnreadableError(
            f"the position {clean_text(text, limit=40)!r} is not longitude,latitude[,height]"
        )
    try:
        return tuple(float(part) for part in parts[:2])
    except ValueError as fault:
        raise UnreadableError(
            f"the position {clean_text(text, limit=40)!r} is not made of numbers"
        ) from fault


def _positions(element: Element, *, least: int) -> list[tuple[float, ...]]:
    found = [_numbers(part, ",") for part in child_text(element, "coordinates").split()]
    if len(found) < least:
        raise UnreadableError(f"it has {len(found)} positions where at least {least} are needed")
    return found


def _ring(boundary: Element) -> list[tuple[float, ...]]:
    ring = next(children(boundary, "LinearRing"), None)
    if ring is None:
        raise UnreadableError("a boundary has no ring")
    positions = _positions(ring, least=3)
    if positions[0] != positions[-1]:
        raise UnreadableError("a ring is not closed: its last position is not its first")
    if len(positions) < 4:
        raise UnreadableError(f"a ring has {len(positions)} positions where at least 4 are needed")
    return positions


def _polygon(element: Element) -> BaseGeometry:
    outer = [_ring(boundary) for boundary in children(element, "outerBoundaryIs")]
    if len(outer) != 1:
        raise UnreadableError(f"an outline has {len(outer)} outer boundaries instead of one")
    return shapely.Polygon(outer[0], [_ring(boundary) for boundary in children(element, "innerBoundaryIs")])


def _track(element: Element) -> BaseGeometry:
    positions = [_numbers((child.text or "").strip(), None) for child in children(element, "coord")]
    if len(positions) < 2:
        raise UnreadableError("a track has fewer than two positions")
    return shapely.LineString(positions)


def _geometry(element: Element, *, depth: int = 0) -> BaseGeometry:
    kind = local_name(element)
    if kind == "Point":
        return shapely.Point(_positions(element, least=1)[0])
    if kind in {"LineString", "LinearRing"}:
        return shapely.LineString(_positions(element, least=2))
    if kind == "Polygon":
        return _polygon(element)
    if kind == "Track":
        return _track(element)
    if depth == _DEPTH:
        raise UnreadableError(f"its geometries are nested more than {_DEPTH} deep")
    parts = [_geometry(child, depth=depth + 1) for child in children(element, *_GEOMETRIES)]
    if not parts:
        raise UnreadableError("it has no parts")
    return gathered(parts)


def _properties(placemark: Element) -> dict[str, object]:
    found: dict[str, object] = {
        "name": child_text(placemark, "name"),
        "description": child_text(placemark, "description"),
    }
    for extended in children(placemark, "ExtendedData"):
        for data in children(extended, "Data"):
            found.setdefault(data.get("name", ""), child_text(data, "value"))
        for schema in children(extended, "SchemaData"):
            for simple in children(schema, "SimpleData"):
                found.setdefault(simple.get("name", ""), (simple.text or "").strip())
    return found


def _raw_feature(placemark: Element, number: int) -> RawFeature:
    properties = clean_properties(_properties(placemark))
    element = next(children(placemark, *_GEOMETRIES), None)
    if element is None:
        return RawFeature(number, None, properties, "has no geometry")
    return raw_feature(number, properties, read=lambda: _geometry(element))


def read_kml(data: bytes, *, file_format: Format = "KML") -> RawFile:
    """Return the placemarks of a KML document.

    Parameters
    ----------
    data : bytes
        The document; out of a KMZ, the drawing in it.
    file_format : Format
        What the file was handed in as: KML or KMZ.

    Returns
    -------
    RawFile
        On WGS 84, heights left aside.

    Raises
    ------
    ImportFileError
        When it is not well formed, has entities, or holds too much.
    """
    root = parsed(data, where=file_format)
    placemarks = [element for element in root.iter() if local_name(element) == "Placemark"]
    if len(placemarks) > MAX_FEATURES:
        raise ImportFileError(
            f"It has {len(placemarks)} placemarks; at most {MAX_FEATURES} are read.", where=file_format
        )
    links = sum(1 for element in root.iter() if local_name(element) == "NetworkLink")
    notes = (
        [f"It links to {links} other file{'s' if links > 1 else ''}; links are not followed."]
        if links
        else []
    )
    features = tuple(_raw_feature(element, number) for number, element in enumerate(placemarks, start=1))
    return RawFile(file_format, "OGC:CRS84", features, notes=tuple(notes), axes_named=True)
