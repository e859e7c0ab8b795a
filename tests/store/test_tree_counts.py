"""Counts of sample trees on both engines: kept always, the same in any order, and what they say of block and variety."""

from dataclasses import replace
from datetime import timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from orchardmap.model.brief import BudTarget, Draft
from orchardmap.model.work import RecordSettlement
from orchardmap.pruning.counting import count_estimate
from orchardmap.pruning.habits import ready_made
from orchardmap.store import log
from orchardmap.usecases import (
    brief_publishing,
    briefing,
    counting,
    farm_setting,
    planting,
    settling,
    tree_counts,
)
from orchardmap.usecases.briefing import BriefSubject, ReadyMade
from orchardmap.usecases.packs import packs
from orchardmap.usecases.planting import new_id
from orchardmap.work.identity import content_hash
from small_farm import NOW, POSITIONS, ROWS, TODAY, small_farm
from thorough import tries

NOBODY = "00000000-0000-7000-8000-000000000000"


@pytest.fixture
def farm(store):
    """The small farm, on either engine."""
    return small_farm(store)


def record(store, farm, *found, sent_at=NOW):
    return tree_counts.record_tree_counts(store, farm_id=farm.farm.id, counts=found, sent_at=sent_at, now=NOW)


def told(store, farm, what="limbs", block=0):
    """What the block's counts say of one thing."""
    found = tree_counts.block_counts(store, farm.blocks[block].id, now=NOW)["told"]
    return next((one for one in found if one["what"] == what), None)


def test_five_trees_tell_mean_interval_and_how_many_more(store, farm):
    numbers, rows = [20, 24, 22, 18, 26], [1, 4, 7, 9, 12]
    record(store, farm, *(farm.tree_count(row, 10, n) for row, n in zip(rows, numbers, strict=True)))
    found = told(store, farm)
    by_hand = count_estimate(numbers, rows, trees_in_block=ROWS * POSITIONS)
    assert (found["trees"], found["mean"], found["low"], found["high"], found["trees_needed"]) == (
        5, 22.0, by_hand.low, by_hand.high, by_hand.trees_needed,
    )  # fmt: skip
    assert (found["is_enough"], found["chosen"], found["days"]) == (False, 0, [TODAY.isoformat()])
    assert (found["target"], found["mean_over_target"]) == (None, None)
    assert told(store, farm, block=1) is None


def test_farm_says_how_well_a_mean_is_to_be_known(store, farm):
    numbers, rows = [20, 24, 22, 18, 26], [1, 4, 7, 9, 12]
    record(store, farm, *(farm.tree_count(row, 10, n) for row, n in zip(rows, numbers, strict=True)))
    usual = told(store, farm)
    changes = {"count_half_width_percent": 5, "count_confidence_percent": 99}
    farm_setting.save_settings(store, farm_id=farm.farm.id, changes=changes, now=NOW)
    by_hand = count_estimate(
        numbers, rows, trees_in_block=ROWS * POSITIONS, half_width_share=0.05, confidence=0.99
    )
    strict = told(store, farm)
    assert (strict["low"], strict["trees_needed"]) == (by_hand.low, by_hand.trees_needed)
    assert (usual["trees_needed"], strict["trees_needed"]) == (7, 58)
    (pack,) = packs(store, farm.farm.id, [farm.blocks[0].id], now=NOW)["blocks"]
    assert pack["counts"]["aim"] == {"half_width_share": 0.05, "confidence": 0.99}


def test_target_of_the_brief_is_told_beside_the_mean(store, farm):
    subject = BriefSubject(farm.season.id, variety_id=farm.blocks[0].variety_id)
    made = briefing.make_brief(
        store, farm_id=farm.farm.id, subject=subject, start=ReadyMade("tip_renewed"), by=None, now=NOW
    )
    at = {"farm_id": farm.farm.id, "brief_id": made.id}
    content = replace(ready_made("tip_renewed"), bud_target=BudTarget(buds_per_tree=110.0))
    brief_publishing.save_draft(store, **at, draft=Draft(content, 2, NOW, None))
    brief_publishing.publish(store, **at, revision=2, by=None, now=NOW)
    record(
        store, farm, *(farm.tree_count(row, 3, 212, what="buds_before") for row in (1, 2)), farm.tree_count()
    )
    found = told(store, farm, "buds_before")
    assert (found["target"], found["mean_over_target"]) == (110.0, 102.0)
    assert told(store, farm)["target"] is None, "the brief says nothing of limbs"


def test_drawn_and_chosen_trees_are_told_apart_and_what_is_no_tree_any_more_enters_no_mean(store, farm):
    record(
        store,
        farm,
        farm.tree_count(1, 1, 10),
        farm.tree_count(2, 1, 20, seed=None),
        farm.tree_count(3, 1, 90),
    )
    counting.count_row(store, block_id=farm.blocks[0].id, row=3, pollinizers=[1])
    found = told(store, farm)
    assert (found["trees"], found["mean"], found["chosen"]) == (2, 15.0, 1)
    assert len(tree_counts.block_counts(store, farm.blocks[0].id, now=NOW)["lines"]) == 3


def test_wrong_ones_are_set_aside_with_their_reason_and_wait_for_the_manager(store, farm):
    other = small_farm(store, "Next Door")
    cases = {
        "unknown_season": farm.tree_count(season_id=NOBODY),
        "unknown_block": farm.tree_count(block_id=other.blocks[0].id),
        "unknown_row": farm.tree_count(ROWS + 1),
        "beyond_row_end": farm.tree_count(1, POSITIONS + 1),
        "later_than_today": farm.tree_count(day=TODAY + timedelta(days=1)),
    }
    receipts = record(store, farm, *cases.values(), farm.tree_count(2, 2, 18))
    assert [r.outcome for r in receipts] == ["set_aside"] * 5 + ["taken"]
    with store.read() as conn:
        kept = log.records_by_id(conn, "tree_count", farm.farm.id, [r.id for r in receipts])
        assert log.set_aside_of_blocks(conn, farm.farm.id)[farm.blocks[0].id] == 4
    reasons = {one.id: one.set_aside for one in kept}
    assert {reason: reasons[one.id] for reason, one in cases.items()} == {one: one for one in cases}
    assert told(store, farm)["mean"] == 18


def test_manager_lets_a_count_count_that_was_set_aside(store, farm):
    early = farm.tree_count(1, 1, 31, day=farm.season.opens_on - timedelta(days=1))
    record(store, farm, early)
    assert told(store, farm) is None
    version = content_hash(early)
    word = RecordSettlement(new_id(), 0, "tree_count", early.id, version, frozenset({version}))
    settling.settle(store, farm_id=farm.farm.id, said=word, settled_by=None, now=NOW)
    assert told(store, farm)["mean"] == 31


def test_wrong_clock_moves_the_day_and_refuses_nothing(store, farm):
    behind = timedelta(days=10)
    record(store, farm, farm.tree_count(day=TODAY - behind, device_at=NOW - behind), sent_at=NOW - behind)
    assert told(store, farm)["days"] == [TODAY.isoformat()]


def test_variety_has_the_mean_of_its_blocks_weighed_by_their_trees(store, farm):
    """2,625 trees at 10 and, without row 25 counted as empty, 2,520 at 20."""
    counting.count_row(store, block_id=farm.blocks[1].id, row=25, counted_positions=0)
    second = farm.blocks[1].id
    record(store, farm, farm.tree_count(1, 1, 10), farm.tree_count(1, 1, 20, block_id=second))
    found = tree_counts.farm_counts(store, farm.farm.id, now=NOW)
    assert [one["code"] for one in found["blocks"]] == ["K1", "K2"]
    (variety,) = found["varieties"]
    (limbs,) = variety["told"]
    assert (limbs["blocks"], limbs["trees"]) == (2, 2)
    assert limbs["mean"] == pytest.approx((2625 * 10 + 2520 * 20) / (2625 + 2520))


def test_pack_holds_the_counts_that_the_block_tells(store, farm):
    record(store, farm, farm.tree_count(1, 1, 10))
    (pack,) = packs(store, farm.farm.id, [farm.blocks[0].id], now=NOW)["blocks"]
    assert pack["counts"] == tree_counts.block_counts(store, farm.blocks[0].id, now=NOW)
    assert len(pack["counts"]["lines"]) == 1


# few ids, three trees, two things, corrections of anything: rings, misdirected ones and two contents of one id are the rule
operations = st.lists(
    st.tuples(
        st.integers(0, 4), st.integers(1, 3), st.sampled_from(["limbs", "buds_before"]), st.none() | st.integers(0, 3),
        st.none() | st.integers(0, 4),
    ),
    max_size=8,
)  # fmt: skip


@settings(
    max_examples=tries(5), suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow]
)
@given(told_ops=operations, order=st.randoms(use_true_random=False), cut=st.integers(0, 8))
def test_any_order_any_repeat_any_batches_give_the_same(store, told_ops, order, cut):
    farms = [small_farm(store, planting.new_id()) for _ in range(2)]
    ids = [planting.new_id() for _ in range(5)]

    def records(of):
        return [
            of.tree_count(
                1, position, number, what=what, id=ids[n], replaces_id=None if old is None else ids[old]
            )
            for n, position, what, number, old in told_ops
        ]

    for one in records(farms[0]):
        record(store, farms[0], one)
    shuffled = records(farms[1]) * 2
    order.shuffle(shuffled)
    record(store, farms[1], *shuffled[:cut])
    record(store, farms[1], *shuffled[cut:])

    def seen(of):
        found = tree_counts.block_counts(store, of.blocks[0].id, now=NOW)
        return {key: found[key] for key in ("trees", "target", "lines", "told")}

    assert seen(farms[0]) == seen(farms[1])
