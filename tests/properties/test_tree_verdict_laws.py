"""Laws of the verdict on a tree, for any brief and any findings."""

from dataclasses import replace

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from brief_samples import contents
from orchardmap.model.brief import BriefContent, Point
from orchardmap.pruning.scoring import failed_points, point_met, tree_score, tree_verdict

MODEST = settings(max_examples=60, deadline=None)
NUMBERS = st.floats(-100, 400) | st.integers(0, 60).map(float)
WORSE = ("meets", "minor", "faulty")


def with_order(point: Point) -> Point:
    """The point with its limits the right way round, as a published one has them."""
    if point.low is None or point.high is None:
        return point
    return replace(point, low=min(point.low, point.high), high=max(point.low, point.high))


BRIEFS = (
    contents()
    .filter(lambda content: content.points)
    .map(lambda content: replace(content, points=tuple(map(with_order, content.points))))
)


@st.composite
def judged_trees(draw: st.DrawFn):
    """A brief, and findings for some of its points, some of another brief among them."""
    content = draw(BRIEFS)
    keys = st.sampled_from([point.key for point in content.points]) | st.just("of-another-brief")
    return content, draw(st.lists(st.tuples(keys, NUMBERS | st.booleans()), max_size=8))


def finding(point: Point, *, is_met: bool) -> float | bool | None:
    """A finding that meets the point, or misses it; None where none can."""
    if point.kind == "yes_no":
        return is_met
    low, high = point.low, point.high
    if is_met:
        return low if low is not None else (high if high is not None else 0.0)
    return high + 1 if high is not None else (low - 1 if low is not None else None)


@MODEST
@given(judged_trees(), st.randoms())
def test_order_of_the_findings_changes_nothing(tree, random):
    content, findings = tree
    mixed = random.sample(findings, len(findings))
    assert tree_score(content, mixed) == tree_score(content, findings)


@MODEST
@given(judged_trees())
def test_what_the_brief_does_not_know_or_check_changes_nothing(tree):
    content, findings = tree
    checked = {point.key for point in content.points if point.is_checked}
    known = [one for one in findings if one[0] in checked]
    score = tree_score(content, findings)
    assert tree_score(content, known) == score
    assert set(score.failed) <= set(score.judged) <= checked


@MODEST
@given(judged_trees(), st.data())
def test_one_more_missed_point_never_betters_a_verdict(tree, data):
    """And a critical or major one makes any tree faulty, a minor one leaves no tree without a fault."""
    content, findings = tree
    point = data.draw(st.sampled_from([*content.points]))
    missed = finding(point, is_met=False)
    assume(point.is_checked)
    assume(missed is not None)
    assert missed is not None
    before, after = tree_verdict(content, findings), tree_verdict(content, [*findings, (point.key, missed)])
    assert WORSE.index(after) >= WORSE.index(before)
    assert point.key in failed_points(content, [*findings, (point.key, missed)])
    assert after == ("faulty" if point.point_class != "minor" else max(before, "minor", key=WORSE.index))


@MODEST
@given(judged_trees(), st.data())
def test_one_more_met_point_changes_no_verdict(tree, data):
    content, findings = tree
    point = data.draw(st.sampled_from([*content.points]))
    met = finding(point, is_met=True)
    more = [*findings, (point.key, met)]
    assert failed_points(content, more) == failed_points(content, findings)
    assert tree_verdict(content, more) == tree_verdict(content, findings)


@MODEST
@given(BRIEFS, st.data())
def test_verdict_is_that_of_its_points_one_by_one(content: BriefContent, data):
    """Against the points asked singly: a point fails exactly where `point_met` says so."""
    findings = {
        point.key: data.draw(st.booleans() if point.kind == "yes_no" else NUMBERS) for point in content.points
    }
    missed = [
        point for point in content.points if point.is_checked and not point_met(point, findings[point.key])
    ]
    assert failed_points(content, findings.items()) == tuple(point.key for point in missed)
    classes = {point.point_class for point in missed}
    expected = "faulty" if classes - {"minor"} else "minor" if classes else "meets"
    assert tree_verdict(content, findings.items()) == expected
