"""Which crew-days stand: a function of the set, whatever order it is looked at in."""

from datetime import date, timedelta

from hypothesis import given
from hypothesis import strategies as st

from orchardmap.work.crew_days import Entry, misdirected, standing

DAY = date(2026, 1, 20)


def entry(entry_id: str, replaces: str | None = None, crew: str = "c", day: date = DAY) -> Entry:
    return Entry(entry_id, "s", crew, day, replaces)


def test_corrections_stand_for_what_they_correct():
    assert standing([]) == set()
    assert standing([entry("1")]) == {"1"}
    assert standing([entry("1"), entry("2", "1"), entry("3", "2")]) == {"3"}
    assert standing([entry("1"), entry("2", "1"), entry("3", "1")]) == {"2", "3"}, (
        "two corrections: both stand"
    )
    assert standing([entry("2", "not here")]) == {"2"}


def test_ring_hides_nothing():
    assert standing([entry("1", "1")]) == {"1"}
    assert standing([entry("1", "2"), entry("2", "1")]) == {"1", "2"}
    assert standing([entry("1", "2"), entry("2", "1"), entry("3", "1")]) == {"2", "3"}


def test_correction_of_another_crew_day_or_season_is_misdirected():
    own = entry("2", "1")
    assert not misdirected(own, [])
    assert not misdirected(own, [entry("1")])
    assert misdirected(own, [entry("1", crew="d")])
    assert misdirected(own, [entry("1", day=DAY - timedelta(days=1))])
    assert misdirected(own, [Entry("1", "other", "c", DAY, None)])
    assert not misdirected(own, [entry("1", crew="d"), entry("1")]), "one of its versions is right"


names = st.sampled_from("abcdef")


@given(
    edges=st.dictionaries(names, st.none() | st.sampled_from("abcdefx"), max_size=6),
    order=st.randoms(use_true_random=False),
)
def test_never_all_gone_and_never_by_order(edges, order):
    entries = [entry(one, replaces) for one, replaces in edges.items()]
    found = standing(entries)
    order.shuffle(entries)
    assert standing(entries) == found
    assert bool(found) == bool(entries), "hours must not vanish"
    for one in set(edges) - found:
        assert any(replaces == one for other, replaces in edges.items() if other != one)
