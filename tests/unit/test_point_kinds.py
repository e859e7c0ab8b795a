"""What a kind of point is measured by: the editor offers what the library takes, and nothing else.

`web/tests/core/brief-points.test.ts` reads the same file.
"""

import json
from pathlib import Path
from typing import Any, get_args

import pytest

from orchardmap.model.brief import BriefContent, Point, PointKind, PointUnit
from orchardmap.pruning.brief import content_problems

KINDS = json.loads((Path(__file__).parents[1] / "vectors" / "briefs" / "point_kinds.json").read_text("utf-8"))


def problem_parts(kind: Any, low: float | None, high: float | None, unit: Any) -> set[str]:
    point = Point(
        "key", {"en": "Do it."}, "dead-wood", kind, low, high, unit, "major", True, "common practice"
    )
    content = BriefContent("spur_uncut", False, (point,), ())
    return {problem.part for problem in content_problems(content, pictures={"dead-wood"})}


def test_every_kind_has_its_measures() -> None:
    assert set(KINDS) == set(get_args(PointKind))


@pytest.mark.parametrize("kind", KINDS)
def test_kind_takes_the_limits_and_units_offered_and_no_others(kind: str) -> None:
    uses = KINDS[kind]
    low, high = (2.0 if uses[part] else None for part in ("low", "high"))
    for unit in get_args(PointUnit):
        expected = set() if unit in uses["units"] else {"unit"}
        assert problem_parts(kind, low, high, unit) == expected
    unit = uses["units"][0]
    assert ("low" in problem_parts(kind, 2.0, high, unit)) is not uses["low"]
    assert ("high" in problem_parts(kind, low, 2.0, unit)) is not uses["high"]
