"""GeoJSON: what is wrong with one feature is said with its number, and the others are read."""

import json
from collections.abc import Mapping
from typing import Any

import pytest

from bad_files import geojson_bytes, square
from orchardmap.errors import ImportFileError
from orchardmap.geodata.preview import Answers, Preview
from orchardmap.geodata.read import read_file

GOOD: Any = square(11.0, 46.0)
OPEN_RING = {"type": "Polygon", "coordinates": [[[11, 46], [11.001, 46], [11.001, 46.001], [11, 46.001]]]}
LINK = {"type": "link", "properties": {"href": "http://127.0.0.1:1/crs.wkt", "type": "ogcwkt"}}


def _read(geometries: Mapping[str, object], **options: Any) -> Preview:
    return read_file(geojson_bytes(geometries, **options), filename="blocks.geojson")


@pytest.mark.parametrize(
    ("geometry", "told"),
    [
        (OPEN_RING, "ring 1 is not closed"),
        (
            {"type": "Polygon", "coordinates": [[[11, 46], [11.001, 46], [11, 46]]]},
            "3 positions where at least 4",
        ),
        ({"type": "Polygon", "coordinates": []}, "no rings"),
        ({"type": "Polygon"}, "no rings"),
        ({"type": "Polygon", "coordinates": [[["11", "46"]] * 4]}, "not a number"),
        ({"type": "Polygon", "coordinates": [[[True, False]] * 4]}, "not a number"),
        ({"type": "Polygon", "coordinates": [[[11]] * 4]}, "two or three numbers"),
        ({"type": "Point", "coordinates": [10**400, 46]}, "too large"),
        ({"type": "Curve", "coordinates": []}, "unknown type 'Curve'"),
        ({"type": "MultiPolygon", "coordinates": []}, "no parts"),
        ({"type": "GeometryCollection", "geometries": []}, "collection is empty"),
        ("POLYGON((0 0,1 1,1 0))", "not an object"),
        (None, "no geometry"),
    ],
)
def test_a_broken_feature_is_named_and_the_others_are_read(geometry, told):
    preview = _read({"First": GOOD, "Second": geometry, "Third": square(11.01, 46.0)})
    first, second, third = preview.features
    assert first.problem is None
    assert third.problem is None
    assert second.geometry is None
    assert second.problem is not None
    assert second.problem.startswith("Feature 2 ")
    assert told in second.problem
    assert preview.summary == "2 blocks can be taken; 1 feature cannot be taken."


@pytest.mark.parametrize("wild", ["NaN", "Infinity", "-Infinity", "1e999"])
def test_a_number_that_is_none_is_named_with_its_vertex(wild):
    data = geojson_bytes({"First": GOOD, "Second": square(12.5, 46.0)}).replace(
        b"12.501, 46.0]", f"{wild}, 46.0]".encode()
    )
    preview = read_file(data, filename="a")
    assert preview.features[0].problem is None
    assert preview.features[1].problem == "Feature 2 vertex 2 has a coordinate that is not a number"


def test_heights_are_dropped_with_a_note():
    ring = [[*position, 215.5] for position in GOOD["coordinates"][0]]
    feature = _read({"High": {"type": "Polygon", "coordinates": [ring]}}).features[0]
    assert feature.geometry is not None
    assert not feature.geometry.has_z
    assert feature.notes == ("Its heights are left aside.",)


def test_a_collection_gives_blocks_rows_and_trees():
    line = {"type": "LineString", "coordinates": [[11.0, 46.0], [11.0, 46.001]]}
    points = {"type": "MultiPoint", "coordinates": [[11.0, 46.0], [11.0, 46.0005]]}
    inner = {"type": "GeometryCollection", "geometries": [points]}
    preview = _read({"All": {"type": "GeometryCollection", "geometries": [GOOD, line, inner]}})
    assert [feature.kind for feature in preview.features] == ["block", "row", "tree", "tree"]
    assert preview.summary == "1 block, 1 row can be taken; 2 single trees shown only."
    assert all("Taken out of a collection" in feature.notes[0] for feature in preview.features)


def test_collections_nested_too_deep_are_refused_for_that_feature():
    nested: dict[str, object] = GOOD
    for _ in range(50):
        nested = {"type": "GeometryCollection", "geometries": [nested]}
    preview = _read({"Deep": nested, "Flat": GOOD})
    assert "nested more than" in str(preview.features[0].problem)
    assert preview.features[1].problem is None


def test_an_old_crs_member_is_honoured_by_its_number():
    # EPSG:25832, 500000 5100000 lies on the central meridian of zone 32, 9 degrees east (EPSG data set)
    ring = [
        [500_000, 5_100_000],
        [500_100, 5_100_000],
        [500_100, 5_100_100],
        [500_000, 5_100_100],
        [500_000, 5_100_000],
    ]
    crs = {"type": "name", "properties": {"name": "urn:ogc:def:crs:EPSG::25832"}}
    preview = _read({"Grid": {"type": "Polygon", "coordinates": [ring]}}, more={"crs": crs})
    feature = preview.features[0]
    assert preview.is_ready
    assert str(preview.crs).startswith("EPSG:25832")
    assert feature.geometry is not None
    assert feature.geometry.bounds[0] == pytest.approx(9.0, abs=1e-9)
    # on the central meridian a UTM grid metre is 0.9996 of a true one: the true area is larger by 1 / 0.9996 ** 2
    assert feature.area_ha == pytest.approx(1 / 0.9996**2, rel=1e-6)


@pytest.mark.parametrize(
    "name", ["urn:ogc:def:crs:OGC:1.3:CRS84", "OGC:CRS84", "EPSG:4326", "urn:ogc:def:crs:EPSG::4326"]
)
def test_old_names_of_wgs84_ask_nothing(name):
    preview = _read({"A": GOOD}, more={"crs": {"type": "name", "properties": {"name": name}}})
    assert preview.is_ready
    assert preview.features[0].problem is None


@pytest.mark.parametrize(
    ("crs", "note"),
    [
        (LINK, "links are not followed"),
        (None, "crs is null"),
        ({"type": "name", "properties": {"name": "+proj=longlat +nadgrids=/etc/passwd"}}, "not known"),
        ("EPSG:4326", "cannot be read"),
    ],
)
def test_a_crs_that_cannot_be_believed_is_asked_for(crs, note):
    preview = _read({"A": GOOD}, more={"crs": crs})
    assert [question.key for question in preview.questions] == ["crs"]
    assert not preview.is_ready
    assert preview.features[0].geometry is None
    assert any(note in told for told in preview.notes)
    answered = read_file(
        geojson_bytes({"A": GOOD}, more={"crs": crs}), filename="a", answers=Answers(crs="4326")
    )
    assert answered.features[0].problem is None


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (b'{"type": "FeatureCollection", "features": [', "line 1, column"),
        (b'{"type": "FeatureCollection"}', "no list of features"),
        (b'{"type": "FeatureCollection", "features": []}', "holds no outlines"),
        (b'{"type": "Topology", "objects": {}}', "'Topology', not GeoJSON"),
        (b'{"rings": [], "spatialReference": {}}', "not GeoJSON"),
        (b'{"type": "gdal_streamed_alg", "command_line": "gdal vector read /etc/passwd"}', "not GeoJSON"),
        (b'{"a":' * 100_000, "nested too deep"),
        (b'{"type": "FeatureCollection", "features": [' + b"9" * 5_000 + b"]}", "a number too long"),
        (b'{"type": "Feature"} {"type": "Feature"}', "line 1, column"),
    ],
)
def test_json_that_is_not_geojson_is_refused_in_a_sentence(text, told):
    with pytest.raises(ImportFileError, match=told):
        read_file(text, filename="a.geojson")


def test_strange_texts_do_no_harm():
    names = {"\ud800\u202e<b>": GOOD, "x" * 10_000: square(11.01, 46.0), "a\nb\tc\0": square(11.02, 46.0)}
    named = [feature.name for feature in _read(names).features]
    assert named[0] == "\ufffd<b>"
    assert len(named[1]) <= 80
    assert named[2] == "a b c"
    json.dumps(named).encode("utf-8")


def test_a_bare_geometry_and_a_single_feature_are_read():
    assert read_file(json.dumps(GOOD).encode(), filename="a").summary == "1 block can be taken."
    told = {"type": "Feature", "id": "7B", "properties": None, "geometry": GOOD}
    assert read_file(json.dumps(told).encode(), filename="a").features[0].name == "7B"
