"""What a tree's findings say of it: the cases that tablet and service share (`web/tests/core/check-scoring.test.ts`)."""

import json
from pathlib import Path
from typing import Any

import pytest

from orchardmap.model.brief import BriefContent, Point
from orchardmap.pruning.scoring import failed_points, tree_score, tree_verdict

VECTORS = json.loads(
    (Path(__file__).parents[1] / "vectors" / "checks" / "tree_verdicts.json").read_text("utf-8")
)
BRIEF = BriefContent(
    "spur_uncut",
    False,
    tuple(
        Point(sentences={"en": one["key"]}, picture="", unit="", source="", **one)
        for one in VECTORS["points"]
    ),
    (),
)


@pytest.mark.parametrize("case", VECTORS["cases"], ids=lambda case: case["name"])
def test_tree_is_judged_as_written(case: dict[str, Any]) -> None:
    findings = [tuple(one) for one in case["findings"]]
    score = tree_score(BRIEF, findings)
    assert (list(score.judged), list(score.failed), score.verdict) == (
        case["judged"],
        case["failed"],
        case["verdict"],
    )
    assert (failed_points(BRIEF, findings), tree_verdict(BRIEF, findings)) == score[1:]
