"""Lots that were sent back, the returns that put them right, and the lots drawn over those. On both engines."""

from datetime import timedelta

import pytest

from lot_seasons import (
    ago,
    area_return,
    check,
    draw,
    farm_with_work,
    go_over,
    hand_in,
    memory,
    put_right,
    read,
    record,
    send_back,
    standing,
    summary,
    trees,
    wish,
)
from orchardmap.errors import ConflictError, InputError, UnknownError
from orchardmap.model.returns import Stretch
from orchardmap.quality.lot_trees import redrawn
from orchardmap.usecases import (
    lot_drawing,
    lot_planning,
    recording,
    return_telling,
    returning,
)
from orchardmap.usecases.lot_drawing import NewLot
from orchardmap.usecases.lot_planning import AskedTable
from orchardmap.usecases.planting import new_id
from orchardmap.usecases.returning import NewReturn
from small_farm import NOW, POSITIONS, TODAY, withdrawal

PART_SENT = "Sent back so far: 105 of 210 trees. The others wait: make a return of them too, or a manager cancels the lot if they may stay as they are."  # fmt: skip


@pytest.fixture(scope="module")
def store(shared_store):
    """One store of each engine for all tests here; each has a farm of its own in it."""
    return shared_store


@pytest.fixture
def farm(store):
    return farm_with_work(store)


def test_a_lot_sent_back_is_put_right_by_a_return_that_a_new_lot_confirms(store, farm):
    """The new lot is drawn over the return's trees, leaves the crew's memory alone, and its own failure is made good the same way."""
    lot = draw(store, farm)
    check(store, farm, lot, faulty=3)
    asked = send_back(store, farm, lot)
    assert read(store, lot)["returns"] == [asked.id]
    record(store, farm, *(farm.mark(row, return_id=asked.id) for row in (1, 2)))
    again = draw(store, farm, None, return_id=asked.id)
    assert (again.crew_id, again.return_id, trees(again)) == (farm.crews[0].id, asked.id, trees(lot))
    check(store, farm, again, faulty=again.reject)
    assert summary(store, farm)["verdict"] == "send_back"
    assert memory(store, farm) == "normal"
    second = send_back(store, farm, again)
    record(store, farm, *(farm.mark(row, return_id=second.id) for row in (1, 2)))
    last = draw(store, farm, 0, return_id=second.id)
    assert summary(store, farm)["verdict"] == "send_back"
    check(store, farm, last)
    assert summary(store, farm)["verdict"] == "accepted_in_part"


def test_trees_of_a_return_are_looked_at_closely_whatever_plan_is_asked_for(store, farm):
    """The plan told before the draw is the one drawn: 32 of 210 trees where a first look has 13, and none smaller by hand."""
    lot = draw(store, farm)
    check(store, farm, lot, faulty=3)
    asked = send_back(store, farm, lot)
    go_over(store, farm, asked, 0)
    told = lot_planning.planned_lot(
        store, farm.farm.id, wish(farm, None, return_id=asked.id), language="en", now=NOW
    )
    assert (told["n"], told["accept"], told["reject"], told["code_letter"]) == (32, 3, 4, "G")
    assert "at least 30 of them, or all" in told["plan_words"]
    again = draw(store, farm, None, return_id=asked.id, plan=AskedTable("S-1", 4.0))
    assert (again.n, again.accept, again.reject) == (32, 3, 4)
    assert redrawn(again) == (again.trees, again.reserve)
    assert "at least 30 of them, or all" in read(store, again)["plan_words"]
    assert "at least 30" not in read(store, lot)["plan_words"]


def test_a_lot_over_a_return_needs_one_that_stands_and_its_own_crew(store, farm):
    lot = draw(store, farm)
    check(store, farm, lot, faulty=3)
    asked = send_back(store, farm, lot)
    go_over(store, farm, asked, 0)
    with pytest.raises(InputError, match="another crew's"):
        draw(store, farm, 1, return_id=asked.id)
    with pytest.raises(UnknownError, match="no such return"):
        draw(store, farm, return_id=new_id())
    returning.cancel_return(store, return_id=asked.id, reason="rain", now=NOW)
    with pytest.raises(ConflictError, match="taken back"):
        draw(store, farm, return_id=asked.id)


def test_new_trees_that_confirm_a_weak_area_are_put_right_with_its_return(store, farm):
    """The lot drawn while the return waited was sent back; no return is made from it, the one that waited is the one."""
    check(store, farm, draw(store, farm))
    asked = NewReturn(
        new_id(), farm.blocks[0].id, farm.crews[0].id, TODAY, area={"rows": [1, 1], "positions": [1, 60]}
    )
    made = returning.make_return(store, farm_id=farm.farm.id, asked=asked, now=NOW)
    look = draw(store, farm, None, return_id=made.id)
    check(store, farm, look, faulty=look.reject, **ago(30))
    assert summary(store, farm)["verdict"] == "send_back"
    record(store, farm, farm.mark(1, 1, 60, return_id=made.id, **ago(20)))
    check(store, farm, draw(store, farm, None, return_id=made.id))
    assert summary(store, farm)["verdict"] == "accepted_in_part"


def test_a_part_return_leaves_the_lot_sent_back_and_two_that_hold_all_its_trees_put_it_right(store, farm):
    lot = draw(store, farm)
    check(store, farm, lot, faulty=3, **ago(60))
    assert standing(store, lot) == (False, 210, [[1, 1, POSITIONS], [2, 1, POSITIONS]])
    assert "Sent back so far" not in " ".join(read(store, lot)["sentences"])
    part = send_back(store, farm, lot, stretches=(Stretch(1, 1, POSITIONS),))
    assert standing(store, lot) == (False, 105, [[2, 1, POSITIONS]])
    put_right(store, farm, part, 50)
    assert standing(store, lot) == (False, 105, [[2, 1, POSITIONS]])
    assert read(store, lot)["sentences"][1] == PART_SENT
    assert summary(store, farm)["verdict"] == "send_back"
    rest = send_back(store, farm, lot, stretches=(Stretch(2, 1, POSITIONS),))
    assert standing(store, lot) == (False, 0, []), "the crew knows of all of them now"
    put_right(store, farm, rest, 40)
    assert standing(store, lot) == (True, 0, [])
    assert read(store, lot)["sentences"][1].endswith(
        "a new check accepted them. The figures below are of before."
    )
    assert summary(store, farm)["verdict"] == "accepted_in_part"


def test_a_failed_recheck_is_put_right_by_a_return_made_anew_from_the_area(store, farm):
    """The failed recheck asks for a new return; made from the area it puts that lot right, and the first one too."""
    lot = draw(store, farm)
    check(store, farm, lot, faulty=3, **ago(60))
    first = area_return(store, farm, (1, 2))
    assert standing(store, lot) == (False, 0, [])
    go_over(store, farm, first, 50)
    again = draw(store, farm, None, return_id=first.id)
    check(store, farm, again, faulty=again.reject, **ago(40))
    assert standing(store, lot) == (False, 0, []), "the recheck asks for them"
    assert standing(store, again) == (False, 210, [[1, 1, POSITIONS], [2, 1, POSITIONS]])
    anew = area_return(store, farm, (1, 2))
    assert standing(store, again)[1] == 0
    put_right(store, farm, anew, 30)
    assert [standing(store, one)[0] for one in (lot, again)] == [True, True]
    assert summary(store, farm)["verdict"] == "accepted_in_part"


def test_a_return_from_before_the_lot_was_decided_puts_nothing_right(store, farm):
    """Its trees were gone over before the auditor found them faulty, or for another reason; the lot asks for its own."""
    lot = draw(store, farm)
    before = area_return(store, farm, (1, 2), now=NOW - timedelta(minutes=70))
    put_right(store, farm, before, 60)
    check(store, farm, lot, faulty=3, **ago(30))
    assert standing(store, lot)[:2] == (False, 210)
    assert summary(store, farm)["verdict"] == "send_back"


def test_trees_of_a_lot_that_were_unmarked_since_need_no_return(store, farm):
    mark = farm.mark(7, 1, 30)
    record(store, farm, mark)
    lot = draw(store, farm)
    check(store, farm, lot, faulty=3, **ago(60))
    recording.record_withdrawals(
        store, farm_id=farm.farm.id, withdrawals=[withdrawal(mark)], sent_at=NOW, now=NOW
    )
    assert standing(store, lot)[1] == 210
    put_right(store, farm, send_back(store, farm, lot), 50)
    assert standing(store, lot) == (True, 0, [])


def test_trees_of_a_return_are_not_drawn_until_a_lot_of_them_passes(store, farm):
    lot = draw(store, farm)
    check(store, farm, lot, faulty=3, **ago(30))
    asked = send_back(store, farm, lot)
    record(store, farm, *(farm.mark(row, return_id=asked.id, **ago(20)) for row in (1, 2)))
    again = draw(store, farm, return_id=asked.id)
    with pytest.raises(ConflictError, match="still waits for checks"):
        draw(store, farm, return_id=asked.id)
    check(store, farm, again, faulty=again.reject, **ago(10))
    with pytest.raises(ConflictError, match="not gone over again since"):
        draw(store, farm, return_id=asked.id)
    record(store, farm, *(farm.mark(row, return_id=asked.id) for row in (1, 2)))
    assert draw(store, farm, return_id=asked.id).return_id == asked.id


def test_a_lot_sent_back_is_not_drawn_again_before_its_trees_were_gone_over(store, farm):
    """Neither before any was, nor after one row of two: two draws of the same bad work pass twice as often as one."""
    lot = draw(store, farm)
    check(store, farm, lot, faulty=3, **ago(60))
    asked = send_back(store, farm, lot)
    with pytest.raises(ConflictError, match="not gone over again yet: 210"):
        draw(store, farm, return_id=asked.id)
    record(store, farm, farm.mark(1, return_id=asked.id, **ago(50)))
    with pytest.raises(ConflictError, match="not gone over again yet: 105"):
        draw(store, farm, return_id=asked.id)
    record(store, farm, farm.mark(2, return_id=asked.id, **ago(50)))
    again = draw(store, farm, return_id=asked.id)
    check(store, farm, again, faulty=again.reject, **ago(40))
    record(store, farm, farm.mark(1, return_id=asked.id, **ago(30)))
    with pytest.raises(ConflictError, match="not gone over again since"):
        draw(store, farm, return_id=asked.id)
    record(store, farm, farm.mark(2, return_id=asked.id, **ago(30)))
    assert draw(store, farm, return_id=asked.id).return_id == asked.id


def test_new_trees_that_clear_a_weak_area_put_no_lot_right_whose_trees_nobody_went_over(store, farm):
    """The area may be chance and is told as cleared; the lot was sent back all the same, and asks for its trees."""
    lot = draw(store, farm)
    check(store, farm, lot, faulty=3, **ago(60))
    area = area_return(store, farm, (1, 2))
    check(store, farm, draw(store, farm, return_id=area.id), **ago(40))
    states = [
        one["state"] for one in return_telling.farm_returns(store, farm.farm.id, language="en", now=NOW)
    ]
    assert states == ["confirmed"]
    assert standing(store, lot)[:2] == (False, 210)
    assert summary(store, farm)["verdict"] == "send_back"


def test_a_lot_sent_back_stays_sent_back_whatever_its_trees_are_like_after_the_return(store, farm):
    lot = draw(store, farm)
    check(store, farm, lot, faulty=3, **ago(30))
    asked = send_back(store, farm, lot)
    marks = [farm.mark(row, return_id=asked.id, **ago(20)) for row in (1, 2)]
    record(store, farm, *marks)
    check(store, farm, lot)
    told = read(store, lot)
    assert (told["verdict"], told["faulty"]) == ("send_back", 3)
    assert told["sentences"][-1].startswith("Checks left out: 13. ")
    assert told["sentences"][-1].endswith("what was entered first is taken as done first.")
    recording.record_withdrawals(
        store, farm_id=farm.farm.id, withdrawals=[withdrawal(one) for one in marks], sent_at=NOW, now=NOW
    )
    assert read(store, lot)["verdict"] == "accepted", "nothing was gone over: the auditor looked once more"


def test_nor_does_a_return_of_a_weak_area_let_a_lot_be_looked_at_until_it_passes(store, farm):
    """What the return was made from does not matter: the trees are other ones than those that the lot was sent back for."""
    lot = draw(store, farm)
    check(store, farm, lot, faulty=3, **ago(60))
    go_over(store, farm, area_return(store, farm, (1, 2), now=NOW - timedelta(minutes=50)), 40)
    check(store, farm, lot, **ago(30))
    told = read(store, lot)
    assert (told["verdict"], told["faulty"]) == ("send_back", 3)
    assert told["sentences"][-1].startswith("Checks left out: 13. ")
    assert memory(store, farm) == "normal"
    assert standing(store, lot)[0] is False


def test_first_looks_after_trees_were_gone_over_count_for_a_lot_that_still_waits(store, farm):
    """It would wait for ever: those trees are looked at as they are, and those found faulty before stay so."""
    lot = draw(store, farm)
    check(store, farm, lot, faulty=1, trees=4, **ago(60))
    go_over(store, farm, area_return(store, farm, (1, 2), now=NOW - timedelta(minutes=50)), 40)
    planned = [tree for tree in lot.trees if not tree.is_extra][4:]
    hand_in(store, farm, *(farm.check(one.row, one.position, lot_id=lot.id, **ago(30)) for one in planned))
    told = read(store, lot)
    assert (told["verdict"], told["checked"], told["faulty"]) == ("accepted", 13, 1)


def test_what_happened_on_one_day_is_told_of_a_return_in_its_order(store, farm):
    """New trees are looked at while the return waits, sent back, and gone over again before dinner."""
    check(store, farm, draw(store, farm))
    area = {"rows": [1, 1], "positions": [1, 60]}
    asked = NewReturn(new_id(), farm.blocks[0].id, farm.crews[0].id, TODAY, area=area)
    earlier = NOW - timedelta(minutes=50)
    made = returning.make_return(store, farm_id=farm.farm.id, asked=asked, now=earlier)
    new = NewLot(new_id(), wish(farm, None, return_id=made.id), 7)
    record(store, farm, farm.mark(1, 1, 20, return_id=made.id, **ago(45)))
    look = lot_drawing.draw_lot(store, farm_id=farm.farm.id, asked=new, now=NOW - timedelta(minutes=40))
    check(store, farm, look, faulty=look.reject, **ago(30))
    record(store, farm, farm.mark(1, 21, 60, return_id=made.id, **ago(20)))
    history = return_telling.return_json(store, made.id, language="en", now=NOW)["history"]
    assert [(one["what"], one["words"][-9:]) for one in history if one["what"] == "redone"] == [
        ("redone", "20 trees."), ("redone", "40 trees."),
    ]  # fmt: skip
    assert [one["what"] for one in history] == ["made", "redone", "drawn", "verdict", "redone"]
