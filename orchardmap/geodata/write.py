"""Layers as text that every GIS and spreadsheet opens: GeoJSON (RFC 7946) and CSV (RFC 4180).

Source: RFC 7946 sections 3.1.6 (outer rings counterclockwise), 3.1.9 (geometries cut at the antimeridian), 4 (WGS 84,
no crs member); OWASP, CSV Injection, for what a spreadsheet takes for a formula.
"""

import csv
import io
import re
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from datetime import date
from typing import IO, Any

import shapely
from shapely.geometry import mapping
from shapely.geometry.base import BaseGeometry

from orchardmap.errors import StoreError
from orchardmap.geodata.feature_text import feature_texts
from orchardmap.geodata.globe import cut_at_antimeridian
from orchardmap.model.layer import Features, Layer, Value

__all__ = ["geojson_geometry", "spreadsheet_text", "told_plainly", "write_csv", "write_geojson"]

_DECIMALS = 9
"""Of a degree: a tenth of a millimetre."""
_SIGNS = "=+\\-@＝＋－＠"
_AT_THE_BEGINNING = re.compile(rf"(?=[\t\r\n\0]|\s*[{_SIGNS}])")
_BEHIND_A_BREAK = re.compile(rf"(?<=[;\t\r\n])(?=\s*[{_SIGNS}])")
"""A spreadsheet of a country with decimal commas parts lines at semicolons, also within quotes that do not begin a cell."""


@contextmanager
def told_plainly(*kinds: type[Exception]) -> Iterator[None]:
    """Turn what a writer says when it cannot write, such as on a full disk, into one error of ours."""
    try:
        yield
    except BrokenPipeError:
        raise
    except kinds as error:
        raise StoreError(
            "the file cannot be written",
            where=getattr(error, "strerror", None) or str(error),
            todo="Look whether the disk is full, then try again.",
        ) from error


def _rounded(value: Any) -> Any:  # noqa: ANN401 - lists of lists of numbers, as deep as the geometry
    return [_rounded(part) for part in value] if isinstance(value, tuple | list) else round(value, _DECIMALS)


def geojson_geometry(geometry: BaseGeometry | None) -> dict[str, object] | None:
    """Return a GeoJSON geometry by RFC 7946: two-dimensional, outer rings counterclockwise, cut at the antimeridian."""
    if geometry is None or geometry.is_empty:
        return None
    told = mapping(shapely.orient_polygons(cut_at_antimeridian(shapely.force_2d(geometry))))
    return {"type": told["type"], "coordinates": _rounded(told["coordinates"])}


def write_geojson(file: IO[bytes], found: Iterable[Features]) -> int:
    """Write a layer as one GeoJSON feature collection, a feature a line.

    Parameters
    ----------
    file : binary file
        Open for writing.
    found : iterable of Features
        Of one layer; taken one after the other, so that memory does not grow with the layer.

    Returns
    -------
    int
        How many features were written, as `feature_texts` tells each. UTF-8.
    """
    count = 0
    file.write(b'{"type":"FeatureCollection","features":[')
    for batch in found:
        for text in feature_texts(batch):
            file.write(b",\n" if count else b"\n")
            file.write(text.encode())
            count += 1
    file.write(b"\n]}\n")
    return count


def spreadsheet_text(text: str) -> str:
    """Return text that a spreadsheet takes for text, whatever it parts columns by: an apostrophe goes before what it would take for a formula.

    Parameters
    ----------
    text : str
        Any text.

    Returns
    -------
    str

    Examples
    --------
    >>> spreadsheet_text("=1+1"), spreadsheet_text("one; =1+1"), spreadsheet_text("Home block; east - west")
    ("'=1+1", "one;' =1+1", 'Home block; east - west')
    """
    told = _BEHIND_A_BREAK.sub("'", text)
    return f"'{told}" if _AT_THE_BEGINNING.match(text) else told


def _csv_cell(value: Value) -> str | int | float:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, date):
        return value.isoformat()
    return spreadsheet_text(value) if isinstance(value, str) else "" if value is None else value


def _csv_place(layer: Layer, geometry: BaseGeometry | None) -> list[str | float]:
    if layer.geometry == "Point":
        return ["", ""] if geometry is None else [round(at, _DECIMALS) for at in geometry.coords[0]]
    return ["" if geometry is None else shapely.to_wkt(geometry, rounding_precision=_DECIMALS)]


def write_csv(file: IO[bytes], layer: Layer, found: Iterable[Features]) -> int:
    """Write a layer as CSV: its fields, whose names carry their units, the id, and where it lies.

    Parameters
    ----------
    file : binary file
        Open for writing.
    layer : Layer
    found : iterable of Features
        Of that layer; taken one after the other.

    Returns
    -------
    int
        How many features were written. UTF-8 with a byte order mark (spreadsheets need it), commas, lines as RFC 4180 has
        them. Points have ``longitude_deg`` and ``latitude_deg``; other geometries are well-known text in ``wkt`` (GDAL reads none
        that says its system in front). Nothing that people typed is a formula.
    """
    sheet = io.TextIOWrapper(file, encoding="utf-8-sig", newline="", write_through=False)
    writer = csv.writer(sheet)
    place = ("longitude_deg", "latitude_deg") if layer.geometry == "Point" else ("wkt",)
    writer.writerow([*layer.field_names, "id", *place])
    count = 0
    for batch in found:
        columns = [batch.columns[name] for name in layer.field_names]
        for values, one, geometry in zip(
            zip(*columns, strict=True), batch.ids, batch.geometries, strict=True
        ):
            writer.writerow([*map(_csv_cell, values), one, *_csv_place(layer, geometry)])
        count += len(batch)
    sheet.flush()
    sheet.detach()
    return count
