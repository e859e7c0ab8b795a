"""What is written is what the standards say, others read it as it was meant, and it loads again as the same blocks."""

import csv
import io
import json
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest
import shapely
from shapely.geometry import shape
from shapely.geometry.base import BaseGeometry

from bad_files import BLOCKS
from orchardmap.geodata.geopackage import append_layer
from orchardmap.geodata.globe import as_multi
from orchardmap.geodata.preview import Answers
from orchardmap.geodata.read import read_file
from orchardmap.geodata.write import spreadsheet_text, write_csv, write_geojson
from orchardmap.model.layer import Features, Field, Layer
from orchardmap.usecases.layer_fields import LAYERS

ACROSS = shapely.box(179.999, -16.801, 180.001, -16.8)
EVIL = ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", "\n=1", "  =1"]
SOME: dict[str, Any] = {"text": "a", "whole": 7, "number": 1.5, "yes_no": False, "day": date(2026, 1, 20)}


def value_of(field: Field, name: str) -> Any:
    return name if field.name == "name" else name[:2] if field.name == "block" else SOME[field.kind]


def features(outlines: dict[str, BaseGeometry | None], layer: Layer = LAYERS["blocks"]) -> Features:
    columns = {field.name: [value_of(field, name) for name in outlines] for field in layer.fields}
    return Features(layer, tuple(outlines), tuple(map(as_multi, outlines.values())), columns)


def geojson(*found: Features) -> bytes:
    file = io.BytesIO()
    write_geojson(file, found)
    return file.getvalue()


def as_csv(*found: Features) -> bytes:
    file = io.BytesIO()
    write_csv(file, found[0].layer, found)
    return file.getvalue()


def geopackage(*found: Features, folder: Path) -> bytes:
    path = folder / "x.gpkg"
    append_layer(path, found[0].layer, found, language="en", as_of="")
    return path.read_bytes()


@pytest.mark.parametrize("kind", ["geojson", "csv", "gpkg"])
def test_blocks_load_again_as_they_were(kind, tmp_path):
    found = features(dict(BLOCKS))
    data = (
        geopackage(found, folder=tmp_path)
        if kind == "gpkg"
        else {"csv": as_csv, "geojson": geojson}[kind](found)
    )
    # CSV has no place for its coordinate system that other readers would not stumble over: one question
    preview = read_file(data, filename="a", answers=Answers(crs="EPSG:4326") if kind == "csv" else Answers())
    assert preview.is_ready
    assert [feature.name for feature in preview.features] == list(BLOCKS)
    for feature in preview.features:
        assert feature.geometry is not None
        assert feature.geometry.equals_exact(
            BLOCKS[feature.name].normalize(), 1e-8
        ) or feature.geometry.equals(BLOCKS[feature.name])
        assert feature.properties["variety"] == "a"


def test_geojson_keeps_to_rfc_7946():
    """3.1.6 rings, 3.1.9 antimeridian, 3.2 an unlocated feature is null, 4 no crs; the same members for every feature."""
    told = json.loads(geojson(features({**BLOCKS, "Across": ACROSS}), features({"None": None})))
    assert set(told) == {"type", "features"}
    *located, nowhere = told["features"]
    assert nowhere["geometry"] is None
    for feature in located:
        assert set(feature) == {"type", "id", "geometry", "properties"}
        assert tuple(feature["properties"]) == LAYERS["blocks"].field_names
        geometry = shape(feature["geometry"])
        for part in shapely.get_parts(geometry):
            assert part.exterior.is_ccw
            assert not any(hole.is_ccw for hole in part.interiors)
        assert geometry.bounds[0] >= -180
        assert geometry.bounds[2] <= 180
    across = shape(located[-1]["geometry"])
    assert len(shapely.get_parts(across)) == 2
    assert across.area == pytest.approx(ACROSS.area, rel=1e-6)


def test_a_layer_without_a_feature_is_valid_too(tmp_path):
    layer = LAYERS["checks"]
    assert json.loads(geojson()) == {"type": "FeatureCollection", "features": []}
    (line,) = csv.reader(io.StringIO(as_csv(features({}, layer)).decode("utf-8-sig"), newline=""))
    assert line == [*layer.field_names, "id", "longitude_deg", "latitude_deg"]
    assert geopackage(features({}, layer), folder=tmp_path).startswith(b"SQLite format 3\x00")


def test_csv_keeps_to_rfc_4180():
    """Lines end with CR LF, quotes are doubled, every line has as many cells as the first, line breaks survive."""
    awkward = 'a "b", c\nd'
    data = as_csv(features({awkward: BLOCKS["Hollow"]}))
    assert data.startswith(b"\xef\xbb\xbf")
    assert data.endswith(b"\r\n")
    lines = list(csv.reader(io.StringIO(data.decode("utf-8-sig"), newline=""), strict=True))
    assert len({len(line) for line in lines}) == 1
    assert lines[1][1] == awkward


@pytest.mark.parametrize("evil", [*EVIL, "x;=1+1;y", "x; -2+3", "a\n=2+2", "b\t@SUM(A1)", 'q";+1;"', "＝1+1"])
@pytest.mark.parametrize("parted_by", [",", ";", "\t"])
def test_no_cell_is_a_formula(evil, parted_by):
    """Whatever the spreadsheet of a country parts columns by; beyond the comma the quotes do not begin a cell, and keep nothing together.

    Lead characters: OWASP, CSV Injection; full-width ones too.
    """
    data = as_csv(replace(features({evil: BLOCKS["Hollow"]}), ids=("x",))).decode("utf-8-sig")
    if parted_by == ",":
        (line,) = csv.DictReader(io.StringIO(data, newline=""))
        assert line["name"] != evil
        assert line["name"].replace("'", "") == evil.replace("'", "")
        cells = list(line.values())
    else:
        cells = [cell for line in data.splitlines() for cell in line.split(parted_by)]
    assert [cell for cell in cells if cell.strip('"').lstrip()[:1] in set("=+-@＝")] == []


def test_text_without_a_formula_stays_as_it_is():
    for plain in ("Home block; east - west", "a+b", "2 = 1 + 1", "one\ntwo", "O'Brien", ""):
        assert spreadsheet_text(plain) == plain
