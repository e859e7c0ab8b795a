"""GPX by a hardened XML parser: points walked to are trees, routes and tracks are rows or outlines.

Source: GPX 1.1 schema (topografix.com/GPX/1/1); latitude and longitude on WGS 84 by definition.
"""

import functools
from collections.abc import Iterator
from xml.etree.ElementTree import Element

import shapely
from shapely.geometry.base import BaseGeometry

from orchardmap.errors import ImportFileError
from orchardmap.geodata.preview import MAX_FEATURES, RawFile
from orchardmap.geodata.raw import UnreadableError, gathered, raw_feature
from orchardmap.geodata.text import clean_properties, clean_text
from orchardmap.geodata.xml import child_text, children, parsed

_TEXTS = ("name", "desc", "cmt", "type")


def _lonlat(point: Element) -> tuple[float, float]:
    try:
        return float(point.attrib["lon"]), float(point.attrib["lat"])
    except KeyError as fault:
        raise UnreadableError(f"a point has no {fault.args[0]}") from fault
    except ValueError as fault:
        raise UnreadableError(
            f"a point's position is not a number ({clean_text(str(fault), limit=60)})"
        ) from fault


def _line(element: Element, name: str) -> BaseGeometry | None:
    points = [_lonlat(point) for point in children(element, name)]
    return shapely.LineString(points) if len(points) > 1 else None


def _track(element: Element) -> BaseGeometry | None:
    lines: list[BaseGeometry] = [
        line for segment in children(element, "trkseg") if (line := _line(segment, "trkpt")) is not None
    ]
    if len(lines) == 1:
        return lines[0]
    return gathered(lines) if lines else None


def _geometry(element: Element, kind: str) -> BaseGeometry:
    if kind == "wpt":
        return shapely.Point(_lonlat(element))
    line = _line(element, "rtept") if kind == "rte" else _track(element)
    if line is None:
        raise UnreadableError("it has fewer than two points")
    return line


def _elements(root: Element) -> Iterator[tuple[Element, str]]:
    for kind in ("wpt", "rte", "trk"):
        for element in children(root, kind):
            yield element, kind


def read_gpx(data: bytes) -> RawFile:
    """Return the points, routes and tracks of a GPX document.

    Parameters
    ----------
    data : bytes
        The document.

    Returns
    -------
    RawFile
        On WGS 84; heights and times left aside.

    Raises
    ------
    ImportFileError
        When it is not well formed, has entities, or holds too much.
    """
    root = parsed(data, where="GPX")
    features = []
    for number, (element, kind) in enumerate(_elements(root), start=1):
        if number > MAX_FEATURES:
            raise ImportFileError(f"It has more than {MAX_FEATURES} points and tracks.", where="GPX")
        properties = clean_properties({name: child_text(element, name) for name in _TEXTS})
        features.append(raw_feature(number, properties, read=functools.partial(_geometry, element, kind)))
    return RawFile("GPX", "OGC:CRS84", tuple(features), axes_named=True)
