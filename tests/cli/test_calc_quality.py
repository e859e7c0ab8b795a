"""`orchardmap calc sample-plan` and `calc interval`, as typed: answers key by key, and refusals in one sentence."""

import io
import json
import sys

import pytest

TABLE = {"lot": 400, "level": "II", "aql": 4.0, "severity": "normal"}
POINTS = {"p1": 0.01, "pa1": 0.95, "p2": 0.08, "pa2": 0.05, "model": "hypergeometric", "lot": 100}
CHANCES = {"n": 20, "accept": 0, "p": [0.05, 0.15], "model": "binomial"}
CHECKED = {"faulty": 1, "checked": 20, "lot": 200, "confidence": 0.95}


@pytest.fixture
def calc(orchardmap, tmp_path):
    """A command's exit code, answer and complaint for a job."""

    def run(command, job):
        (tmp_path / "job.json").write_text(json.dumps(job), "utf-8")
        said = orchardmap("calc", command, "job.json")
        return said.code, json.loads(said.out) if said.out else None, said.err

    return run


def test_three_kinds_of_plan_job_answer_with_their_own_keys_in_order(calc):
    """Figures of MIL-STD-105E, of mistat's findPlan, and of Kiermeier 2008, J. Stat. Softw. 26(6)."""
    code, told, complaint = calc("sample-plan", [TABLE, POINTS, CHANCES])
    assert (code, complaint) == (0, "")
    assert [list(answer.items()) for answer in told[:2]] == [
        [("code_letter", "H"), ("n", 50), ("accept", 5), ("reject", 6)],
        [("n", 46), ("accept", 1)],
    ]
    assert list(told[2]) == ["pass_chance"]
    assert told[2]["pass_chance"] == pytest.approx([0.35848592, 0.03875953], abs=1e-8)


def test_plan_never_asks_for_more_trees_than_the_lot_has(calc):
    """Lot of 8, level II, AQL 1.0: the arrow points to 13 trees, so all 8 are checked."""
    _, told, _ = calc("sample-plan", {"lot": 8, "level": "II", "aql": 1})
    assert told == {"code_letter": "A", "n": 8, "accept": 0, "reject": 1}


def test_interval_of_shares_and_of_trees(calc):
    """Twenty of 200 trees with one faulty: 1 to 47 trees; Wilson's share by hand."""
    code, told, _ = calc("interval", CHECKED)
    assert code == 0
    assert list(told) == ["wilson", "lot_faulty"]
    assert told["wilson"] == pytest.approx([0.00888, 0.23613], abs=5e-6)
    assert told["lot_faulty"] == [1, 47]
    assert calc("interval", [CHECKED])[1] == [told]


def test_left_out_and_null_are_the_same(calc):
    usual = {"faulty": 1, "checked": 20, "lot": 200}
    assert (
        calc("interval", usual)[1]
        == calc("interval", CHECKED)[1]
        == calc("interval", usual | {"confidence": None})[1]
    )
    assert calc("sample-plan", CHANCES | {"lot": None})[1] == calc("sample-plan", CHANCES)[1]


def test_standard_input_will_do(orchardmap, monkeypatch):
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(json.dumps([CHECKED]).encode())))
    assert json.loads(orchardmap("calc", "interval", "-").out)[0]["lot_faulty"] == [1, 47]


@pytest.mark.parametrize(
    ("command", "job", "says"),
    [
        ("sample-plan", [TABLE, TABLE | {"aqls": 4}], "job 2, aqls: "),
        ("sample-plan", POINTS | {"n": 3}, "n: "),
        ("sample-plan", TABLE | {"model": "binomial"}, "model: "),
        ("sample-plan", {}, "lot: "),
        ("sample-plan", TABLE | {"lot": 400.5}, "lot: "),
        ("sample-plan", TABLE | {"lot": 1}, "lot: "),
        ("sample-plan", TABLE | {"lot": "400"}, "lot: "),
        ("sample-plan", TABLE | {"level": ["II"]}, "level: "),
        ("sample-plan", TABLE | {"aql": 3}, "aql: "),
        ("sample-plan", TABLE | {"severity": "mild"}, "severity: "),
        ("sample-plan", {key: POINTS[key] for key in POINTS if key != "lot"}, "lot: "),
        ("sample-plan", {key: POINTS[key] for key in POINTS if key != "model"}, "model: "),
        ("sample-plan", POINTS | {"model": "poisson"}, "lot: "),
        ("sample-plan", POINTS | {"p2": 0.012}, "p2: "),
        ("sample-plan", POINTS | {"p1": 0.2}, "p2: "),
        ("sample-plan", POINTS | {"pa2": 0.95}, "pa1: "),
        ("sample-plan", POINTS | {"pa1": 95}, "pa1: "),
        ("sample-plan", POINTS | {"p2": 0.0101, "lot": 1_000_000}, "p2: "),
        ("sample-plan", CHANCES | {"p": 0.05}, "p: "),
        ("sample-plan", CHANCES | {"p": [0.05, 5]}, "p: "),
        ("sample-plan", CHANCES | {"p": [0.05, True]}, "p[1]: "),
        ("sample-plan", CHANCES | {"n": 0}, "n: "),
        ("sample-plan", CHANCES | {"model": "hypergeometric", "lot": 19}, "n: "),
        ("sample-plan", CHANCES | {"p": [float("nan")]}, "p: "),
        ("sample-plan", 7, "job"),
        ("interval", [CHECKED, CHECKED | {"found": 1}], "job 2, found: "),
        ("interval", CHECKED | {"faulty": 21}, "faulty: "),
        ("interval", CHECKED | {"checked": 201}, "checked: "),
        ("interval", CHECKED | {"lot": 0}, "lot: "),
        ("interval", CHECKED | {"confidence": 95}, "confidence: "),
        ("interval", CHECKED | {"confidence": 1}, "confidence: "),
        ("interval", {"faulty": 1, "checked": 20}, "lot: "),
        ("interval", [CHECKED, "a"], "job 2"),
    ],
)
def test_a_job_that_cannot_be_answered_is_refused_by_number_and_key(calc, command, job, says):
    code, told, complaint = calc(command, job)
    assert (code, told) == (1, None)
    assert complaint.startswith(f"orchardmap: {says}") or says in {"job", "job 2"}
    assert says in complaint
    assert complaint.count("\n") == 1


def test_a_key_that_stands_twice_is_refused_for_nobody_can_tell_which_is_meant(orchardmap, tmp_path):
    """JSON readers take the last one without a word: a lot of 500 trees would be answered where 400 were meant."""
    file = tmp_path / "job.json"
    file.write_text('[{"lot": 400, "level": "II", "aql": 4, "lot": 500}]', "utf-8")
    told = orchardmap("calc", "sample-plan", "job.json")
    assert (told.code, told.out) == (1, "")
    assert told.err == "orchardmap: job.json, lot: It stands there twice. Keep the one that is meant.\n"
