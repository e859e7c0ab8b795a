"""Pages of features: together they are what a plain filter finds, in one order, whatever is asked and whatever comes or goes between two of them."""

from dataclasses import replace
from datetime import date

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from shapely import Point, box

from orchardmap.usecases.feature_sheets import Piece, Sheet, Want, order_of

places = st.tuples(st.integers(-180, 180), st.integers(-90, 90)) | st.none()
days = st.dates(date(2026, 1, 1), date(2026, 1, 9))
ids = st.integers(1, 30).map(str) | st.sampled_from(["a", "b"])
Found = tuple[str, str, tuple[int, int] | None, date]
features = st.lists(
    st.tuples(st.sampled_from("wxyz"), ids, places, days), unique_by=lambda one: one[:2], max_size=40
)
sides = st.tuples(st.integers(-180, 180), st.integers(-90, 90), st.integers(-180, 180), st.integers(-90, 90))
boxes = sides.map(lambda s: (float(s[0]), float(min(s[1], s[3])), float(s[2]), float(max(s[1], s[3]))))
wants = st.builds(
    Want,
    st.just("marks"),
    first=days | st.none(),
    box=boxes | st.none(),
    block=st.sampled_from(["W", "X", "elsewhere"]) | st.none(),
    limit=st.integers(1, 9),
)


def sheet(found: list[Found]) -> Sheet:
    pieces = {}
    for block_id in sorted({one[0] for one in found}):
        here = sorted((one for one in found if one[0] == block_id), key=lambda one: order_of(one[1]))
        names = tuple(f"{block_id}.{one[1]}" for one in here)
        placed = np.array([Point(one[2]) if one[2] else None for one in here], dtype=object)
        happened = np.array([one[3].toordinal() for one in here], np.int64)
        orders = tuple(order_of(name) for name in names)
        pieces[block_id] = Piece(block_id.upper(), names, orders, names, happened, placed)
    return Sheet(pieces)


def plainly(found: list[Found], want: Want) -> list[str]:
    """The same by a filter and a sort; a box across the antimeridian is two."""

    def fits(one: Found) -> bool:
        if want.first is not None and one[3] < want.first:
            return False
        if want.block is not None and one[0].upper() != want.block:
            return False
        if want.box is None or one[2] is None:
            return True
        west, south, east, north = want.box
        parts = [(west, east)] if west <= east else [(west, 180), (-180, east)]
        return any(box(w, south, e, north).intersects(Point(one[2])) for w, e in parts)

    fitting = sorted((one for one in found if fits(one)), key=lambda one: (one[0], order_of(one[1])))
    return [f"{one[0]}.{one[1]}" for one in fitting]


@given(features, wants)
def test_pages_together_are_what_a_filter_finds(found, want):
    whole, expected = sheet(found), plainly(found, want)
    seen: list[str] = []
    after = None
    while True:
        page = whole.page(replace(want, after=after))
        assert page.matched == len(expected)
        assert len(page.texts) == min(want.limit, len(expected) - len(seen))
        seen += page.texts
        after = page.next_after
        if after is None:
            break
    assert seen == expected


@given(features, features, wants)
def test_page_goes_on_behind_where_the_last_one_ended_whatever_is_there_now(before, now, want):
    """Each that is there in both is told once; nothing is told twice, though the one that it goes on from may be gone."""
    first = sheet(before).page(want)
    if first.next_after is None:
        return
    rest = sheet(now).page(replace(want, after=first.next_after, limit=1000))
    assert set(first.texts).isdisjoint(rest.texts)
    end = (first.texts[-1][0], order_of(first.texts[-1]))
    assert list(rest.texts) == [one for one in plainly(now, want) if (one[0], order_of(one)) > end]
