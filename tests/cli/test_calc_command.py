"""`orchardmap calc rows`: the worked cases, by the command a stranger would type."""

import io
import json
import sys

import pytest

# Case O1 of the project's open geometry checks (row_generation_open_cases), derived by hand there: a field of 100 m x 200 m,
# rows at 2.5, 6.5 ... 98.5 m make 25, each 200 m long with floor(198 / 1.9) + 1 = 105 positions. O3 has a hole of 20 m x 40 m:
# five rows are cut in two parts of 80 m with floor(78 / 1.9) + 1 = 42 positions each.
RING = [
    [11.30065135, 46.4991004],
    [11.30065137, 46.50089959],
    [11.29934863, 46.50089959],
    [11.29934865, 46.4991004],
]
HOLE = [
    [11.29986973, 46.49982008],
    [11.30013027, 46.49982008],
    [11.30013027, 46.50017992],
    [11.29986973, 46.50017992],
]
NUMBERS = {
    "bearing_deg": 0,
    "row_spacing_m": 4,
    "tree_spacing_m": 1.9,
    "end_offset_m": 1,
    "first_row_offset_m": 2.5,
    "headland_m": 0,
    "min_row_length_m": 3,
}
O1 = {"outline": {"type": "Polygon", "coordinates": [[*RING, RING[0]]]}, **NUMBERS}
O3 = {"outline": {"type": "Polygon", "coordinates": [[*RING, RING[0]], [*HOLE, HOLE[0]]]}, **NUMBERS}


def test_calc_rows_gives_the_published_numbers(orchardmap, tmp_path):
    (tmp_path / "job.json").write_text(json.dumps(O1), "utf-8")
    said = orchardmap("calc", "rows", "job.json")
    assert (said.code, said.err) == (0, "")
    told = json.loads(said.out)
    length_m = told.pop("total_row_length_m")
    assert told == {"rows": 25, "segments": 25, "positions": 2625}
    assert length_m == pytest.approx(
        5000.0, abs=0.05
    )  # the check's own tolerance: its corners have 8 decimals


def test_calc_rows_takes_a_list_from_standard_input(orchardmap, monkeypatch):
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(json.dumps([O1, O3]).encode())))
    said = orchardmap("calc", "rows", "-")
    assert said.code == 0
    one, three = json.loads(said.out)
    assert one["positions"] == 2625
    assert (three["segments"], three["positions"]) == (30, 20 * 105 + 10 * 42)


def test_calc_rows_lists_every_row_on_demand(orchardmap, tmp_path):
    (tmp_path / "job.json").write_text(json.dumps(O3), "utf-8")
    told = json.loads(orchardmap("calc", "rows", "job.json", "--rows").out)
    assert len(told["row_list"]) == 25
    assert sum(len(row["part_positions"]) for row in told["row_list"]) == 30


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("{", "not JSON"),
        ("\ufeff{", "not JSON"),
        ("7", "job"),
        (json.dumps(O1 | {"row_spacing_m": 0}), "row_spacing_m"),
        (json.dumps(O1 | {"row_spaceing_m": 4}), "row_spaceing_m"),
        (json.dumps(O1 | {"outline": {"type": "Point", "coordinates": [11, 46]}}), "outline"),
        (json.dumps(O1).replace("46.49910", "1e999"), ""),
        (json.dumps(O1 | {"tree_spacing_m": float("nan")}), "tree_spacing_m"),
    ],
)
def test_calc_rows_refuses_in_one_sentence(orchardmap, tmp_path, text, says):
    (tmp_path / "job.json").write_text(text, "utf-8")
    said = orchardmap("calc", "rows", "job.json")
    assert said.code == 1
    assert said.out == ""
    assert said.err.startswith("orchardmap: ")
    assert says in said.err
    assert "Traceback" not in said.err


def test_calc_rows_missing_file(orchardmap):
    said = orchardmap("calc", "rows", "nowhere.json")
    assert said.code == 1
    assert "nowhere.json" in said.err


TRUNK_JOB = {"trunk_diameter_cm": 3.81, "fruit_per_cm2": 4}


def test_calc_crop_load_answers_a_file_and_a_list_on_standard_input(orchardmap, tmp_path, monkeypatch):
    """3.81 cm are the 1.50 in of UMass's table (2017), which prints 46 fruit for 4 per cm2."""
    (tmp_path / "job.json").write_text(json.dumps(TRUNK_JOB), "utf-8")
    said = orchardmap("calc", "crop-load", "job.json")
    assert (said.code, said.err) == (0, "")
    assert json.loads(said.out) == {"trunk_area_cm2": 11.401, "fruit_per_tree": 46}
    both = [TRUNK_JOB, {"fruit_per_tree": 92, "floral_share": 0.84, "limbs_per_tree": 18}]
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(json.dumps(both).encode())))
    one, two = json.loads(orchardmap("calc", "crop-load", "-", "--steps").out)
    assert one["fruit_per_tree"] == 46
    assert two == {"fruit_per_tree": 92, "buds_per_tree": 110, "buds_per_limb": 7, "fruit_per_limb": 5.111}


def test_calc_crop_load_refuses_in_one_sentence_with_job_and_key(orchardmap, tmp_path):
    (tmp_path / "jobs.json").write_text(json.dumps([TRUNK_JOB, TRUNK_JOB | {"fruit": 4}]), "utf-8")
    said = orchardmap("calc", "crop-load", "jobs.json")
    assert (said.code, said.out) == (1, "")
    assert said.err.startswith("orchardmap: job 2, fruit: It is not a key of such a job. Known keys: ")


def test_calc_crop_load_tells_its_rounding_in_the_help(orchardmap):
    said = " ".join(orchardmap("calc", "crop-load", "--help").out.replace("│", " ").split())
    assert "Buds are rounded up" in said
    assert "Nothing is rounded on the way" in said
