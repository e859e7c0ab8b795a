"""What keeps a brief from being published: each fault alone, in the field where it is mended."""

from dataclasses import replace
from math import inf, nan

import pytest

from orchardmap.model.brief import BriefContent, BudTarget, Point
from orchardmap.pruning.brief import content_problems, problem_text
from orchardmap.pruning.general_points import bud_count_point, extra_points
from orchardmap.pruning.habits import ready_made
from orchardmap.pruning.sentences import point_text

COUNT = Point("limbs", {"en": "Leave {range}.", "es": "Deje {range}."}, "tree", "count", 2, 3, "cuts", "major", True, "book")  # fmt: skip
ANGLE = replace(COUNT, kind="angle", low=40, high=140, unit="deg")
RATIO = replace(COUNT, kind="ratio", low=None, high=0.5, unit="")
LENGTH = replace(COUNT, kind="at_least", low=23, high=None, unit="cm")
ASKED = replace(COUNT, kind="yes_no", low=None, high=None, unit="", sentences={"en": "Do.", "es": "Haga."})
GOOD = BriefContent(
    "spur_uncut", False, (COUNT,), ("eyes",), BudTarget(100, 110.5), {"en": "Note", "es": "Nota"}
)


def parts(content: BriefContent) -> list[tuple[int | None, str]]:
    return [(p.point_number, p.part) for p in content_problems(content, pictures={"tree"})]


@pytest.mark.parametrize(
    "point", [COUNT, ANGLE, RATIO, LENGTH, ASKED, replace(LENGTH, kind="at_most", low=None, high=5)]
)
def test_a_good_point_of_every_kind_has_no_problem(point):
    assert parts(replace(GOOD, points=(point,))) == []


@pytest.mark.parametrize("point", [
    replace(COUNT, low=None), replace(COUNT, high=None), replace(COUNT, low=3), replace(COUNT, low=0), replace(ANGLE, high=180),
    replace(COUNT, unit=""),
])  # fmt: skip
def test_limits_on_the_edge_are_good(point):
    assert parts(replace(GOOD, points=(point,))) == []


@pytest.mark.parametrize(("point", "part"), [
    (replace(COUNT, key="Limbs"), "key"),
    (replace(COUNT, key=""), "key"),
    (replace(COUNT, key="a--b"), "key"),
    (replace(COUNT, picture="cat"), "picture"),
    (replace(COUNT, source=" "), "source"),
    (replace(COUNT, low=4), "high"),
    (replace(COUNT, low=-1), "low"),
    (replace(COUNT, high=nan), "high"),
    (replace(COUNT, high=inf), "high"),
    (replace(COUNT, low=1.5), "low"),
    (replace(COUNT, unit="cm"), "unit"),
    (replace(ANGLE, high=181), "high"),
    (replace(ANGLE, unit=""), "unit"),
    (replace(RATIO, low=0.1), "low"),
    (replace(RATIO, unit="cm"), "unit"),
    (replace(LENGTH, high=30), "high"),
    (replace(LENGTH, kind="at_most"), "low"),
    (replace(ASKED, low=1), "low"),
    (replace(ASKED, unit="cm"), "unit"),
    (replace(COUNT, sentences={"en": "Leave {most}.", "es": "Deje {range}."}), "sentences"),
    (replace(COUNT, sentences={"en": "Leave {low}.", "es": ""}), "sentences"),
    (replace(COUNT, sentences={"english": "Leave {low}."}), "sentences"),
    (replace(COUNT, sentences={}), "sentences"),
    (replace(COUNT, high=None, sentences={"en": "{low} to {high}", "es": "{low}"}), "sentences"),
])  # fmt: skip
def test_each_fault_of_a_point_is_found_where_it_is_mended(point, part):
    found = parts(
        replace(
            GOOD, points=(ASKED, replace(point, key=point.key + "2" if point.key == "limbs" else point.key))
        )
    )
    assert (2, part) in found


def test_a_missing_limit_is_asked_for():
    assert parts(replace(GOOD, points=(replace(RATIO, high=None),))) == [
        (1, "sentences"),
        (1, "sentences"),
        (1, "high"),
    ]
    assert (1, "low") in parts(replace(GOOD, points=(replace(COUNT, low=None, high=None),)))


@pytest.mark.parametrize(("content", "part"), [
    (replace(GOOD, points=(), notes={}), "points"),
    (replace(GOOD, cautions=("dragons",)), "cautions"),
    (replace(GOOD, cautions=("eyes", "eyes")), "cautions"),
    (replace(GOOD, bud_target=BudTarget(fruit_per_tree=0)), "bud_target"),
    (replace(GOOD, bud_target=BudTarget(buds_per_limb=nan)), "bud_target"),
    (replace(GOOD, notes={"en": "Note"}), "notes"),
])  # fmt: skip
def test_each_fault_of_the_whole_brief_is_found(content, part):
    assert parts(content) == [(None, part)]


def test_a_note_that_lacks_a_language_is_not_looked_for_in_the_points():
    (problem,) = content_problems(replace(GOOD, notes={"en": "Note"}), pictures={"tree"})
    assert problem_text(problem, "en").startswith(
        "The note for the crew is not written in the language “es”."
    )
    assert problem_text(problem, "es").startswith("La nota para la cuadrilla")


def test_two_points_of_one_key_are_both_told():
    assert parts(replace(GOOD, points=(COUNT, COUNT))) == [(1, "key"), (2, "key")]


def test_a_language_of_one_point_is_asked_of_every_point():
    polish = replace(ASKED, key="do", sentences={**ASKED.sentences, "pl": "Zrób."})
    (problem,) = content_problems(replace(GOOD, points=(COUNT, polish), notes={}), pictures={"tree"})
    assert (problem.point_number, problem.part) == (1, "sentences")
    assert "“pl”" in problem_text(problem, "en")
    assert "“pl”" in problem_text(problem, "es")


def test_numbers_in_a_problem_are_written_as_its_language_does():
    (problem,) = content_problems(replace(GOOD, points=(replace(COUNT, low=1.5),)), pictures={"tree"})
    assert "not 1.5." in problem_text(problem, "en")
    assert "no 1,5." in problem_text(problem, "es")


@pytest.mark.parametrize("language", ["en", "es"])
def test_an_edited_limit_changes_the_sentence_in_every_language(language):
    """Every point of ours that has a limit says it: no number stands in a sentence where an edit would pass it by."""
    ours = [
        *ready_made("tip_renewed").points,
        *ready_made("tip_alternating").points,
        *ready_made("spur_renewed").points,
        *extra_points(),
        bud_count_point(3, 9),
    ]
    limited = [point for point in ours if point.kind != "yes_no"]
    assert {point.kind for point in limited} == {"count", "ratio", "angle", "at_least"}
    for point in limited:
        for part in ("low", "high"):
            limit = getattr(point, part)
            if limit is not None:
                assert point_text(replace(point, **{part: limit + 0.5}), language) != point_text(
                    point, language
                )


def test_sentences_read_well_with_one_limit_or_two_equal_ones():
    limbs = next(point for point in ready_made("spur_uncut").points if point.key == "limb-count")
    assert point_text(limbs, "en") == "Leave 18 to 22 limbs on the leader."
    assert point_text(replace(limbs, low=22), "es") == "Deje 22 ramas en el eje."
    assert point_text(replace(limbs, low=None), "en") == "Leave at most 22 limbs on the leader."
    assert point_text(replace(limbs, high=None), "es") == "Deje al menos 18 ramas en el eje."
    half = next(point for point in ready_made("spur_uncut").points if point.key == "limb-over-half")
    assert "thicker than half of" in point_text(half, "en")
    assert "más gruesa que el 62,5\xa0% de" in point_text(replace(half, high=0.625), "es")
