"""`orchardmap calc rows`: what it takes, what it answers, and how it refuses."""

import json
from typing import Any

import pytest
import shapely

from geometries import POND, on_earth, rectangle
from orchardmap.errors import InputError
from orchardmap.geometry.calc import calculated_jobs, calculated_rows

OUTLINE = json.loads(shapely.to_geojson(on_earth(rectangle())))


def job(**changes: Any) -> dict[str, Any]:
    numbers = {
        "outline": OUTLINE,
        "bearing_deg": 0,
        "row_spacing_m": 4,
        "tree_spacing_m": 1.9,
        "first_row_offset_m": 2.5,
    }
    return {key: value for key, value in {**numbers, **changes}.items() if value is not ...}


def test_answer_has_the_four_figures_and_nothing_else():
    # 25 rows of 200 m; floor(200 / 1.9) + 1 = 106
    answer = calculated_rows(job())
    assert list(answer) == ["rows", "segments", "total_row_length_m", "positions"]
    assert (answer["rows"], answer["segments"], answer["positions"]) == (25, 25, 2650)
    assert answer["total_row_length_m"] == pytest.approx(5000.0, abs=0.05)
    json.dumps(answer)


def test_row_list_adds_up_to_the_figures():
    outline = json.loads(shapely.to_geojson(on_earth(POND)))
    answer = calculated_rows(job(outline=outline), with_rows=True)
    rows = answer["row_list"]
    assert len(rows) == answer["rows"] == 25
    assert sum(len(row["part_positions"]) for row in rows) == answer["segments"] == 30
    assert sum(row["positions"] for row in rows) == answer["positions"]
    assert sum(row["length_m"] for row in rows) == pytest.approx(answer["total_row_length_m"], abs=0.02)
    assert shapely.from_geojson(json.dumps(rows[12]["line"])).geom_type == "MultiLineString"
    json.dumps(answer)


def test_feature_collection_and_list_are_taken_and_feature_may_know_more():
    properties = {key: value for key, value in job().items() if key != "outline"}
    feature = {"type": "Feature", "properties": {**properties, "name": "Long Meadow"}, "geometry": OUTLINE}
    single = calculated_rows(job())
    assert calculated_jobs(job()) == single
    assert calculated_jobs(feature) == single
    assert calculated_jobs([job(), feature]) == [single, single]
    assert calculated_jobs({"type": "FeatureCollection", "features": [feature]}) == [single]


def test_first_row_takes_the_place_of_bearing_and_offset():
    points = shapely.get_coordinates(on_earth(shapely.LineString([(2.5, 10), (2.5, 190)]))).tolist()
    for first_row in (points, {"type": "LineString", "coordinates": points}):
        assert calculated_rows(job(bearing_deg=..., first_row=first_row))["positions"] == 2650


def test_straight_baseline_gives_the_rows_of_the_scan_line():
    points = shapely.get_coordinates(on_earth(shapely.LineString([(2.5, 10), (2.5, 190)]))).tolist()
    curved, straight = calculated_rows(job(baseline=points)), calculated_rows(job())
    assert curved["total_row_length_m"] == pytest.approx(straight["total_row_length_m"], abs=0.01)
    assert {**curved, "total_row_length_m": 0} == {**straight, "total_row_length_m": 0}


def test_pair_spacing_alone_means_double_rows_straight_or_curved():
    points = shapely.get_coordinates(on_earth(shapely.LineString([(2.5, 10), (2.5, 190)]))).tolist()
    for extra in ({}, {"baseline": points}):
        answer = calculated_rows(job(row_spacing_m=5, pair_spacing_m=1.2, **extra))
        assert (answer["rows"], answer["pairs"]) == (40, 20)


@pytest.mark.parametrize(
    ("changes", "key"),
    [
        ({"outline": ...}, "outline"),
        ({"outline": None}, "outline"),
        ({"outline": "POLYGON"}, "outline"),
        ({"outline": {"type": "Point", "coordinates": [11, 46]}}, "outline"),
        ({"row_spacing_m": ...}, "row_spacing_m"),
        ({"tree_spacing_m": ...}, "tree_spacing_m"),
        ({"bearing_deg": ...}, "bearing_deg"),
        ({"bearing_deg": "north"}, "bearing_deg"),
        ({"bearing_deg": True}, "bearing_deg"),
        ({"bearing_deg": 400}, "bearing_deg"),
        ({"row_spacing_m": "4"}, "row_spacing_m"),
        ({"row_spacing_m": 0}, "row_spacing_m"),
        ({"row_spacing_m": 10**400}, "row_spacing_m"),
        ({"tree_spacing_m": float("nan")}, "tree_spacing_m"),
        ({"headland_m": -3}, "headland_m"),
        ({"end_offset_m": [1]}, "end_offset_m"),
        ({"lines_per_row": 3}, "lines_per_row"),
        ({"lines_per_row": True}, "lines_per_row"),
        ({"lines_per_row": 2}, "pair_spacing_m"),
        ({"first_row": [[11.3, 46.5]]}, "first_row"),
        ({"first_row": [["a", 46.5], [11.3, 46.6]]}, "first_row"),
        ({"first_row": "here"}, "first_row"),
        ({"baseline": [[11.3]]}, "baseline"),
        ({"spacing": 4}, "spacing"),
    ],
)
def test_every_bad_key_or_value_is_refused_by_name(changes, key):
    with pytest.raises(InputError) as refusal:
        calculated_rows(job(**changes))
    assert refusal.value.where.startswith(key)


def test_bad_job_in_a_list_names_its_place():
    with pytest.raises(InputError) as refusal:
        calculated_jobs([job(), job(headland_m=-1)])
    assert refusal.value.where == "job 2, headland_m"


@pytest.mark.parametrize("document", [None, 3, "rows", [3], [None], {"type": "FeatureCollection"}])
def test_what_is_no_job_is_refused(document):
    with pytest.raises(InputError):
        calculated_jobs(document)
