"""Weeks of work: nothing is lost between days, weeks and the whole, whatever their order."""

from datetime import date

from hypothesis import given
from hypothesis import strategies as st

from orchardmap.work.weeks import together, week_start, weeks_of_work

DAYS = st.dates(date(2024, 12, 1), date(2026, 3, 1))
VARIETIES = st.sampled_from(["", "x", "y"])
PRUNED = st.lists(st.tuples(DAYS, VARIETIES, st.integers(1, 500)), max_size=20)
PACED = st.lists(
    st.tuples(DAYS, VARIETIES, st.integers(1, 500).map(float), st.integers(1, 40).map(float)), max_size=20
)
LOOKS = st.lists(st.tuples(DAYS, VARIETIES, st.booleans()), max_size=20)


@given(PRUNED, PACED, LOOKS, st.randoms(use_true_random=False))
def test_weeks_add_up_to_the_whole_in_any_order(pruned, paced, looks, random):
    found = weeks_of_work(pruned, paced, looks)
    whole = together(found.values())
    assert whole.trees == sum(trees for _, _, trees in pruned)
    assert whole.person_hours == sum(hours for *_, hours in paced)
    assert whole.paced_trees == sum(trees for _, _, trees, _ in paced)
    assert (whole.checked, whole.faulty) == (len(looks), sum(is_faulty for *_, is_faulty in looks))
    for told in (pruned, paced, looks):
        random.shuffle(told)
    assert weeks_of_work(pruned, paced, looks) == found
    assert list(found) == sorted(found)


@given(DAYS)
def test_a_week_begins_on_the_monday_of_iso_8601(day):
    monday = week_start(day)
    year, week, _ = day.isocalendar()
    assert monday == date.fromisocalendar(year, week, 1)
