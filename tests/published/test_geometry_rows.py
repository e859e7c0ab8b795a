"""Worked row cases O1 to O8, quarter circles and slopes of `geometry_checks.json`, and surveyed plants.

O1 to O8 were worked by hand from the numbers of each block (the formula stands beside each); the
quarter circles and slopes are exact mathematics; the plants were surveyed by Jonathan Cox, University
of Lincoln (Apache-2.0; see `lincoln_vines.json`).
"""

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from shapely.geometry import LineString, MultiPoint, Polygon

from orchardmap.geometry.calc import calculated_rows
from orchardmap.geometry.curved import parallel_line
from orchardmap.geometry.frame import local_xy_m, origin_lonlat
from orchardmap.geometry.positions import nearest_rows
from orchardmap.geometry.rows import rows_of_block
from orchardmap.geometry.slope import surface_factor
from orchardmap.geometry.surveyed import measured_pitch_m, rows_bearing_deg, surveyed_rows
from orchardmap.model.orchard import Planting

HERE = Path(__file__)
CHECKS = json.loads(HERE.with_name("geometry_checks.json").read_text(encoding="utf-8"))
VINES = json.loads(HERE.with_name("lincoln_vines.json").read_text(encoding="utf-8"))
ROW_CASES = [pytest.param(c, id=f"{c['id']}: {c['hand_formula']}") for c in CHECKS["row_cases"]]
JOB_KEYS = (
    "bearing_deg", "row_spacing_m", "tree_spacing_m", "end_offset_m", "first_row_offset_m", "headland_m",
    "min_row_length_m", "pair_spacing_m",
)  # fmt: skip
VINE_ROWS = [LineString(row) for row in VINES["rows"]]
PLANTS = np.array(VINES["plants"])


def test_all_eight_row_cases_are_here():
    assert [case["id"] for case in CHECKS["row_cases"]] == [f"O{n}" for n in range(1, 9)]


@pytest.mark.parametrize("case", ROW_CASES)
def test_rows_and_positions_are_those_worked_by_hand(case):
    job = {key: case[key] for key in JOB_KEYS if key in case}
    answer = calculated_rows({"outline": case["polygon_geojson"], **job}, with_rows=True)
    expected = case["expect"]
    within_m = case["tolerance"]["total_row_length_m"]
    assert answer["rows"] == expected.get("rows", expected.get("single_lines"))
    assert answer["positions"] == expected["trees"]
    assert answer["total_row_length_m"] == pytest.approx(expected["total_row_length_m"], abs=within_m)
    assert answer["segments"] == expected.get("segments", answer["rows"])
    assert answer.get("pairs") == expected.get("double_rows")
    assert [row["row"] for row in answer["row_list"]] == list(range(1, answer["rows"] + 1))


@pytest.mark.parametrize("case", CHECKS["other"]["quarter_circle_offset"])
def test_parallel_of_a_quarter_circle_has_the_length_of_its_radius(case):
    # exact: (radius - offset to the left) * pi / 2; the arc turns left, so left is inward. A polygon of
    # 3600 chords ends half a chord askew: its parallel is off by 10 m x 90 deg / 3600 = 4 mm
    angle = np.radians(np.linspace(0.0, 90.0, 3601))
    arc = LineString(case["baseline_radius_m"] * np.stack((np.cos(angle), np.sin(angle)), axis=1))
    parallel = parallel_line(arc, -case["offset_m"])
    assert parallel.length == pytest.approx(case["exact_length_m"], abs=0.01)
    radius = np.hypot(*np.asarray(parallel.coords).T)
    assert radius == pytest.approx(case["baseline_radius_m"] - case["offset_m"], abs=0.002)


@pytest.mark.parametrize("case", CHECKS["other"]["surface_distance"])
def test_surface_factor_is_the_hypotenuse(case):
    assert surface_factor(case["slope_percent"]) == pytest.approx(case["factor"], abs=5e-7)
    assert surface_factor(-case["slope_percent"]) == surface_factor(case["slope_percent"])


def test_surveyed_rows_have_the_measured_pitch_and_bearing():
    # SOURCE of the data, from the plants: row pitch 2.504 m, azimuth 171.64 deg
    through_plants = [LineString(PLANTS[PLANTS[:, 0] == number, 2:]) for number in range(1, 11)]
    assert measured_pitch_m(through_plants) == pytest.approx(2.504, abs=0.0015)
    assert rows_bearing_deg(through_plants) == pytest.approx(171.64, abs=0.005)
    # the anchor posts were set with their own few centimetres
    assert measured_pitch_m(VINE_ROWS) == pytest.approx(2.504, abs=0.005)
    assert rows_bearing_deg(VINE_ROWS) == pytest.approx(171.64, abs=0.1)


def test_surveyed_rows_are_numbered_across_as_the_survey_numbers_them():
    shuffled = [VINE_ROWS[i] for i in (3, 0, 9, 1, 7, 2, 5, 4, 8, 6)]
    rows = surveyed_rows(shuffled, planting=Planting(0.0, 2.504, 1.397, 1.3))
    assert [row.line.geoms[0].coords[0] for row in rows] == [row.coords[0] for row in VINE_ROWS]
    assert [row.number for row in rows] == list(range(1, 11))
    # SOURCE: anchor to anchor 18.47 to 18.64 m
    assert min(row.length_m for row in rows) == pytest.approx(18.47, abs=0.006)
    assert max(row.length_m for row in rows) == pytest.approx(18.64, abs=0.006)


def test_surveyed_rows_carry_twelve_positions_by_the_rule_and_by_count():
    # SOURCE: 12 plants a row, spacing mean 1.397 m; the first plant stands 1.5 m in from the anchor post
    # on average (measured below), so the rule gives floor((18.47 ... 18.64 - 3.0) / 1.397) + 1 = 12
    counted = dict.fromkeys(range(1, 11), 12)
    rows = surveyed_rows(VINE_ROWS, planting=Planting(0.0, 2.504, 1.397, 1.5), counted=counted)
    assert [sum(row.part_positions) for row in rows] == [12] * 10
    assert [row.positions for row in rows] == [12] * 10


def test_every_surveyed_plant_lies_on_its_row():
    rows = surveyed_rows(VINE_ROWS, planting=Planting(0.0, 2.504, 1.397, 1.5))
    for number, _, lon, lat in VINES["plants"]:
        near = nearest_rows(rows, (lon, lat), most=2)
        assert near[0].number == number
        # anchor posts and plants were taken apart from each other: 0.058 m within a row, 0.15 m to the posts
        assert near[0].distance_m < 0.2 < 2.2 < near[1].distance_m


def test_surveyed_plants_stand_where_positions_are_put():
    rows = surveyed_rows(VINE_ROWS, planting=Planting(0.0, 2.504, 1.397, 1.5))
    off = [
        near.position - plant
        for number, plant, lon, lat in VINES["plants"]
        for near in nearest_rows([rows[number - 1]], (lon, lat))
    ]
    assert off == [0] * 120


def test_rows_laid_into_the_surveyed_outline_are_the_surveyed_rows():
    # first row by two points: the anchor posts of row 1; pitch as measured. The posts' own ring is
    # widened by about a metre, since rows 1 and 10 are its edges and must lie inside
    first: Any = tuple(tuple(point) for point in VINES["rows"][0])
    outline = Polygon(VINES["outline"][0]).buffer(1e-5, join_style="mitre")
    laid = rows_of_block(outline, Planting(0.0, 2.504, 1.397, 2.6, first_row=first, min_row_length_m=10.0))
    assert [row.number for row in laid] == list(range(1, 11))
    assert {row.positions for row in laid} == {12}
    origin = origin_lonlat(VINES["outline"][0])
    for row, surveyed in zip(laid, VINE_ROWS, strict=True):
        posts = MultiPoint(local_xy_m(surveyed.coords, origin))
        line = LineString(local_xy_m(row.line.geoms[0].coords, origin))
        assert max(line.distance(post) for post in posts.geoms) < 0.15
