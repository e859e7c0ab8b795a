"""Laws of plans, intervals and switching, against exact counting with whole numbers."""

from fractions import Fraction
from math import comb

import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st
from scipy.stats import binomtest

from orchardmap.errors import InputError
from orchardmap.quality.intervals import clopper_pearson_interval, lot_faulty_interval, wilson_interval
from orchardmap.quality.passing import MODELS, faulty_in_lot, pass_chance, share_passed_with
from orchardmap.quality.plan import AQLS, LEVELS, SEVERITIES
from orchardmap.quality.plan_job import calculated_sample_plan
from orchardmap.quality.switching import LotResult, Switching, lot_result, switched, switchings
from orchardmap.quality.two_points import two_point_plan

SHARES = st.floats(0, 1)
CONFIDENCE = st.sampled_from([0.8, 0.9, 0.95, 0.99])
MODEL = st.sampled_from(MODELS)
LOTS = st.lists(st.builds(LotResult, st.booleans(), st.sampled_from([0, 2, 3]), st.booleans()), max_size=60)


def exactly(x: int, lot: int, faulty: int, n: int) -> Fraction:
    """Chance of x faulty trees among n drawn from a lot, by counting all draws."""
    return Fraction(comb(faulty, x) * comb(lot - faulty, n - x), comb(lot, n)) if 0 <= x <= n else Fraction(0)


@st.composite
def checked_lots(draw, most=30):
    lot = draw(st.integers(1, most))
    return lot, draw(st.integers(0, lot))


@settings(max_examples=25)
@given(checked_lots(), CONFIDENCE)
def test_finite_interval_holds_the_truth_at_least_as_often_as_promised(sizes, confidence):
    """For every number of faulty trees, over all draws there are."""
    lot, n = sizes
    intervals = [lot_faulty_interval(x, n, lot, confidence=confidence) for x in range(n + 1)]
    for faulty in range(lot + 1):
        held = sum(
            exactly(x, lot, faulty, n)
            for x, (low, high) in enumerate(intervals)
            if low <= faulty <= high and faulty <= lot
        )
        assert held >= confidence


@settings(max_examples=40)
@given(checked_lots(), st.data())
def test_finite_interval_is_all_that_two_tails_leave(sizes, data):
    """Buonaccorsi's definition, with fractions instead of floating numbers; at 0.75 both tails are an eighth exactly."""
    lot, n = sizes
    x = data.draw(st.integers(0, n))
    tail = Fraction(1, 8)
    left = [
        faulty
        for faulty in range(lot + 1)
        if sum(exactly(k, lot, faulty, n) for k in range(x, n + 1)) > tail
        and sum(exactly(k, lot, faulty, n) for k in range(x + 1)) > tail
    ]
    low, high = lot_faulty_interval(x, n, lot, confidence=0.75)
    # a chance of an eighth to the last digit may fall on either side of a floating one
    assert low in {left[0], left[0] - 1}
    assert high in {left[-1], left[-1] + 1}
    assert left == list(range(left[0], left[-1] + 1))


@given(st.integers(1, 5000), CONFIDENCE, st.data())
def test_interval_is_one_number_when_every_tree_was_checked(lot, confidence, data):
    faulty = data.draw(st.integers(0, lot))
    assert lot_faulty_interval(faulty, lot, lot, confidence=confidence) == (faulty, faulty)


@given(st.integers(1, 3000), CONFIDENCE, st.data())
def test_endless_intervals_are_scipys(n, confidence, data):
    x = data.draw(st.integers(0, n))
    for method, interval in (("wilson", wilson_interval), ("exact", clopper_pearson_interval)):
        expected = binomtest(x, n).proportion_ci(confidence, method=method)
        assert interval(x, n, confidence=confidence) == pytest.approx((expected.low, expected.high), abs=1e-9)


@given(MODEL, st.integers(1, 200), st.integers(0, 20), st.lists(SHARES, min_size=2, max_size=8))
def test_chance_to_pass_falls_as_more_trees_are_faulty(model, n, accept, shares):
    lot = 300 if model == "hypergeometric" else None
    chances = pass_chance(n, accept, sorted(shares), model=model, lot=lot)
    assert all(chances[1:] <= chances[:-1] + 1e-12)
    assert all((chances >= 0) & (chances <= 1))
    assert pass_chance(n, accept, 0.0, model=model, lot=lot) == 1


@given(MODEL, st.integers(1, 100), st.integers(0, 20), SHARES)
def test_a_larger_sample_is_stricter_and_a_larger_accept_number_kinder(model, n, accept, p):
    lot = 101 if model == "hypergeometric" else None
    plain, stricter, kinder = (
        float(pass_chance(*plan, p, model=model, lot=lot))
        for plan in ((n, accept), (n + 1, accept), (n, accept + 1))
    )
    assert stricter <= plain + 1e-12
    assert kinder >= plain - 1e-12


@given(checked_lots(), st.integers(0, 5), SHARES)
def test_chance_to_pass_is_what_counting_all_draws_gives(sizes, accept, p):
    lot, n = sizes
    assume(n)
    faulty = int(faulty_in_lot(p, lot))
    expected = sum(exactly(x, lot, faulty, n) for x in range(min(accept, n) + 1))
    told = float(pass_chance(n, accept, p, model="hypergeometric", lot=lot))
    assert told == pytest.approx(float(expected), abs=1e-12)


@given(st.sampled_from(["binomial", "poisson"]), st.integers(1, 300), st.floats(0.01, 0.99), st.data())
def test_curve_read_both_ways_is_one_curve(model, n, chance, data):
    accept = data.draw(st.integers(0, min(n - 1, 20)))
    p = float(share_passed_with(chance, n, accept, model=model))
    assume(p <= 1)  # faults per tree can be more
    assert float(pass_chance(n, accept, p, model=model)) == pytest.approx(chance, abs=1e-9)


@settings(max_examples=60)
@given(st.integers(2, 40), st.floats(0, 0.5), st.floats(0.05, 1), st.floats(0.5, 1), st.floats(0, 0.49))
@example(
    12, 0.4375, 0.5, 0.5, 0.375
)  # six trees, two faulty: one half exactly, where floating numbers say a bit less
@example(12, 0.4, 0.5, 0.5, 1 / 2 - 1e-10)  # here the half is one too many
def test_two_point_plan_is_the_first_that_keeps_both_promises(lot, p1, p2, pa1, pa2):
    """By trying all plans of the lot, with whole numbers."""
    assume(p1 < p2)
    job = {"p1": p1, "pa1": pa1, "p2": p2, "pa2": pa2, "model": "hypergeometric", "lot": lot}
    good, bad = (int(faulty_in_lot(p, lot)) for p in (p1, p2))
    if good == bad:
        with pytest.raises(InputError, match="as many trees"):
            calculated_sample_plan(job)
        return

    def passes(faulty: int, n: int, accept: int) -> Fraction:
        return sum((exactly(x, lot, faulty, n) for x in range(min(accept, n) + 1)), Fraction(0))

    rounding = Fraction(1, 10**12)
    kept = [
        (accept, n)
        for accept in range(lot)
        for n in range(1, lot + 1)
        if passes(bad, n, accept) <= Fraction(pa2) + rounding
    ]  # fmt: skip
    fewest = {accept: min(n for one, n in kept if one == accept) for accept, _ in kept}
    first = next(
        accept
        for accept in sorted(fewest)
        if passes(good, fewest[accept], accept) >= Fraction(pa1) - rounding
    )
    told = calculated_sample_plan(job)
    assert told == {"n": fewest[first], "accept": first}


@given(st.floats(0.001, 0.1), st.floats(0.12, 0.6), st.sampled_from(["binomial", "poisson"]))
def test_two_point_plan_without_a_lot_keeps_its_promises_with_no_tree_too_many(p1, p2, model):
    plan = two_point_plan(p1, 0.9, p2, 0.1, model=model)
    at = [float(pass_chance(plan.n, plan.accept, p, model=model)) for p in (p1, p2)]
    assert at[0] >= 0.9
    assert at[1] <= 0.1
    if plan.n > 1:
        assert float(pass_chance(plan.n - 1, plan.accept, p2, model=model)) > 0.1


@given(
    st.integers(2, 600_000), st.integers(2, 600_000), st.sampled_from(LEVELS), st.sampled_from(AQLS),
    st.sampled_from(SEVERITIES),
)  # fmt: skip
def test_larger_lot_never_means_fewer_trees_to_check(one, other, level, aql, severity):
    plans = []
    for lot in sorted((one, other)):
        try:
            plans.append(
                calculated_sample_plan({"lot": lot, "level": level, "aql": aql, "severity": severity})
            )
        except InputError:
            assume(False)  # the tables end there, and say so
        assert plans[-1]["n"] <= lot
        assert 0 <= plans[-1]["accept"] < plans[-1]["reject"]
    assert plans[0]["n"] <= plans[1]["n"]


@given(LOTS, st.integers(0, 60), st.booleans())
def test_switching_can_be_broken_off_and_carried_on_anywhere(lots, cut, agreed):
    """What is remembered is all that counts of the lots before."""
    whole = switchings(lots, reduced_agreed=agreed)
    state = switchings(lots[:cut], reduced_agreed=agreed)[-1]
    for lot, expected in zip(lots[cut:], whole[cut + 1 :], strict=False):
        state = switched(state, lot, reduced_agreed=agreed)
        assert state == expected
    assert all(len(one.recent) <= 5 for one in whole)
    assert {one.score for one in whole if one.inspection != "normal"} <= {0}


@given(LOTS, st.booleans())
def test_switching_follows_the_rules_as_they_are_written(lots, agreed):
    assert [one.inspection for one in switchings(lots, reduced_agreed=agreed)] == by_the_book(lots, agreed)


def by_the_book(lots: list[LotResult], agreed: bool) -> list[str]:
    """Look back over the whole history at every lot, remembering only where the present inspection began."""
    used = ["normal"]
    since = 0
    for at, lot in enumerate(lots):
        now, spell = used[-1], lots[since : at + 1]
        after = now
        if now == "normal":
            refused = [one for one in spell[-5:] if not one.accepted]
            run = 0
            for one in spell:
                run = run + one.points if one.points else 0
            if not lot.accepted and len(refused) >= 2:
                after = "tightened"
            elif agreed and run >= 30:
                after = "reduced"
        elif now == "tightened":
            if len([one for one in spell if not one.accepted]) >= 5:
                after = "discontinued"
            elif len(spell) >= 5 and all(one.accepted for one in spell[-5:]):
                after = "normal"
        elif now == "reduced" and (not lot.accepted or lot.in_gap):
            after = "normal"
        if after != now:
            since = at + 1
        used.append(after)
    return used


@given(
    st.integers(2, 3000), st.sampled_from(["I", "II", "III"]), st.sampled_from(AQLS[8:]), st.integers(0, 40)
)
def test_fewer_faulty_trees_never_mean_fewer_points(lot, level, aql, faulty):
    one, better = (lot_result(lot, level=level, aql=aql, faulty=found) for found in (faulty + 1, faulty))
    assert better.points >= one.points
    assert better.accepted >= one.accepted
    assert not (better.points and not better.accepted)


def test_a_discontinued_series_stays_so_until_somebody_begins_it_anew():
    refused, accepted = LotResult(False), LotResult(True)
    assert [one.inspection for one in switchings([refused] * 7)][2:] == ["tightened"] * 5 + ["discontinued"]
    assert switchings([refused] * 7 + [accepted] * 9)[-1] == Switching("discontinued")
    assert switchings([accepted] * 5, start="tightened")[-1].inspection == "normal"


def test_a_lot_in_the_gap_of_a_reduced_plan_is_accepted_and_ends_reduced_inspection():
    lot = lot_result(400, level="II", aql=4.0, severity="reduced", faulty=3)  # 20 trees, 2/5
    assert (lot.accepted, lot.in_gap) == (True, True)
    assert switched(Switching("reduced"), lot, reduced_agreed=True) == Switching("normal")


def test_points_of_a_lot_whose_arrow_points_up_are_of_the_sample_that_was_checked():
    """Letter L at AQL 10 takes K's plan, 125 trees 21/22; those 125 trees pass AQL 6.5 with 14, not with L's 21 of 200."""
    assert [lot_result(5000, level="II", aql=10, faulty=faulty).points for faulty in (14, 15, 21, 22)] == [
        3,
        0,
        0,
        0,
    ]
