"""Outlines as people really draw them: crossing, in parts, around the antimeridian, too fine, too large, doubled."""

import json
import time
from typing import Any

import numpy as np
import pytest
import shapely
from shapely.geometry import mapping

from bad_files import geojson_bytes, square
from orchardmap.geodata.preview import Answers, Feature
from orchardmap.geodata.read import read_file
from orchardmap.geodata.repair import MAX_CROSSINGS, crossing_count


def _one(geometry: Any, **answers: Any) -> Feature:
    data = geojson_bytes({"A": mapping(geometry) if not isinstance(geometry, dict) else geometry})
    return read_file(data, filename="a", answers=Answers(**answers)).features[0]


def _circle(vertices: int, *, lon: float = 11.0, lat: float = 46.0, radius: float = 0.001) -> shapely.Polygon:
    turn = np.linspace(0, 2 * np.pi, vertices, endpoint=False)
    return shapely.Polygon(np.column_stack([lon + radius * np.cos(turn), lat + radius * np.sin(turn)]))


def test_a_bow_tie_is_refused_with_both_areas():
    bow = shapely.Polygon([(11.0, 46.0), (11.002, 46.001), (11.002, 46.0), (11.0, 46.001)])
    feature = _one(bow)
    assert feature.geometry is None
    assert str(feature.problem).startswith("Feature 1 breaks the rules of an outline.")
    assert "from 0.000 ha to 0.861 ha" in str(feature.problem)


def test_a_slip_at_a_corner_is_mended_and_both_areas_are_told():
    # two edges cross in the last centimetre of a corner
    slip = shapely.Polygon([
        (11.0, 46.0),
        (11.002, 46.0),
        (11.002, 46.001),
        (11.0, 46.001),
        (11.0, 45.9999999),
        (11.0000001, 46.00000005),
    ])
    assert not slip.is_valid
    feature = _one(slip)
    assert feature.problem is None
    assert feature.geometry is not None
    assert feature.geometry.is_valid
    assert feature.area_ha == pytest.approx(1.7221, rel=1e-3)
    assert "ha before" in feature.notes[0]


def test_a_hole_outside_or_a_flat_outline_is_no_block():
    assert _one(shapely.Polygon([(11.0, 46.0), (11.002, 46.0), (11.001, 46.0)])).problem is not None
    tiny = square(11.0, 46.0, side=1e-9)
    assert "covers no land" in str(_one(tiny).problem)


def test_what_is_too_large_for_a_block_is_said():
    assert "too large for one block" in str(_one(square(11.0, 46.0, side=0.2)).problem)


def test_the_cap_of_vertices():
    assert _one(_circle(19_999)).problem is None
    assert "20,002 vertices; at most 20,000" in str(_one(_circle(20_001)).problem)


def test_an_outline_made_to_keep_the_server_busy_is_refused_in_little_time():
    # mending 2,000 random vertices takes GEOS 19 s and 86,000 new ones (measured); here there are ten times as many
    tangle = shapely.Polygon(np.random.default_rng(5).random((19_000, 2)) * 0.01 + (11.0, 46.0))
    start = time.process_time()
    feature = _one(tangle)
    assert f"more than {MAX_CROSSINGS} times" in str(feature.problem)
    assert time.process_time() - start < 10


def test_a_comb_that_crosses_itself_once_is_refused_in_little_time():
    # 20,000 slanting edges side by side: every box touches every other, 200 million pairs
    teeth = np.arange(9_900)
    xy = np.column_stack([np.repeat(teeth, 2) * 1e-7, np.tile([0.0, 0.002], len(teeth))])
    xy[:, 0] += xy[:, 1]
    outline = np.vstack([xy, [(xy[-1, 0], -0.001), (xy[0, 0], 0.0015)]]) + np.array([11.0, 46.0])
    start = time.process_time()
    feature = _one(shapely.Polygon(outline))
    assert "too tangled" in str(feature.problem) or "more than" in str(feature.problem)
    assert time.process_time() - start < 20


def test_crossings_are_counted_right_when_few():
    zigzag = [(x, (x % 2) * 1.0) for x in range(21)]
    # a line at half height back through 20 slanting edges, closed around the outside
    ring = [*zigzag, (21, 0.0), (21, 0.5), (-1, 0.5), (-1, 0.0)]
    assert crossing_count(shapely.Polygon(ring)) == 20


def test_parts_are_one_block_unless_said_otherwise():
    two = shapely.MultiPolygon([shapely.box(11, 46, 11.001, 46.001), shapely.box(11.002, 46, 11.003, 46.001)])
    data = geojson_bytes({"Home": mapping(two)})
    whole = read_file(data, filename="a")
    assert [(question.key, question.needed) for question in whole.questions] == [("split_parts", False)]
    assert len(whole.features) == 1
    split = read_file(data, filename="a", answers=Answers(split_parts=True))
    assert [feature.name for feature in split.features] == ["Home part 1", "Home part 2"]
    assert split.questions == ()
    assert sum(feature.area_ha for feature in split.features) == pytest.approx(
        whole.features[0].area_ha, rel=1e-12
    )


def test_a_block_across_the_antimeridian_is_whole():
    # Taveuni lies on it; the same outline half a degree further east has the same area
    ring = [[179.999, -16.8], [-179.999, -16.8], [-179.999, -16.801], [179.999, -16.801], [179.999, -16.8]]
    feature = _one({"type": "Polygon", "coordinates": [ring]})
    assert feature.problem is None
    assert feature.geometry is not None
    assert feature.geometry.bounds == pytest.approx((179.999, -16.801, 180.001, -16.8))
    assert feature.area_ha == pytest.approx(
        _one(shapely.box(178.999, -16.801, 179.001, -16.8)).area_ha, rel=1e-9
    )
    assert "180th meridian" in feature.notes[0]


def test_longitudes_of_the_other_habit_are_brought_back():
    feature = _one(square(239.7, 38.0))
    assert feature.geometry is not None
    assert feature.geometry.bounds[0] == pytest.approx(-120.3)


def test_one_wild_vertex_is_that_features_problem_alone():
    wild = {"type": "LineString", "coordinates": [[11.0, 46.0], [11.0, 4600.0]]}
    preview = read_file(
        geojson_bytes({"A": square(11.0, 46.0), "B": square(11.1, 46.0), "C": wild}), filename="a"
    )
    assert [feature.problem is None for feature in preview.features] == [True, True, False]
    assert "no place for an orchard" in str(preview.features[2].problem)


def test_doubled_names_are_kept_and_noted():
    geometries = [square(11.0, 46.0), square(11.01, 46.0), square(11.02, 46.0)]
    features = [
        {"type": "Feature", "properties": {"BLOCK": name}, "geometry": geometry}
        for name, geometry in zip(["Home", "home", "Hill"], geometries, strict=True)
    ]
    data = geojson_bytes({}, more={}).replace(
        b'"features": []', b'"features": ' + json.dumps(features).encode()
    )
    found = read_file(data, filename="a").features
    assert [feature.name for feature in found] == ["Home", "home", "Hill"]
    assert ["called" in "".join(feature.notes) for feature in found] == [True, True, False]


def test_a_row_without_length_is_refused():
    line = {"type": "LineString", "coordinates": [[11.0, 46.0], [11.0, 46.0]]}
    assert _one(line).problem == "Feature 1 has no length"


def test_an_open_line_stays_a_row():
    line = {
        "type": "LineString",
        "coordinates": [[11.0, 46.0], [11.0, 46.0005], [11.0001, 46.001], [11.0002, 46.0011]],
    }
    assert _one(line).kind == "row"
