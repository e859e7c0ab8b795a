"""CSV with latitude and longitude, eastings and northings, or well-known text. It never reaches GDAL."""

import csv
import functools
import io
import re
from collections.abc import Sequence
from dataclasses import dataclass

import shapely
from shapely.geometry.base import BaseGeometry

from orchardmap.errors import ImportFileError
from orchardmap.geodata.preview import MAX_FEATURES, Answers, Choice, Question, RawFeature, RawFile
from orchardmap.geodata.raw import UnreadableError, raw_feature
from orchardmap.geodata.text import clean_properties, clean_text, decoded

_SEPARATORS = (";", "\t", ",", "|")
_MAX_FIELD = 5_000_000
_MAX_COLUMNS = 500
_LATITUDES = ("lat", "latitude", "lat_dd", "y_wgs84", "gps_lat", "breitengrad", "latitud")
_LONGITUDES = (
    "lon",
    "lng",
    "long",
    "longitude",
    "lon_dd",
    "x_wgs84",
    "gps_lon",
    "laengengrad",
    "längengrad",
    "longitud",
)
_NORTHINGS = ("y", "northing", "north", "y_m", "northing_m", "y_coord", "ycoord")
_EASTINGS = ("x", "easting", "east", "x_m", "easting_m", "x_coord", "xcoord")
_TEXTS = ("wkt", "geometry", "geom", "the_geom", "wkt_geom", "shape", "geometry_wkt")
_WKT = re.compile(
    r"\s*(?:SRID=(\d{4,6});)?\s*((?:MULTI)?(?:POINT|LINESTRING|POLYGON)|GEOMETRYCOLLECTION)\b", re.IGNORECASE
)
_MAX_BRACKETS = 8
"""Deeper nesting than any outline needs; GEOS follows it without a floor, down to a crash of the process."""
_DOT = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d{1,3})?$")
_COMMA = re.compile(r"[+-]?\d+(\.\d{3})*,\d+$")
_THOUSANDS = re.compile(r"[+-]?\d{1,3}(,\d{3})+(\.\d+)?$")


@dataclass(frozen=True, slots=True)
class _Columns:
    """Which columns say where a line lies."""

    wkt: int | None = None
    x: int = -1
    y: int = -1
    in_degrees: bool = False


@dataclass(frozen=True, slots=True)
class _Sheet:
    header: list[str]
    lines: list[list[str]]


def _sheet(text: str) -> _Sheet:
    csv.field_size_limit(_MAX_FIELD)
    first, _, rest = text.partition("\n")
    first_line = 1
    told = re.match(r"sep=(.)\r?$", first.strip())
    if told:  # a line that some spreadsheets write for one another
        text, first_line = rest, 2
        first = rest.partition("\n")[0]
    # the separator of the header: quoted field names do not hide it
    bare = re.sub(r'"[^"]*"', "", first)
    separator = (
        told.group(1)
        if told
        else max(_SEPARATORS, key=lambda sign: (bare.count(sign), -_SEPARATORS.index(sign)))
    )
    lines: list[list[str]] = []
    try:
        for line in csv.reader(io.StringIO(text, newline=""), delimiter=separator, skipinitialspace=True):
            lines.append(line)
            if len(lines) > MAX_FEATURES + 1:
                raise ImportFileError(f"It has more than {MAX_FEATURES} lines.", where="CSV")
    except csv.Error as fault:
        raise ImportFileError(
            f"The table breaks off near line {len(lines) + first_line}.", where="CSV"
        ) from fault
    if not lines or len(lines[0]) > _MAX_COLUMNS:
        raise ImportFileError("The first line must name the columns.", where="CSV")
    return _Sheet([clean_text(name, limit=100) for name in lines[0]], lines[1:])


def _place(names: Sequence[str], wanted: Sequence[str]) -> int:
    return next((names.index(name) for name in wanted if name in names), -1)


def _columns(sheet: _Sheet) -> _Columns:
    names = [name.lower().strip() for name in sheet.header]
    filled = next((line for line in sheet.lines if any(line)), [])
    for place in (_place(names, _TEXTS), *range(len(names))):
        if 0 <= place < len(filled) and _WKT.match(filled[place]):
            return _Columns(wkt=place)
    x, y = _place(names, _LONGITUDES), _place(names, _LATITUDES)
    if x >= 0 and y >= 0:
        return _Columns(x=x, y=y, in_degrees=True)
    x, y = _place(names, _EASTINGS), _place(names, _NORTHINGS)
    if x >= 0 and y >= 0:
        return _Columns(x=x, y=y)
    raise ImportFileError(
        f"No column says where a line lies. Columns seen: {clean_text(', '.join(sheet.header), limit=200)}.",
        where="CSV",
        todo="Name two columns lat and lon, or x and y, or one wkt.",
    )


def _comma_is_decimal(texts: Sequence[str]) -> bool | None:
    """Tell whether commas in numbers are decimal ones; None when 123,456 may be either."""
    commas = [text for text in texts if "," in text]
    if not all(_THOUSANDS.match(text) for text in commas):
        return True
    if any(_COMMA.match(text) is None for text in commas):
        return False
    return None if commas else True


def _comma_question(texts: Sequence[str]) -> Question:
    doubtful = next(text for text in texts if "," in text)
    return Question(
        "decimal_comma",
        f"Is the comma in {clean_text(doubtful, limit=30)!r} a decimal comma?",
        (Choice("yes", "Yes, a decimal comma"), Choice("no", "No, it parts the thousands")),
        needed=True,
    )


def _number(text: str, *, comma_is_decimal: bool | None) -> float:
    plain = text.strip().replace("\u2212", "-").replace("\u00a0", "").replace("\u202f", "")
    if not plain:
        raise UnreadableError("a coordinate is empty")
    if comma_is_decimal is not False and _COMMA.match(plain):
        plain = plain.replace(".", "").replace(",", ".")
    elif _THOUSANDS.match(plain):
        plain = plain.replace(",", "")
    if not _DOT.match(plain):
        raise UnreadableError(f"{clean_text(text, limit=40)!r} is not a coordinate")
    return float(plain)


def _bracket_depth(text: str) -> int:
    depth = deepest = 0
    for sign in re.findall(r"[()]", text):
        depth += 1 if sign == "(" else -1
        deepest = max(deepest, depth)
    return deepest


def _from_wkt(text: str) -> tuple[BaseGeometry, str | None]:
    found = _WKT.match(text)
    if not found:
        raise UnreadableError("its geometry is not well-known text")
    if _bracket_depth(text) > _MAX_BRACKETS:
        raise UnreadableError(f"its brackets are nested more than {_MAX_BRACKETS} deep")
    try:
        return shapely.from_wkt(text[found.start(2) :]), found.group(1)
    except (shapely.errors.GEOSException, ValueError) as fault:
        raise UnreadableError(
            f"its well-known text cannot be read ({clean_text(str(fault), limit=80)})"
        ) from fault


def _located(
    line: Sequence[str], columns: _Columns, *, width: int, comma_is_decimal: bool | None, systems: set[str]
) -> BaseGeometry:
    if len(line) != width:
        raise UnreadableError(f"has {len(line)} fields where the first line names {width}")
    if columns.wkt is not None:
        geometry, system = _from_wkt(line[columns.wkt])
        systems.add(system or "")
        return geometry
    x = _number(line[columns.x], comma_is_decimal=comma_is_decimal)
    return shapely.Point(x, _number(line[columns.y], comma_is_decimal=comma_is_decimal))


def _raw_features(
    sheet: _Sheet, columns: _Columns, *, comma_is_decimal: bool | None
) -> tuple[tuple[RawFeature, ...], set[str]]:
    features: list[RawFeature] = []
    systems: set[str] = set()
    where = {columns.wkt, columns.x, columns.y}
    for number, line in enumerate(sheet.lines, start=1):
        if not any(text.strip() for text in line):
            continue
        named = enumerate(zip(sheet.header, line, strict=False))
        properties = clean_properties({name: text for place, (name, text) in named if place not in where})
        read = functools.partial(
            _located,
            line,
            columns,
            width=len(sheet.header),
            comma_is_decimal=comma_is_decimal,
            systems=systems,
        )
        features.append(raw_feature(number, properties, read=read))
    return tuple(features), systems


def read_table(data: bytes, *, answers: Answers) -> RawFile:
    """Return the lines of a CSV file as features.

    Parameters
    ----------
    data : bytes
        The file in UTF-8, UTF-16 or cp1252; parted by comma, semicolon, tab or bar.
    answers : Answers
        ``decimal_comma`` settles what the numbers alone do not.

    Returns
    -------
    RawFile
        On WGS 84 when columns are called latitude and longitude, in the system an ``SRID=`` names, else in an
        unknown one.

    Raises
    ------
    ImportFileError
        When no column says where a line lies, or the table breaks off.
    """
    sheet = _sheet(decoded(data))
    columns = _columns(sheet)
    comma = answers.decimal_comma
    questions: tuple[Question, ...] = ()
    if columns.wkt is None and comma is None:
        told = [
            line[place].strip()
            for line in sheet.lines
            for place in (columns.x, columns.y)
            if place < len(line)
        ]
        # in degrees a thousands mark cannot be: no angle has four digits before the point
        comma = True if columns.in_degrees else _comma_is_decimal(told)
        questions = () if comma is not None else (_comma_question(told),)
    features, systems = _raw_features(sheet, columns, comma_is_decimal=comma)
    if columns.in_degrees:
        note = "Longitude and latitude are taken to be on WGS 84: the columns are called so, and the file says no more."
        return RawFile("CSV", "OGC:CRS84", features, notes=(note,), axes_named=True)
    crs = f"EPSG:{systems.pop()}" if len(systems) == 1 and "" not in systems else None
    notes = ("Its lines name different coordinate systems.",) if len(systems) > 1 else ()
    return RawFile("CSV", crs, features, questions=questions, notes=notes)
