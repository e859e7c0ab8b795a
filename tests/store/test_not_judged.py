"""Trees of a lot that cannot be judged, on both engines: the next of the draw stands in, and nothing else counts them."""

from dataclasses import replace

import pytest
from sqlalchemy import select, update

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
    assert told["sentences"][-3:] == [
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


def test_a_tree_that_was_judged_counts_whatever_else_is_said_of_it(store, farm, lot):
    bad, *rest = planned(lot)
    hand_in(store, farm, *checked(farm, lot, [bad], verdict="faulty"), *checked(farm, lot, rest))
    before = read(store, lot)
    hand_in(store, farm, unjudged(farm, lot, bad, "gone"))
    now = read(store, lot)
    assert (now["verdict"], now["faulty"], now["not_judged"]) == (before["verdict"], 1, [])


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
