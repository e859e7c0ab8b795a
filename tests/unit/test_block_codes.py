"""Codes of a file's blocks: the shell and the browser read the same cases (`web/tests/core/drafts.test.ts`)."""

import json
from pathlib import Path

import pytest

from orchardmap.usecases.block_codes import block_codes, code_and_name

CASES = json.loads(
    (Path(__file__).resolve().parents[1] / "vectors/block_codes/codes.json").read_text("utf-8")
)["cases"]


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["what"])
def test_codes_are_those_of_the_vectors(case):
    assert block_codes([(code, name) for code, name in case["said"]], case["taken"]) == case["codes"]


@pytest.mark.parametrize(
    ("properties", "code"),
    [({"block": 7}, "7"), ({"code": " ", "block": 7.0}, "7"), ({"code": True}, ""), ({"code": None}, "")],
)
def test_numbers_are_codes_and_nothing_else_is(properties, code):
    assert code_and_name({"properties": properties, "name": "North"}) == (code, "North")
