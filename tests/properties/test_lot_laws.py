"""Laws of lots: the draw is redone from what is kept, the order of checks changes nothing, and the memory goes by the rules."""

from collections import Counter
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from itertools import pairwise

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from scipy.stats import binom, chi2

from orchardmap.errors import InputError
from orchardmap.model.lot import AQLS, LEVELS, SEVERITIES, Lot, LotTree, TablePlan, TwoPoints
from orchardmap.quality.intervals import lot_faulty_interval
from orchardmap.quality.lot_findings import PastLot, estimate, findings, remembered
from orchardmap.quality.lot_plan import oc_points, plan_from_json, plan_text, plan_to_json, sized
from orchardmap.quality.lot_trees import (
    draw,
    drawn_on,
    held_trees,
    pruned_trees,
    redrawn,
    runs_and_holes,
    trees_of,
)
from orchardmap.quality.lot_words import lot_texts
from orchardmap.quality.passing import pass_chance
from orchardmap.quality.stand_ins import asked_trees, reserve_size
from orchardmap.quality.switching import LotResult, Switching, lot_result, switchings
from orchardmap.quality.two_points import two_point_plan
from orchardmap.work.settling import Run

DAY, AT = date(2026, 1, 20), datetime(2026, 1, 20, 8, tzinfo=UTC)
PLAN = TablePlan("I", 4.0)

places = st.tuples(st.integers(1, 4), st.integers(1, 25))
grounds = st.tuples(st.sets(places, min_size=1, max_size=60), st.sets(places, max_size=20)).map(
    lambda two: (two[0] - two[1] or {(9, 9)}, two[1])
)


def made_lot(trees, holes=(), *, extra=0, seed=1, plan=PLAN, **changes):
    runs, gaps = runs_and_holes(trees, holes)
    size = sized(plan, len(trees))
    lot = Lot(
        "lot", "farm", "season", 1, "block", None, DAY, AT, None, DAY, DAY, None, None, plan, size.n, size.accept,
        size.reject, seed, runs, gaps, len(trees), draw(trees, size.n, extra=extra, seed=seed),
    )  # fmt: skip
    return replace(lot, **changes)


@dataclass(frozen=True)
class Seen:
    id: str
    row: int
    position: int
    day: date
    corrected_at: datetime
    verdict: str
    drawn: bool
    lot_id: str | None
    second: bool


@st.composite
def looked_at(draw_from, lot):
    """Checks of a lot's trees and others, several of one tree, in any order."""
    trees = [(tree.row, tree.position, tree.is_extra) for tree in lot.trees] + [(8, 8, False)]
    found = []
    for number in range(draw_from(st.integers(0, 25))):
        row, position, is_extra = draw_from(st.sampled_from(trees))
        found.append(
            Seen(
                f"{number:03}",
                row,
                position,
                DAY + timedelta(days=draw_from(st.integers(0, 2))),
                AT + timedelta(hours=draw_from(st.integers(0, 2))),
                draw_from(st.sampled_from(["meets", "minor", "faulty"])),
                not is_extra and draw_from(st.booleans()),
                draw_from(st.sampled_from([lot.id, lot.id, "other", None])),
                draw_from(st.booleans()),
            )
        )
    return found


@given(grounds)
def test_runs_and_holes_hold_the_trees_to_the_one(ground):
    trees, not_trees = ground
    runs, holes = runs_and_holes(trees, not_trees)
    assert list(trees_of(runs, holes)) == sorted(trees)
    assert set(holes) <= not_trees
    assert list(runs) == sorted(runs)


@given(grounds, st.integers(0, 9), st.integers(0, 2**31 - 1))
def test_draw_is_redone_from_what_is_kept_and_spreads_over_the_lot_alone(ground, extra, seed):
    trees, not_trees = ground
    lot = made_lot(trees, not_trees, extra=extra, seed=seed)
    assert redrawn(lot) == (lot.trees, ())
    assert lot.trees == draw(list(trees)[::-1], lot.n, extra=extra, seed=seed)
    drawn = [(tree.row, tree.position) for tree in lot.trees]
    assert len(set(drawn)) == len(drawn) == min(lot.n + extra, len(trees))
    assert set(drawn) <= trees
    assert [tree.is_extra for tree in lot.trees] == [at >= lot.n for at in range(len(drawn))]


@given(grounds, st.integers(0, 9), st.integers(0, 30), st.integers(0, 2**31 - 1))
def test_further_trees_are_the_next_of_the_same_draw(ground, extra, more, seed):
    """The draw goes on where it stopped: what was drawn stays, none comes twice, and none stands outside the lot."""
    trees, not_trees = ground
    lot = made_lot(trees, not_trees, extra=extra, seed=seed)
    before = [(tree.row, tree.position) for tree in lot.trees]
    further = drawn_on(list(trees)[::-1], len(before), more=more, seed=seed)
    whole = draw(trees, len(trees), extra=0, seed=seed)
    assert [*before, *further] == [(tree.row, tree.position) for tree in whole][: len(before) + more]
    assert redrawn(replace(lot, reserve=further)) == (lot.trees, further)


def test_reserve_is_rarely_used_up():
    """Trees that cannot be judged come as they come (binomial): at 1 in 20 it runs out in fewer than 9 lots of 100."""
    assert all(binom.sf(reserve_size(n), n + reserve_size(n), 0.05) < 0.09 for n in range(1, 501))
    assert binom.sf(reserve_size(30) - 1, 30 + reserve_size(30) - 1, 0.05) > 0.09, "one fewer would not do"


def test_every_tree_that_can_be_judged_is_as_likely_to_be_as_another():
    """Of 240 trees 12 are dead: over many seeds the others are judged alike often, those beside a dead one too."""
    trees = [(row, at) for row in range(1, 9) for at in range(1, 31)]
    dead = {(1 + at % 8, 1 + (11 * at) % 29) for at in range(12)}
    seeds, n, more = 1200, 20, 12
    judged: Counter[tuple[int, int]] = Counter()
    beside: Counter[tuple[int, int]] = Counter()
    lot = made_lot(trees, n=n)
    for seed in range(seeds):
        drawn = drawn_on(trees, 0, more=n + more, seed=seed)
        own = tuple(LotTree(*tree, False) for tree in drawn[:n])
        found = asked_trees(replace(lot, trees=own, reserve=drawn[n:]), (), dict.fromkeys(dead, "gone"))
        assert len(found.trees) == n
        judged.update(found.trees)
        beside.update((row, at + 1) if (row, at) in dead else (row, at) for row, at in drawn[:n])
    expected = seeds * n / (len(trees) - len(dead))

    def spread(counted):
        return sum((counted[tree] - expected) ** 2 / expected for tree in trees if tree not in dead)

    most = chi2.isf(1e-4, len(trees) - len(dead) - 1)
    assert spread(judged) < most
    assert spread(beside) > most, "were the next tree of the row looked at instead, that would be seen"


def test_cancelled_lots_hold_nothing():
    lot = made_lot({(1, 1), (1, 2)})
    assert held_trees([lot]) == {(1, 1), (1, 2)}
    assert held_trees([replace(lot, cancelled_at=AT)]) == set()


def test_pruned_trees_are_their_credited_crews_and_nobodys_while_two_claim_them():
    runs = [Run(1, 3, "a", "done"), Run(4, 5, None, "contested"), Run(6, 6, "b", "settled")]
    assert pruned_trees([(7, runs)], {(7, 2)}) == {
        (7, 1): "a", (7, 3): "a", (7, 4): None, (7, 5): None, (7, 6): "b",
    }  # fmt: skip


@given(st.data())
def test_order_of_checks_repeated_ones_extra_trees_and_second_looks_change_no_verdict(data):
    lot = made_lot({(row, at) for row in (1, 2) for at in range(1, 16)}, extra=4)
    checks = data.draw(looked_at(lot))
    found = findings(lot, checks)
    shuffled = data.draw(st.permutations(checks + checks))
    assert findings(lot, shuffled) == found
    planned = {(tree.row, tree.position) for tree in lot.trees if not tree.is_extra}
    own = [
        one
        for one in checks
        if one.lot_id == lot.id and one.drawn and not one.second and (one.row, one.position) in planned
    ]
    alone = findings(lot, own)
    assert (alone.verdict, alone.faulty, alone.checked, alone.judged) == (
        found.verdict, found.faulty, found.checked, found.judged,
    )  # fmt: skip
    assert (
        found.checked == found.meets + found.minor + found.faulty == len({(c.row, c.position) for c in own})
    )
    said = lot_texts(lot, found, gone=0, language="en")
    assert all("{" not in one for one in said)


def checked_lot(lot, faulty, of=None):
    planned = [tree for tree in lot.trees if not tree.is_extra][:of]
    return findings(
        lot,
        [
            Seen(
                str(at),
                tree.row,
                tree.position,
                DAY,
                AT,
                "faulty" if at < faulty else "meets",
                True,
                lot.id,
                False,
            )
            for at, tree in enumerate(planned)
        ],
    )


@given(st.integers(1, 300), st.data())
def test_interval_is_the_exact_one_of_a_finished_draw_and_none_of_a_part(trees, data):
    lot = made_lot({(1 + at // 40, 1 + at % 40) for at in range(trees)})
    faulty = data.draw(st.integers(0, lot.n))
    told = estimate(lot, checked_lot(lot, faulty))
    assert told is not None
    assert told.lot_faulty == lot_faulty_interval(faulty, lot.n, trees)
    if lot.n == trees:
        assert told.lot_faulty == (faulty, faulty)
        assert told.effective_checks is None
    if lot.n > 1:
        assert estimate(lot, checked_lot(lot, 0, of=lot.n - 1)) is None


@given(st.integers(1, 3000), st.sampled_from(LEVELS), st.sampled_from(AQLS), st.sampled_from(SEVERITIES))
def test_a_plan_is_kept_as_it_is_and_never_asks_for_more_trees_than_there_are(lot, level, aql, severity):
    plan = TablePlan(level, aql, severity)
    assert plan_from_json(plan_to_json(plan)) == plan
    size = sized(plan, lot)
    assert 1 <= size.n <= lot
    assert size.accept < size.reject


@given(st.integers(1, 2000), st.sampled_from([(0.05, 0.15), (0.02, 0.08), (0.01, 0.02)]))
def test_two_promises_are_kept_or_every_tree_is_checked(lot, shares):
    plan = TwoPoints(shares[0], 0.95, shares[1], 0.1)
    assert plan_from_json(plan_to_json(plan)) == plan
    size = sized(plan, lot)
    chances = pass_chance(size.n, size.accept, shares, model="hypergeometric", lot=lot)
    try:
        asked = two_point_plan(shares[0], 0.95, shares[1], 0.1, model="hypergeometric", lot=lot)
    except InputError:
        assert size.n == lot
    else:
        assert (size.n, size.accept) == asked
        assert chances[0] >= 0.95
        assert chances[1] <= 0.1


@given(st.integers(1, 3000))
def test_curve_begins_at_certain_ends_low_and_never_rises(lot):
    points = oc_points(sized(PLAN, lot))
    shares, chances = zip(*points, strict=True)
    assert points[0] == (0.0, 1.0)
    assert list(shares) == sorted(set(shares))
    assert all(one >= other - 1e-12 for one, other in pairwise(chances))
    assert chances[-1] < 0.02
    assert len(points) <= 61


def past(number, *, good, severity="normal", trees=400):
    plan = TablePlan("I", 4.0, severity)
    size = sized(plan, trees)
    return PastLot(number, plan, trees, good, 0 if good else size.reject)


@given(st.permutations(list(enumerate([True, False, True, True, False], 1))))
def test_two_of_five_sent_back_tighten_in_whatever_order_they_are_told(told):
    now = remembered([past(number, good=good) for number, good in told], reduced_agreed=False)
    assert now.inspection == "tightened"


def test_of_lots_drawn_before_the_others_were_decided_only_those_sent_back_tell_afterwards():
    """Drawn on one morning under normal inspection: once tightened, the milder plan proves nothing, but its rejection does."""
    told = [past(number, good=number > 2) for number in range(1, 9)]
    assert remembered(told, reduced_agreed=False) == remembered(told[:2], reduced_agreed=False)
    worse = [past(number, good=False) for number in range(1, 8)]
    assert remembered(worse[:6], reduced_agreed=False).inspection == "tightened"
    assert remembered(worse, reduced_agreed=False).inspection == "discontinued"


@pytest.mark.parametrize("severity", ["tightened", "normal", "reduced"])
def test_a_lot_that_was_sent_back_is_remembered_whatever_it_was_drawn_under(severity):
    told = [past(number, good=False, severity=severity) for number in (1, 2)]
    assert remembered(told, reduced_agreed=False).inspection == "tightened"


@given(st.lists(st.booleans(), max_size=8))
def test_a_stricter_plan_by_hand_is_remembered_as_the_one_that_was_asked_for(results):
    """But for the score: no crew of these is near reduced inspection."""
    by_hand, asked = (
        remembered([past(n, good=g, severity=s) for n, g in enumerate(results, 1)], reduced_agreed=False)
        for s in ("tightened", "normal")
    )
    if asked.inspection == "normal":
        assert (by_hand.inspection, by_hand.recent) == ("normal", asked.recent)


def test_after_a_discontinued_series_a_lot_that_is_drawn_all_the_same_begins_a_new_one_tightened():
    bad = [past(n, good=False) for n in (1, 2)] + [
        past(n, good=False, severity="tightened") for n in range(3, 8)
    ]
    assert remembered(bad, reduced_agreed=False).inspection == "discontinued"
    good = [past(n, good=True, severity="tightened") for n in range(8, 13)]
    assert remembered(bad + good[:4], reduced_agreed=False).inspection == "tightened"
    assert remembered(bad + good, reduced_agreed=False).inspection == "normal"


def test_reduced_inspection_needs_good_lots_and_the_farms_word():
    good = [past(number, good=True) for number in range(1, 16)]
    assert remembered(good, reduced_agreed=False).inspection == "normal"
    assert remembered(good, reduced_agreed=True).inspection == "reduced"


@given(st.lists(st.booleans(), max_size=12))
def test_lots_of_two_promises_have_no_severity_and_tell_nothing(results):
    told = [PastLot(n, TwoPoints(0.05, 0.95, 0.15, 0.1), 400, good, 0) for n, good in enumerate(results, 1)]
    assert remembered(told, reduced_agreed=True) == Switching()


@given(st.lists(st.booleans(), max_size=12))
def test_lots_drawn_as_they_were_asked_for_are_remembered_as_the_rules_say(results):
    """Drawn one after the other, each as severely as the memory then says: the same as the rules on their own."""
    told: list[PastLot] = []
    by_rules: list[LotResult] = []
    for number, good in enumerate(results, 1):
        now = remembered(told, reduced_agreed=False).inspection
        if now == "discontinued":
            break
        told.append(past(number, good=good, severity=now))
        by_rules.append(lot_result(400, level="I", aql=4.0, severity=now, faulty=told[-1].faulty))
    assert remembered(told, reduced_agreed=False) == switchings(by_rules)[-1]


def test_words_in_the_gap_of_a_reduced_plan_say_that_the_next_lot_is_normal_again():
    trees = {(1 + at // 50, 1 + at % 50) for at in range(400)}
    lot = made_lot(trees, plan=TablePlan("II", 4.0, "reduced"))
    assert lot.reject > lot.accept + 1
    told = lot_texts(lot, checked_lot(lot, lot.accept + 1), gone=0, language="en")
    assert told[0].startswith("Accepted: ")
    assert told[1] == f"That is more than {lot.accept}: the next lot is checked as normal again."


def test_every_tree_was_checked_is_said_only_where_it_was():
    lot = made_lot({(1, 1 + at) for at in range(51)}, plan=TablePlan("I", 0.25))
    assert (lot.n, lot.lot_trees) == (50, 51)
    told = lot_texts(lot, checked_lot(lot, 0), gone=0, language="en")
    assert told[1] == "At most 0 of the lot's 51 trees are faulty (95 in 100)."
    whole = made_lot({(1, 1 + at) for at in range(50)}, plan=TablePlan("I", 0.25))
    told = lot_texts(whole, checked_lot(whole, 0), gone=0, language="en")
    assert told[1] == "Faulty trees of all 50: 0. Every one was checked."


@given(st.integers(1, 60), st.sampled_from(LEVELS), st.sampled_from(AQLS), st.sampled_from(SEVERITIES))
@example(1, "I", 10.0, "normal")
def test_no_lot_passes_where_every_tree_looked_at_is_faulty(lot, level, aql, severity):
    size = sized(TablePlan(level, aql, severity), lot)
    assert size.accept < size.reject <= size.n <= lot


def test_a_single_tree_that_is_faulty_goes_back_and_the_plan_says_it_simply():
    size = sized(TablePlan("I", 10.0), 1)
    assert size[:4] == (1, 1, 0, 1)
    assert plan_text(TablePlan("I", 10.0), size, "en").startswith("The lot's only tree is checked; ")


def test_an_empty_lot_is_refused():
    with pytest.raises(InputError, match="no tree"):
        sized(PLAN, 0)
