"""Returns in Python against `tests/vectors/returns`, which `web/tests/core/again.test.ts` reads too."""

import json
import random

import pytest

import return_vectors
from orchardmap.model.returns import Stretch
from orchardmap.work.returns import again_runs, common, joined, open_stretches
from orchardmap.work.settling import HELD, Claim, settled_runs

FILES = {path.stem: json.loads(path.read_text("utf-8")) for path in return_vectors.FILE.parent.glob("*.json")}
CASES = [pytest.param(case, id=f"{file}: {case['name']}") for file, cases in FILES.items() for case in cases]


def told(case):
    """What the core makes of a case, in the words of the vectors."""
    rows = {int(number): row for number, row in case["rows"].items()}
    blanks = {(number, position) for number, row in rows.items() for position in row["blanks"]}
    whole = [Stretch(number, 1, row["p"]) for number, row in rows.items()]
    gone = set(case["withdrawn"])
    opened = {}
    for one in case["returns"]:
        answers = [Stretch(*mark[1:4]) for mark in one["answers"] if mark[0] not in gone]
        asked = common([Stretch(*stretch) for stretch in one["stretches"]], whole)
        opened[one["id"]] = open_stretches(asked, answers, blanks)
    waiting = joined(stretch for found in opened.values() for stretch in found)
    runs = []
    for number, row in rows.items():
        claims = [
            Claim(mark[0], mark[2], mark[3], mark[4], mark[0])
            for mark in case["marks"]
            if mark[1] == number and mark[0] not in gone
        ]
        for run, is_again in again_runs(number, settled_runs(claims, (), positions=row["p"]), waiting):
            kind = 2 if run.status in HELD else 3 if is_again else 1
            runs.append([number, run.first, run.last, kind, run.crew_id])
    return {"open": {name: [list(one) for one in found] for name, found in opened.items()}, "runs": runs}


@pytest.mark.parametrize("case", CASES)
def test_core_and_the_witness_equal_the_vectors_in_any_order(case):
    assert told(case) == return_vectors.expected(case) == case["expect"]
    draw = random.Random(0)
    turned = case | {"marks": draw.sample(case["marks"] * 2, 2 * len(case["marks"]))}
    for one in (returns := [dict(one) for one in case["returns"]]):
        for kind in ("stretches", "answers"):
            one[kind] = draw.sample(one[kind] * 2, 2 * len(one[kind]))
    assert told(turned | {"returns": returns}) == case["expect"]


def test_generated_cases_are_the_witness_own_and_hold_much_of_every_kind():
    cases = return_vectors.generated()
    assert return_vectors.written(cases) == return_vectors.FILE.read_text("utf-8")
    kinds = [run[3] for case in cases for run in case["expect"]["runs"]]
    assert all(kinds.count(kind) >= 25 for kind in (1, 2, 3))
