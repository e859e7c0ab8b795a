"""Trees of a lot that cannot be judged, on both engines: the next of the draw stands in, and nothing else counts them."""

import random
from dataclasses import replace
from datetime import timedelta

import pytest
from sqlalchemy import select, update

from orchardmap.model.lot import TwoPoints
from orchardmap.quality.lot_trees import redrawn
from orchardmap.store import log
from orchardmap.store import lots as lot_store
from orchardmap.store.lot_tables import lots as lot_table
from orchardmap.usecases import (
    blocks,
    counting,
    glance,
    lot_drawing,
    lot_planning,
    lot_reading,
    recording,
)
from orchardmap.usecases.lot_drawing import NewLot
from orchardmap.usecases.lot_planning import LotWish
from orchardmap.usecases.planting import new_id
from small_farm import NOW, TODAY, small_farm


@pytest.fixture(scope="module")
def store(shared_store):
    """One store of each engine for all tests here; each has a farm of its own in it."""
    return shared_store


@pytest.fixture
def farm(store):
    """Rows 1 and 2 of the first block are pruned."""
    made = small_farm(store, new_id())
    recording.record_marks(
        store, farm_id=made.farm.id, marks=[made.mark(1), made.mark(2)], sent_at=NOW, now=NOW
    )
    return made


@pytest.fixture
def lot(store, farm):
    """A lot of the block: 210 trees, of which 13 are drawn, and three further ones."""
    asked = NewLot(new_id(), LotWish(farm.blocks[0].id), 1848)
    made = lot_drawing.draw_lot(store, farm_id=farm.farm.id, asked=asked, now=NOW)
    assert (made.lot_trees, made.n, len(made.reserve)) == (210, 13, 3)
    return made


def planned(lot):
    return [(tree.row, tree.position) for tree in lot.trees]


def checked(farm, lot, trees, **changes):
    return [replace(farm.check(*tree, lot_id=lot.id), **changes) for tree in trees]


def unjudged(farm, lot, tree, reason, **changes):
    made = farm.check(*tree, lot_id=lot.id, verdict=None, not_judged=reason)
    return replace(made, **changes)


def hand_in(store, farm, *checks):
    receipts = recording.record_checks(store, farm_id=farm.farm.id, checks=checks, sent_at=NOW, now=NOW)
    assert [one.outcome for one in receipts] == ["taken"] * len(checks)


def read(store, lot, language="en"):
    return lot_reading.full_lot(store, lot.id, language=language, now=NOW)


def test_the_next_of_the_draw_stands_in_and_the_page_tells_why(store, farm, lot):
    gone, far, *rest = planned(lot)
    hand_in(store, farm, unjudged(farm, lot, gone, "gone"), *checked(farm, lot, rest))
    hand_in(store, farm, unjudged(farm, lot, far, "unreachable", note="the stream is high"))
    told = read(store, lot)
    assert (told["verdict"], told["checked"]) == ("too_few", 11)
    assert told["not_judged"] == [
        {"reason": "gone", "words": "not there or dead", "trees": 1},
        {"reason": "unreachable", "words": "out of reach", "trees": 1},
    ]
    assert "Trees still to check: 2 of 13. Faulty so far: 0; 1 may be." in told["sentences"]
    of_tree = {(one["row"], one["position"]): one for one in told["trees"]}
    assert [(one["number"], one["stands_in"]) for one in told["trees"][13:]] == [(14, True), (15, True)]
    assert of_tree[far]["not_judged"] == {
        "reason": "unreachable", "words": "out of reach", "day": TODAY.isoformat(), "auditor_id": farm.auditor.id,
        "note": "the stream is high",
    }  # fmt: skip
    assert sorted(map(tuple, told["walk"])) == sorted([*planned(lot), *lot.reserve[:2]])
    first, second = lot.reserve[:2]
    hand_in(store, farm, *checked(farm, lot, [first]), *checked(farm, lot, [second], verdict="faulty"))
    told = read(store, lot)
    assert (told["verdict"], told["checked"], told["faulty"]) == ("accepted", 13, 1)
    # the dead tree is none of the lot; the one out of reach is, and nobody knows what it is like
    (said,) = [one for one in told["sentences"] if "of the lot's" in one]
    assert "of the lot's 209 trees" in said
    assert told["sentences"][-4:-1] == [
        "Trees that could not be judged: 2 (not there or dead: 1, out of reach: 1).",
        "Further drawn trees that stand in: 2.",
        "Only trees that could be judged count here. Trees that stand and could not be judged: 1. Nobody knows whether they are as good.",
    ]
    assert all("{" not in one and "judged" not in one for one in read(store, lot, "es")["sentences"])


def test_a_drawn_tree_that_is_a_blank_by_now_holds_nothing_up(store, farm, lot):
    """Nobody can check it (there is no tree), and what an auditor says of it is taken all the same."""
    (row, at), *rest = planned(lot)
    hand_in(store, farm, *checked(farm, lot, rest))
    counting.recount_row(store, block_id=lot.block_id, row=row, changes={"blanks": [at]}, now=NOW)
    told = read(store, lot)
    assert [one["reason"] for one in told["not_judged"]] == ["blank"]
    assert not any("no longer" in one for one in told["sentences"])
    hand_in(store, farm, unjudged(farm, lot, (row, at), "gone"))
    hand_in(store, farm, *checked(farm, lot, lot.reserve[:1]))
    told = read(store, lot)
    assert (told["verdict"], told["checked"]) == ("accepted", 13)


def test_a_drawn_tree_beyond_the_end_of_a_row_that_was_counted_anew_holds_nothing_up(store, farm, lot):
    """Neither a check nor a word on it would be taken: the row has no such position."""
    row, at = max(planned(lot), key=lambda tree: tree[1])
    counting.recount_row(
        store, block_id=lot.block_id, row=row, changes={"counted_positions": at - 1}, now=NOW
    )
    beyond = {tree for tree in planned(lot) if tree[0] == row and tree[1] >= at}
    told = read(store, lot)
    assert told["not_judged"] == [{"reason": "blank", "words": "no tree by now", "trees": len(beyond)}]
    hand_in(store, farm, *checked(farm, lot, [tree for tree in planned(lot) if tree not in beyond]))
    hand_in(store, farm, *checked(farm, lot, lot.reserve[: len(beyond)]))
    assert read(store, lot)["verdict"] == "accepted"


def test_a_tree_that_was_judged_counts_whatever_else_is_said_of_it(store, farm, lot):
    bad, *rest = planned(lot)
    hand_in(store, farm, *checked(farm, lot, [bad], verdict="faulty"), *checked(farm, lot, rest))
    before = read(store, lot)
    hand_in(store, farm, unjudged(farm, lot, bad, "gone"))
    now = read(store, lot)
    assert (now["verdict"], now["faulty"], now["not_judged"]) == (before["verdict"], 1, [])


def test_nobody_chooses_between_a_tree_and_the_one_that_stood_in_for_it(store, farm, lot):
    """A faulty tree that stood in stays in the verdict when the first one is judged after all, and the page tells of both."""
    far, *rest = planned(lot)
    stood_in = lot.reserve[0]
    hand_in(store, farm, unjudged(farm, lot, far, "unreachable"))
    hand_in(store, farm, *checked(farm, lot, rest[:1], verdict="faulty"), *checked(farm, lot, rest[1:]))
    hand_in(store, farm, *checked(farm, lot, [stood_in], verdict="faulty"))
    before = read(store, lot)
    assert (before["verdict"], before["checked"], before["faulty"]) == ("send_back", 13, 2)
    hand_in(store, farm, *checked(farm, lot, [far]))
    now = read(store, lot)
    assert (now["verdict"], now["checked"], now["faulty"], now["not_judged"]) == ("send_back", 14, 2, [])
    assert now["sentences"][-1] == (
        "Trees that were judged after all, when a further one had stood in for them: 1. Both count."
    )
    assert {(one["row"], one["position"]) for one in now["trees"]} >= {far, stood_in}


def test_a_lot_that_hangs_on_trees_that_nobody_judged_says_so(store, farm, lot):
    """Bad trees told to be out of reach pass a bad lot three times as often; whoever reads of it hears what hangs on them."""
    *far, bad = planned(lot)[:2]
    rest = planned(lot)[2:]
    hand_in(store, farm, *(unjudged(farm, lot, tree, "unreachable") for tree in far))
    hand_in(store, farm, *checked(farm, lot, [*rest, *lot.reserve[:1]]))
    hand_in(store, farm, *checked(farm, lot, [bad]))
    would = "Had the trees that were left out been faulty, the lot would have gone back: let somebody else look at them."
    told = read(store, lot)
    assert (told["verdict"], would in told["sentences"]) == ("accepted", False), (
        "one tree of 13 may be faulty"
    )
    hand_in(
        store,
        farm,
        *checked(farm, lot, [bad], verdict="faulty", device_at=NOW + timedelta(minutes=1)),
    )
    told = read(store, lot)
    assert (told["verdict"], told["faulty"], would in told["sentences"]) == ("accepted", 1, True)
    assert told["hangs_on_words"] is True


def test_in_whatever_order_records_arrive_and_however_often_the_verdict_is_the_same(store):
    """One farm for each order: words, checks, changed verdicts and second looks, one by one, some of them twice."""
    told = []
    for seed in range(4):
        made = small_farm(store, new_id())
        recording.record_marks(
            store, farm_id=made.farm.id, marks=[made.mark(1), made.mark(2)], sent_at=NOW, now=NOW
        )
        asked = NewLot(new_id(), LotWish(made.blocks[0].id), 1848)
        own = lot_drawing.draw_lot(store, farm_id=made.farm.id, asked=asked, now=NOW)
        one, two, three, *rest = planned(own)
        later = {"device_at": NOW + timedelta(minutes=2)}
        records = [
            unjudged(made, own, one, "unreachable"),
            unjudged(made, own, one, "gone", **later),
            unjudged(made, own, two, "other"),
            *checked(made, own, [two], **later),
            *checked(made, own, own.reserve[:1]),
            *checked(made, own, own.reserve[1:2], verdict="faulty"),
            *checked(made, own, [three], verdict="faulty"),
            *checked(made, own, [three], verdict="minor", **later),
            *checked(made, own, [three], verdict="faulty", second=True, **later),
            *checked(made, own, rest),
        ]
        order = random.Random(seed)
        for record in order.sample(records, len(records)) + order.sample(records, 5):
            recording.record_checks(store, farm_id=made.farm.id, checks=[record], sent_at=NOW, now=NOW)
        found = read(store, own)
        names = ("verdict", "checked", "meets", "minor", "faulty", "not_judged", "interval", "sentences")
        told.append([found[name] for name in names])
    assert told[0][:5] == ["accepted", 14, 12, 1, 1]
    assert all(one == told[0] for one in told)


def test_a_lot_checked_tree_by_tree_is_not_accepted_on_what_a_few_words_leave_of_it(store, farm):
    """Three of ten trees may be none of it by an auditor's word; with more left out it waits, until the plan has their blanks."""
    recording.record_marks(
        store, farm_id=farm.farm.id, marks=[farm.mark(5, 1, 10, crew=2)], sent_at=NOW, now=NOW
    )
    asked = NewLot(
        new_id(), LotWish(farm.blocks[0].id, farm.crews[2].id, plan=TwoPoints(0.1, 0.95, 0.14, 0.1)), 1
    )
    lot = lot_drawing.draw_lot(store, farm_id=farm.farm.id, asked=asked, now=NOW)
    assert (lot.n, lot.lot_trees, lot.reject, lot.reserve) == (10, 10, 2, ())
    first, *others = planned(lot)
    hand_in(store, farm, *checked(farm, lot, [first], verdict="faulty"), *checked(farm, lot, others[:5]))
    hand_in(store, farm, *(unjudged(farm, lot, tree, "gone") for tree in others[5:]))
    told = read(store, lot)
    assert (told["verdict"], told["checked"]) == ("too_few", 6)
    assert [one.split(".")[0] for one in told["sentences"][-2:]] == [
        "No drawn tree is left to stand in, and the verdict needs 1 more",
        "Trees that are not there are drawn again as long as the plan has them: enter them as blanks of their rows first",
    ]
    counting.recount_row(
        store, block_id=lot.block_id, row=5, changes={"blanks": [at for _, at in others[5:]]}, now=NOW
    )
    assert read(store, lot)["verdict"] == "accepted"


def test_of_as_few_trees_as_are_left_as_small_a_share_may_be_faulty(store, farm):
    """Two of twenty send a lot of twenty back; of the five that blanks made since leave of it, one does."""
    recording.record_marks(
        store, farm_id=farm.farm.id, marks=[farm.mark(5, 1, 20, crew=2)], sent_at=NOW, now=NOW
    )
    plan = TwoPoints(0.05, 0.95, 0.06, 0.1)
    asked = NewLot(new_id(), LotWish(farm.blocks[0].id, farm.crews[2].id, plan=plan), 1)
    lot = lot_drawing.draw_lot(store, farm_id=farm.farm.id, asked=asked, now=NOW)
    assert (lot.n, lot.lot_trees, lot.reject) == (20, 20, 2)
    blanks = [at for _, at in planned(lot)[5:]]
    counting.recount_row(store, block_id=lot.block_id, row=5, changes={"blanks": blanks}, now=NOW)
    hand_in(store, farm, *checked(farm, lot, planned(lot)[:1], verdict="faulty"))
    told = read(store, lot)
    assert (told["verdict"], told["sentences"][0]) == (
        "send_back", "Sent back: 1 of 1 trees drawn was faulty, 0 may be.",
    )  # fmt: skip
    assert told["not_sent_back"] == 5


def test_nothing_that_counts_trees_meets_one_that_was_not_judged(store, farm, lot):
    hand_in(store, farm, unjudged(farm, lot, planned(lot)[0], "other"))
    block = farm.blocks[0].id
    (told,) = (
        one for one in glance.overview(store, farm.farm.id, day=None, now=NOW)["blocks"] if one["id"] == block
    )
    assert (told["checked"], told["drawn"], told["drawn_faulty"]) == (0, 0, 0)
    state = blocks.block_state(store, block, day=None, now=NOW)
    assert state["checks"] == []
    ((_, *said),) = state["not_judged"]
    assert said == [*planned(lot)[0], "other", TODAY.isoformat(), lot.id]
    with store.read() as conn:
        assert log.checks_of(conn, farm.season.id) == []


def test_a_lot_drawn_before_there_were_further_trees_reads_and_says_what_to_do(store, farm, lot):
    with store.write() as conn:
        conn.execute(update(lot_table).where(lot_table.c.id == lot.id).values(reserve=None))
        assert conn.execute(select(lot_table.c.reserve).where(lot_table.c.id == lot.id)).scalar_one() is None
        old = lot_store.lot_of(conn, lot.id)
    assert old == replace(lot, reserve=())
    assert redrawn(old) == (lot.trees, ())
    told = read(store, old)
    assert "further" not in told["plan_words"]
    hand_in(store, farm, unjudged(farm, old, planned(old)[0], "not_pruned"))
    told = read(store, old)
    assert told["verdict"] == "too_few"
    assert told["sentences"][-2:] == [
        "Marked as pruned and found not to be: 1. Let the crew prune them, or take their marks back.",
        "No drawn tree is left to stand in, and the verdict needs 1 more. See whether one of those left out can be judged"
        " after all; if not, cancel the lot and draw it again.",
    ]


def test_the_plan_says_what_becomes_of_such_trees(store, farm):
    wish = LotWish(farm.blocks[0].id)
    told = lot_planning.planned_lot(store, farm.farm.id, wish, language="en", now=NOW)
    assert told["reserve"] == 3
    said = "If a tree cannot be judged, the next of 3 further drawn trees stands in."
    assert told["plan_words"].endswith(said)
    asked = NewLot(new_id(), replace(wish, extra=9), 1)
    lot = lot_drawing.draw_lot(store, farm_id=farm.farm.id, asked=asked, now=NOW)
    assert read(store, lot)["plan_words"].endswith(said)
    assert redrawn(lot) == (lot.trees, lot.reserve)
