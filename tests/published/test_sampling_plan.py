"""Sampling plans against the published tables of MIL-STD-105E (each case names its source)."""

import json
from pathlib import Path

import pytest

from orchardmap.errors import InputError
from orchardmap.quality.plan import AQLS, LETTERS, LEVELS, code_letter, sampling_plan

CASES = {
    case["id"]: case for case in json.loads((Path(__file__).parent / "acceptance.json").read_text("utf-8"))
}


def _a_lot_with_letter(letter: str) -> tuple[int, str]:
    for level in LEVELS:
        for lot in (8, 15, 25, 50, 90, 150, 280, 500, 1200, 3200, 10_000, 35_000, 150_000, 500_000, 500_001):
            if code_letter(lot, level) == letter:
                return lot, level
    raise AssertionError(letter)


def test_every_code_letter_of_table_i():
    case = CASES["acc-01-code-letters"]
    table = case["expected"]
    bounds = case["inputs"]["lot_upper_bounds"]
    for bound, (_, row) in zip(bounds, table.items(), strict=True):
        lot = 600_000 if bound is None else bound
        assert {level: code_letter(lot, level) for level in LEVELS} == row, (lot, case["source"])


@pytest.mark.parametrize("severity", ["normal", "tightened", "reduced"])
def test_every_cell_of_the_master_table(severity):
    case = CASES[f"acc-02-master-{severity}"]
    cells = 0
    for letter, row in case["expected"].items():
        lot, level = _a_lot_with_letter(letter)
        for aql, (plan_letter, n, accept, reject) in row.items():
            plan = sampling_plan(lot, level=level, aql=float(aql), severity=severity)
            assert (plan.plan_letter, plan.n, plan.accept, plan.reject) == (plan_letter, n, accept, reject), (
                letter,
                aql,
            )
            cells += 1
    assert cells >= 90  # the table was really walked


@pytest.mark.parametrize("case_id", [c for c in CASES if c.startswith("acc-03")])
def test_look_ups(case_id):
    case = CASES[case_id]
    asked, told = case["inputs"], case["expected"]
    plan = sampling_plan(asked["lot"], level=asked["level"], aql=asked["aql"], severity=asked["severity"])
    assert (plan.code_letter, plan.n, plan.accept, plan.reject) == (
        told["code_letter"],
        told["n"],
        told["Ac"],
        told["Re"],
    )
    if "inspect_all" in told:
        assert (plan.trees_to_check == plan.lot) == told["inspect_all"]


def test_larger_lot_never_means_a_smaller_letter():
    for level in LEVELS:
        letters = [LETTERS.index(code_letter(lot, level)) for lot in range(2, 4000, 7)]
        assert letters == sorted(letters)


@pytest.mark.parametrize("aql", AQLS)
def test_accept_number_below_reject_number_in_every_plan(aql):
    for letter in LETTERS[:-1]:
        lot, level = _a_lot_with_letter(letter)
        for severity in ("normal", "tightened", "reduced"):
            try:
                plan = sampling_plan(lot, level=level, aql=aql, severity=severity)
            except InputError:
                continue  # beyond the edge of the tables: said so rather than made up
            assert 0 <= plan.accept < plan.reject


def test_unknown_words_are_refused_by_name():
    with pytest.raises(InputError, match="level"):
        sampling_plan(100, level="IV", aql=4.0)
    with pytest.raises(InputError, match="aql"):
        sampling_plan(100, level="II", aql=3.0)
    with pytest.raises(InputError, match="lot"):
        sampling_plan(1, level="II", aql=4.0)
