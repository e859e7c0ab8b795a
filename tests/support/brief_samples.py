"""Briefs for tests: any well-formed content, whether or not it may be published."""

from dataclasses import fields, replace
from typing import Any, get_args

from hypothesis import strategies as st

from orchardmap.model.brief import (
    BearingHabit,
    BriefContent,
    BudTarget,
    Point,
    PointClass,
    PointKind,
    PointUnit,
)

NUMBERS = st.floats(-1e6, 1e6) | st.integers(-1000, 1000)
TEXTS = st.dictionaries(st.sampled_from(["en", "es", "pl"]), st.text(max_size=12), max_size=3)


def points(key: str) -> st.SearchStrategy[Point]:
    return st.builds(
        Point,
        key=st.just(key),
        sentences=TEXTS,
        picture=st.text(max_size=8),
        kind=st.sampled_from(get_args(PointKind)),
        low=st.none() | NUMBERS,
        high=st.none() | NUMBERS,
        unit=st.sampled_from(get_args(PointUnit)),
        point_class=st.sampled_from(get_args(PointClass)),
        is_checked=st.booleans(),
        source=st.text(max_size=8),
    )


@st.composite
def contents(draw: st.DrawFn) -> BriefContent:
    """A content whose points have different keys, as an adviser may leave it half edited."""
    keys = draw(st.lists(st.sampled_from("abcdef"), unique=True, max_size=6))
    limbs = st.none() | st.integers(0, 99)
    target: Any = st.builds(BudTarget, *[st.none() | NUMBERS] * 3, limbs)
    return BriefContent(
        habit=draw(st.sampled_from(get_args(BearingHabit))),
        is_heavy_setter=draw(st.booleans()),
        points=tuple(draw(points(key)) for key in keys),
        cautions=tuple(draw(st.lists(st.text(max_size=6), max_size=3))),
        bud_target=draw(target),
        notes=draw(TEXTS),
    )


@st.composite
def edits(draw: st.DrawFn) -> tuple[BriefContent, BriefContent]:
    """A content and what an adviser made of it: some of it as before, some of it from another one."""
    old, other = draw(contents()), draw(contents())
    parts = [part.name for part in fields(BriefContent)]
    taken = draw(st.sets(st.sampled_from(parts), max_size=3)) - {"points"}
    new = replace(old, **{part: getattr(other, part) for part in taken})
    foreign = {point.key: point for point in other.points}
    mixed = [foreign.pop(point.key, point) if draw(st.booleans()) else point for point in old.points]
    kept = {point.key for point in mixed}
    added = [point for key, point in foreign.items() if key not in kept and draw(st.booleans())]
    left = [point for point in mixed if draw(st.integers(0, 4)) > 0]
    order = draw(st.booleans())
    return old, replace(new, points=tuple(draw(st.permutations(left + added)) if order else left + added))
