"""Laws of rechecks: trees that were sent back are looked at closely, and what the plan then lets pass is what it says."""

from hypothesis import given
from hypothesis import strategies as st

from orchardmap.model.lot import AQLS, LEVELS, TablePlan, TwoPoints
from orchardmap.quality.lot_plan import plan_text, risks, sized
from orchardmap.quality.passing import pass_chance
from orchardmap.quality.plan import sampling_plan
from orchardmap.quality.recheck_plan import recheck_sized
from orchardmap.quality.weak_areas import RECHECK_TREES

LOTS_OF_EVERY_LETTER = (2, 9, 16, 26, 51, 91, 151, 281, 501, 1201, 3201, 10_001, 35_001)
WHY = "Trees that were sent back are looked at closely: at least 30 of them, or all."

lots = st.integers(1, 3000)
severities = st.sampled_from(["normal", "tightened"])
promises = st.sampled_from([(0.05, 0.15), (0.05, 0.3), (0.1, 0.5), (0.01, 0.02)])


@given(lots, st.sampled_from(LEVELS), st.sampled_from(AQLS), severities)
def test_a_recheck_has_thirty_trees_or_all_and_never_fewer_than_a_first_look(lot, level, aql, severity):
    plan = TablePlan(level, aql, severity)
    own, found = sized(plan, lot), recheck_sized(plan, lot)
    assert min(lot, RECHECK_TREES) <= found.n <= lot
    assert found.n >= own.n
    if own.n >= RECHECK_TREES:
        assert found == own


@given(st.integers(32, 3000), st.sampled_from(["S-1", "S-3", "I", "II"]), st.sampled_from([1.5, 2.5, 4.0, 6.5]), severities)  # fmt: skip
def test_a_larger_sample_is_the_tables_next_one_with_its_own_numbers(lot, level, aql, severity):
    """The witness reads the tables from another side: lots of every size at the level that asks for most."""
    found = recheck_sized(TablePlan(level, aql, severity), lot)
    all_plans = [
        sampling_plan(size, level="III", aql=aql, severity=severity) for size in LOTS_OF_EVERY_LETTER
    ]
    larger = [one for one in all_plans if RECHECK_TREES <= one.n <= found.n]
    if found.n < lot and found != sized(TablePlan(level, aql, severity), lot):
        assert {(one.n, one.accept, one.reject) for one in larger} == {(found.n, found.accept, found.reject)}


@given(st.integers(2, 60), st.sampled_from(["S-1", "I", "II"]), st.sampled_from([2.5, 4.0, 6.5]), severities)
def test_a_small_return_passes_no_more_often_than_by_the_plain_plan_once_a_fifth_is_faulty(
    lot, level, aql, severity
):
    """All trees of ten are looked at, and none of them may be faulty: numbers of a larger sample are for a larger lot."""
    plan = TablePlan(level, aql, severity)
    own, found = sized(plan, lot), recheck_sized(plan, lot)
    for faulty in range(-(-lot // 5), lot + 1):
        by_own, by_recheck = (
            float(pass_chance(one.n, one.accept_at_most, faulty / lot, model="hypergeometric", lot=lot))
            for one in (own, found)
        )
        assert by_recheck <= by_own + 1e-12


@given(lots, promises)
def test_two_promises_are_kept_with_thirty_trees_too(lot, shares):
    plan = TwoPoints(shares[0], 0.95, shares[1], 0.1)
    own, found = sized(plan, lot), recheck_sized(plan, lot)
    assert max(own.n, min(lot, RECHECK_TREES)) <= found.n <= lot
    if found != own:
        chances = pass_chance(found.n, found.accept, shares, model="hypergeometric", lot=lot)
        assert chances[0] >= 0.95 - 1e-12
        assert chances[1] <= 0.1 + 1e-12


def test_a_return_still_bad_in_three_trees_of_ten_no_longer_passes_by_luck():
    """A return of 32 trees, 10 faulty: three trees drawn pass nearly 1 time in 3, all of them never."""
    plan = TablePlan("I", 4.0)
    own, found = sized(plan, 32), recheck_sized(plan, 32)
    chances = [
        float(pass_chance(one.n, one.accept, 10 / 32, model="hypergeometric", lot=32)) for one in (own, found)
    ]
    assert (own.n, found.n) == (3, 32)
    assert 0.3 < chances[0] < 1 / 3
    assert chances[1] == 0.0


def test_risks_are_those_of_the_plan_that_is_drawn_and_the_words_say_why():
    plan = TablePlan("I", 4.0)
    found = recheck_sized(plan, 200)
    assert found[:4] == (200, 32, 3, 4)
    assert risks(found, "en")[-1] == "A lot of 200 trees, 40 of them faulty (20\xa0%), passes 7 times in 100."
    assert plan_text(plan, found, "en", is_recheck=True).endswith(WHY)
    assert WHY not in plan_text(plan, found, "en")
    drawn_before = sized(plan, 200)
    assert WHY not in plan_text(plan, drawn_before, "en", is_recheck=True), "said of no lot that had fewer"
