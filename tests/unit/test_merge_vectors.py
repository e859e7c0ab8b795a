"""The merge model in Python against `tests/vectors`, which `web/tests/core/merge.test.ts` reads too.

The hand-worked cases also hold the naive model that the generated answers come from.
"""

import json
import random

import pytest

import naive_merge
from naive_merge import VECTORS
from orchardmap.model.work import RecordSettlement, StretchSettlement
from orchardmap.work.merging import MarkVersion, Records, WithdrawalVersion, standing, view

FILES = {path.stem: json.loads(path.read_text(encoding="utf-8")) for path in sorted(VECTORS.glob("*.json"))}
CASES = [pytest.param(case, id=f"{file}: {case['name']}") for file, cases in FILES.items() for case in cases]
BY_HAND = [
    pytest.param(case, id=f"{file}: {case['name']}")
    for file, cases in FILES.items()
    if file != "generated"
    for case in cases
]


def records(case):
    return Records(
        marks=frozenset(
            MarkVersion(
                m["id"], m["version"], ("block", m["row"]), m["first"], m["last"], m["crew"], m.get("reason"),
                m.get("for_crew"),
            )
            for m in case["marks"]
        ),
        withdrawals=frozenset(
            WithdrawalVersion(w["id"], w["version"], w["mark"], w["for_crew"], w.get("reason"))
            for w in case["withdrawals"]
        ),
        settlements=frozenset(
            StretchSettlement(
                s["id"], s["number"], "", "block", s["row"], s["first"], s["last"], s["crew"], frozenset(s["seen"])
            )
            for s in case["settlements"]
        ),
        record_settlements=frozenset(
            RecordSettlement(
                w["id"], w["number"], w["kind"], w["record"], w["version"], frozenset(w["seen"]), "", w.get("reason")
            )
            for w in case["record_settlements"]
        ),
    )  # fmt: skip


def told(case):
    """What the model makes of a case, in the words of the vectors."""
    made = records(case)
    views = view(made, {("block", int(row)): length for row, length in case["rows"].items()})
    credited: dict[str | None, int] = {}
    for one in views.values():
        for crew, n in one.credited.items():
            credited[crew] = credited.get(crew, 0) + n
    nobody = credited.pop(None, 0)
    return {
        "standing": sorted([m.id, m.content_hash] for m in standing(made)),
        "runs": [
            [row, run.first, run.last, run.status, run.crew_id]
            for (_, row), one in sorted(views.items())
            for run in one.runs
        ],
        "credited": dict(sorted(credited.items(), key=str)),
        "nobody": nobody,
        "held": sum(one.held for one in views.values()),
        "done": sum(one.done for one in views.values()),
    }


@pytest.mark.parametrize("case", CASES)
def test_model_equals_the_vectors_in_any_order(case):
    assert told(case) == case["expect"]
    draw = random.Random(0)
    for kind in ("marks", "withdrawals", "settlements", "record_settlements"):
        case = case | {kind: draw.sample(case[kind] * 2, 2 * len(case[kind]))}
    assert told(case) == case["expect"]


@pytest.mark.parametrize("case", BY_HAND)
def test_naive_model_equals_what_was_worked_by_hand(case):
    assert naive_merge.expected(case) == case["expect"]


def test_generated_cases_are_the_naive_models_and_hold_every_status_often():
    assert naive_merge.written(naive_merge.generated()) == (VECTORS / "generated.json").read_text(
        encoding="utf-8"
    )
    statuses = [run[3] for case in FILES["generated"] for run in case["expect"]["runs"]]
    for status in ("done", "contested", "settled", "reopened"):
        assert statuses.count(status) >= 20, status
