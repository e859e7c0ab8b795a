"""Trees that stand in for others, in Python, against `tests/vectors/lots`, which `web/tests/core/stand-ins.test.ts` reads too."""

import json

import pytest

import stand_in_vectors
from stand_in_vectors import by_core, turned

FILES = {
    path.stem: json.loads(path.read_text("utf-8")) for path in stand_in_vectors.FILE.parent.glob("*.json")
}
CASES = [pytest.param(case, id=f"{file}: {case['name']}") for file, cases in FILES.items() for case in cases]


@pytest.mark.parametrize("case", CASES)
def test_core_and_the_witness_equal_the_vectors_in_any_order(case):
    assert by_core(case) == stand_in_vectors.expected(case) == case["expect"]
    assert all(by_core(turned(case, seed)) == case["expect"] for seed in range(3))


def test_generated_cases_are_the_witness_own_and_hold_much_of_every_kind():
    cases = stand_in_vectors.generated()
    assert stand_in_vectors.written(cases) == stand_in_vectors.FILE.read_text("utf-8")
    answers = [case["expect"] for case in cases]
    assert all(
        sum(bool(kind(one)) for one in answers) >= 8
        for kind in (
            lambda one: one["called"],
            lambda one: one["is_short"],
            lambda one: one["verdict"] == "accepted" and one["left_out"],
            lambda one: one["verdict"] == "send_back" and one["called"],
        )
    )
