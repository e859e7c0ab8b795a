"""A preview kept as JSON comes back the same: what was looked at is what is taken."""

import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bad_files import geojson_bytes, good_files, square
from orchardmap.errors import InputError
from orchardmap.geodata.preview import Answers
from orchardmap.geodata.preview_json import preview_from_json, preview_json
from orchardmap.geodata.read import read_file


@pytest.mark.parametrize("name", ["GeoJSON", "KML", "KMZ", "GPX", "CSV"])
@pytest.mark.parametrize("crs", [None, "EPSG:4326"])
def test_there_and_back(name, crs):
    preview = read_file(good_files()[name], filename="a", answers=Answers(crs=crs))
    text = json.dumps(preview_json(preview), allow_nan=False)
    assert preview_from_json(json.loads(text)) == preview


def test_the_shape_that_the_service_promises():
    told = preview_json(read_file(geojson_bytes({"A": square(11.0, 46.0), "B": None}), filename="a"))
    assert {"format", "crs", "layers", "questions", "features", "summary"} <= told.keys()
    good, bad = told["features"]
    assert good.keys() == {"index", "kind", "name", "geometry", "area_ha", "notes", "problem", "properties"}
    assert good["geometry"]["type"] == "Polygon"
    assert isinstance(good["geometry"]["coordinates"][0][0], list)
    assert bad["geometry"] is None
    asked = preview_json(read_file(good_files()["CSV"], filename="a"))
    assert asked["questions"][0].keys() == {"key", "text", "choices", "needed"}
    assert asked["questions"][0]["choices"][0].keys() == {"value", "label"}
    assert asked["ready"] is False


@settings(max_examples=50, deadline=None)
@given(
    west=st.floats(-170, 170),
    south=st.floats(-60, 60),
    name=st.text(max_size=30),
    value=st.one_of(st.floats(), st.integers(), st.text()),
)
def test_any_name_and_value_come_back(west, south, name, value):
    feature = {"type": "Feature", "properties": {"name": name, "v": value}, "geometry": square(west, south)}
    data = json.dumps({"type": "FeatureCollection", "features": [feature]}).encode()
    preview = read_file(data, filename="a", answers=Answers(swap_axes=False))
    text = json.dumps(preview_json(preview), allow_nan=False)
    text.encode("utf-8")
    assert preview_from_json(json.loads(text)) == preview


@pytest.mark.parametrize("told", [{}, {"format": "GeoJSON"}, {"features": [1]}, {"features": None}])
def test_a_draft_that_is_none_is_refused(told):
    with pytest.raises(InputError, match="draft"):
        preview_from_json(told)
