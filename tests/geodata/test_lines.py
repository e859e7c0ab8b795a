"""A line out of GeoJSON: every form that RFC 7946 has for one, and nothing that would warn nobody."""

import contextlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from orchardmap.errors import InputError
from orchardmap.geodata.drawn import MOST_POINTS
from orchardmap.geodata.lines import line_of_geojson

LINE = {"type": "LineString", "coordinates": [[11.3, 46.5], [11.301, 46.501]]}
MULTI = {"type": "MultiLineString", "coordinates": [LINE["coordinates"], [[11.31, 46.5], [11.311, 46.5]]]}


def feature(geometry):
    return {"type": "Feature", "properties": {"anything": 1}, "geometry": geometry}


@pytest.mark.parametrize(
    ("document", "parts"),
    [
        (LINE, 1),
        (MULTI, 2),
        (feature(LINE), 1),
        ({"type": "FeatureCollection", "features": [feature(LINE), feature(MULTI)]}, 3),
        ({"type": "LineString", "coordinates": [[11.3, 46.5, 300.0], [11.301, 46.501, 310.0]]}, 1),
    ],
)
def test_every_form_of_a_line_is_read(document, parts):
    line = line_of_geojson(document)
    assert (line.geom_type, len(line.geoms), line.has_z) == ("MultiLineString", parts, False)
    assert list(line.geoms[0].coords) == [(11.3, 46.5), (11.301, 46.501)]


@pytest.mark.parametrize(
    ("document", "said"),
    [
        ({"type": "Point", "coordinates": [11.3, 46.5]}, "Point, not a line"),
        (
            feature({"type": "Polygon", "coordinates": [[[0, 0], [1, 0], [1, 1], [0, 0]]]}),
            "Polygon, not a line",
        ),
        (feature(None), "has no geometry"),
        ({"type": "FeatureCollection", "features": []}, "holds nothing"),
        ({"type": "FeatureCollection", "features": [feature(LINE), {"type": "x"}]}, "Feature 2"),
        ({"type": "Topology"}, "not GeoJSON"),
        ({}, "not GeoJSON"),
        ({"type": "LineString", "coordinates": [[11.3, 46.5]]}, "1 positions"),
        ({"type": "LineString", "coordinates": [[11.3, 46.5], [11.3, 46.5]]}, "one place"),
        ({"type": "LineString", "coordinates": [[11.3, 46.5], [11.35, 46.5]]}, "km apart"),
        ({"type": "LineString", "coordinates": [[661000, 5151000], [661010, 5151000]]}, "not on the globe"),
        ({"type": "LineString", "coordinates": [[11.3, float("nan")], [11.3, 46.5]]}, "not a number"),
        ({"type": "LineString", "coordinates": [[11.3, float("inf")], [11.3, 46.5]]}, "not a number"),
        ({"type": "LineString", "coordinates": [[11.3, 46.5]] * (MOST_POINTS + 1)}, "at most 2000"),
        (LINE | {"crs": {"type": "name", "properties": {"name": "EPSG:3857"}}}, "WGS 84"),
    ],
)
def test_what_is_no_line_on_the_ground_is_refused_in_words(document, said):
    with pytest.raises(InputError, match=said):
        line_of_geojson(document)


JSON = st.recursive(
    st.none() | st.booleans() | st.floats() | st.text(max_size=5) | st.sampled_from(["LineString", "Feature"]),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.sampled_from(["type", "coordinates", "geometry", "features", "crs"]), inner, max_size=4),
    max_leaves=12,
)  # fmt: skip


@given(st.dictionaries(st.sampled_from(["type", "coordinates", "geometry", "features", "crs"]), JSON))
def test_any_json_is_a_line_or_an_input_error(document):
    with contextlib.suppress(InputError):
        assert line_of_geojson(document).length > 0
