"""Laws of briefs that hold for any content: JSON there and back, what changed, and when a tree meets a point."""

import json
from dataclasses import replace
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from brief_samples import contents, edits, points
from orchardmap.errors import InputError, NewerClientError, RecordError
from orchardmap.model.brief import BriefContent, Point
from orchardmap.pruning.brief import content_problems, problem_text
from orchardmap.pruning.brief_changes import differences
from orchardmap.pruning.brief_json import FORMAT, content_from_json, content_to_json
from orchardmap.pruning.scoring import point_met

MODEST = settings(max_examples=40, deadline=None)


def language_orders(content: BriefContent) -> list[list[str]]:
    return [list(point.sentences) for point in content.points] + [list(content.notes)]


@MODEST
@given(contents())
def test_json_brings_back_the_very_same_content(content):
    """Through text, with its languages in their order: the first is the one a sentence was written in."""
    back = content_from_json(json.loads(json.dumps(content_to_json(content), allow_nan=False)))
    assert back == content
    assert language_orders(back) == language_orders(content)


@MODEST
@given(contents(), st.data())
def test_json_refuses_a_key_that_is_unknown_missing_or_of_the_wrong_type(content, data):
    """Whatever object of the document is touched: nothing is guessed, and the error names the key."""
    document = json.loads(json.dumps(content_to_json(content)))
    touched = data.draw(st.sampled_from([document, document["bud_target"], *document["points"]]))
    key = data.draw(st.sampled_from(sorted(set(touched) - {"format"})))
    harm = data.draw(st.sampled_from(["extra", "missing", "odd"]))
    if harm == "extra":
        touched["key_of_tomorrow"] = 1
    elif harm == "missing":
        del touched[key]
    else:
        touched[key] = {"odd": [object]}
    with pytest.raises(InputError) as told:
        content_from_json(document)
    assert ("key_of_tomorrow" if harm == "extra" else key) in str(told.value)


def test_json_of_a_newer_program_and_nonsense_are_told_apart():
    document = content_to_json(BriefContent("tip_renewed", False, (), ()))
    with pytest.raises(NewerClientError, match="Update"):
        content_from_json(document | {"format": FORMAT + 1})
    for form in (None, "1", True, 0, 1.5):
        with pytest.raises(InputError, match="format"):
            content_from_json(document | {"format": form})
    for number in (float("nan"), float("inf"), 10**400, "1", True):
        with pytest.raises(InputError, match="fruit_per_tree"):
            content_from_json(document | {"bud_target": document["bud_target"] | {"fruit_per_tree": number}})
    with pytest.raises(InputError, match="whole"):
        content_from_json(document | {"bud_target": document["bud_target"] | {"limbs_per_tree": 1.5}})
    nothings: list[object] = [None, [], "brief", 1]
    for nothing in nothings:
        with pytest.raises(InputError):
            content_from_json(nothing)


@MODEST
@given(edits())
def test_there_are_differences_exactly_where_two_contents_differ(pair):
    old, new = pair
    assert (differences(old, new) == ()) == (old == new)
    assert differences(old, old) == ()


@MODEST
@given(edits())
def test_differences_tell_all_that_is_needed_to_make_the_new_from_the_old(pair):
    """Played on the old content they give the new one, save the order, which the next test looks at."""
    old, new = pair
    made = {point.key: point for point in old.points}
    whole = old
    for change in differences(old, new):
        if change.kind == "point_added":
            assert isinstance(change.new, Point)
            made[change.point_key] = change.new
        elif change.kind == "point_removed":
            assert made.pop(change.point_key) == change.old
        elif change.kind == "brief_changed" and change.part != "notes":
            assert getattr(whole, change.part) == change.old
            whole = replace(whole, **{change.part: change.new})
        elif change.kind == "brief_changed":
            whole = replace(whole, notes=changed_texts(whole.notes, change))
        elif change.kind == "point_changed":
            point = made[change.point_key]
            value = changed_texts(point.sentences, change) if change.language else change.new
            made[change.point_key] = replace(point, **{change.part: value})
    assert replace(whole, points=tuple(made[point.key] for point in new.points)) == new
    assert len(made) == len(new.points)


def changed_texts(texts, change):
    assert texts.get(change.language) == change.old
    told = dict(texts) | {change.language: change.new}
    return {language: text for language, text in told.items() if text is not None}


@MODEST
@given(st.permutations("abcdef"), st.lists(st.sampled_from("abcdefgh"), unique=True, max_size=8))
def test_as_few_points_as_possible_are_said_to_have_moved(before, after):
    """Against trying every set of points: those that stay keep their order, and no larger set would."""
    old, new = (
        BriefContent("tip_renewed", False, tuple(a_point(key) for key in keys), ())
        for keys in (before, after)
    )
    moved = {change.point_key for change in differences(old, new) if change.kind == "point_moved"}
    shared = [key for key in after if key in before]
    stayed = [key for key in shared if key not in moved]
    assert stayed == sorted(stayed, key=before.index)
    longer = combinations(shared, len(stayed) + 1)
    assert not any(list(keys) == sorted(keys, key=before.index) for keys in longer)


def a_point(key: str, **changes: object) -> Point:
    point = Point(key, {"en": "Do it."}, "picture", "yes_no", None, None, "", "minor", True, "book")
    return replace(point, **changes)  # type: ignore[arg-type]


@MODEST
@given(points("a"), st.floats(allow_nan=False, allow_infinity=False))
def test_a_number_meets_a_point_exactly_within_its_inclusive_limits(point, number):
    if point.kind == "yes_no":
        with pytest.raises(RecordError):
            point_met(point, number)
        return
    low = -float("inf") if point.low is None else point.low
    high = float("inf") if point.high is None else point.high
    assert point_met(point, number) == (min(max(number, low), high) == number and low <= number <= high)
    for limit in (point.low, point.high):
        if limit is not None and low <= high:
            assert point_met(point, limit), "a limit itself is inside"


@pytest.mark.parametrize("finding", [True, False])
def test_yes_and_no_are_no_numbers_and_the_other_way_round(finding):
    assert point_met(a_point("a"), finding) is finding
    with pytest.raises(RecordError):
        point_met(a_point("a", kind="count", low=0, high=1), finding)
    for number in (float("nan"), float("inf"), -float("inf")):
        with pytest.raises(RecordError):
            point_met(a_point("a", kind="count", low=0), number)


@MODEST
@given(contents())
def test_problems_of_any_content_are_found_and_said_without_a_gap(content):
    """However odd the content: no crash, each problem has words in both languages and no brace is left open."""
    for problem in content_problems(content, pictures={"picture"}):
        english, spanish = problem_text(problem, "en"), problem_text(problem, "es")
        assert "{value}" not in english + spanish
        assert english != spanish
        assert problem.point_number is None or 1 <= problem.point_number <= len(content.points)
