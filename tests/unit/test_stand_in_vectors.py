"""Trees that stand in for others, in Python, against `tests/vectors/lots`, which `web/tests/core/stand-ins.test.ts` reads too."""

import json
import random
from datetime import UTC, date, datetime
from types import SimpleNamespace

import pytest

import stand_in_vectors
from orchardmap.model.lot import Lot, LotTree, TablePlan
from orchardmap.quality.lot_findings import findings

FILES = {
    path.stem: json.loads(path.read_text("utf-8")) for path in stand_in_vectors.FILE.parent.glob("*.json")
}
CASES = [pytest.param(case, id=f"{file}: {case['name']}") for file, cases in FILES.items() for case in cases]
DAY, AT = date(2026, 1, 20), datetime(2026, 1, 20, 8, tzinfo=UTC)


def lot_of(said):
    trees = tuple(LotTree(*tree) for tree in said["trees"])
    return Lot(
        "lot", "farm", "season", 1, "block", None, DAY, AT, None, None, DAY, None, None, TablePlan("I", 4.0),
        said["n"], said["accept"], said["reject"], 1, (), (), said["lot_trees"], trees,
        reserve=tuple((row, at) for row, at in said["reserve"]),
    )  # fmt: skip


def told(case):
    """What the core makes of a case, in the words of the vectors."""
    checks = [
        SimpleNamespace(
            id=str(number), row=row, position=at, day=DAY, corrected_at=AT, verdict=verdict, drawn=True, lot_id="lot",
            second=False,
        )
        for number, (row, at, verdict) in enumerate(case["checks"])
    ]  # fmt: skip
    left_out = {(row, at): reason for row, at, reason in case["not_judged"]}
    left_out |= dict.fromkeys(case["no_tree"], "blank")
    found = findings(lot_of(case["lot"]), checks, left_out)
    asked = found.asked
    return {
        "trees": [list(tree) for tree in asked.trees],
        "called": [list(tree) for tree in asked.called],
        "left_out": [[*tree, reason] for tree, reason in asked.left_out.items()],
        "needed": asked.needed,
        "is_short": asked.is_short,
        "checked": found.checked,
        "faulty": found.faulty,
        "verdict": found.verdict,
    }


@pytest.mark.parametrize("case", CASES)
def test_core_and_the_witness_equal_the_vectors_in_any_order(case):
    assert told(case) == stand_in_vectors.expected(case) == case["expect"]
    draw = random.Random(0)
    turned = case | {
        name: draw.sample(case[name], len(case[name])) for name in ("checks", "not_judged", "no_tree")
    }
    assert told(turned) == case["expect"]


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
