"""Lots on both engines: drawn from what was pruned since the last one, drawn again from what is kept, judged by their plan alone."""

from datetime import timedelta

import pytest
from sqlalchemy import update

from lot_seasons import (
    ago,
    check,
    draw,
    farm_with_work,
    hand_in,
    memory,
    read,
    record,
    settle,
    summary,
    trees,
    wanting,
    wish,
)
from orchardmap.errors import ConflictError, InputError, NotAllowedError, UnknownError
from orchardmap.locale.dates import date_text
from orchardmap.model.lot import TwoPoints
from orchardmap.quality.lot_trees import redrawn
from orchardmap.quality.plan import sampling_plan
from orchardmap.store import audit
from orchardmap.store import lots as lot_store
from orchardmap.store.tables import seasons
from orchardmap.usecases import (
    counting,
    lot_drawing,
    lot_planning,
    lot_reading,
    planting,
    recording,
)
from orchardmap.usecases.lot_drawing import Canceller, NewLot
from orchardmap.usecases.lot_planning import LotWish
from orchardmap.usecases.planting import new_id
from small_farm import NOW, POSITIONS, TODAY, small_farm, withdrawal


@pytest.fixture(scope="module")
def store(shared_store):
    """One store of each engine for all tests here; each has a farm of its own in it."""
    return shared_store


@pytest.fixture
def farm(store):
    return farm_with_work(store)


def test_draw_is_kept_to_the_letter_and_redone_from_what_is_kept_alone(store, farm):
    counting.recount_row(
        store, block_id=farm.blocks[0].id, row=1, changes={"blanks": [5, 6], "pollinizers": [1]}, now=NOW
    )
    record(store, farm, farm.mark(5, 1, 50, crew=2))
    made = [
        draw(store, farm, 0, seed=7, extra=4),
        draw(store, farm, 1, seed=2**31 - 1),
        draw(store, farm, None),
    ]
    with store.read() as conn:
        kept = lot_store.lots_of(conn, farm.season.id)
    assert kept == made
    assert [lot.number for lot in kept] == [1, 2, 3]
    for lot in kept:
        assert redrawn(lot) == (lot.trees, lot.reserve)
        assert {(tree.row, tree.position) for tree in lot.trees} <= trees(lot)
    assert made[0].holes == ((1, 5), (1, 6))
    assert [tree.is_extra for tree in made[0].trees] == [False] * made[0].n + [True] * 4
    plan = sampling_plan(made[0].lot_trees, level="I", aql=4.0)
    assert (made[0].n, made[0].accept, made[0].reject) == (plan.n, plan.accept, plan.reject)


def test_a_crews_lot_holds_what_it_is_credited_with_and_a_blocks_lot_all_but_what_two_crews_claim(
    store, farm
):
    """What was settled for nobody is in the block's lot: nobody is waited for."""
    both = [farm.mark(5, 1, 9), farm.mark(5, 1, 9, crew=1)]
    record(store, farm, *both)
    settle(store, farm, 5, both, crew=None)
    of_a = draw(store, farm, 0)
    assert trees(of_a) == {(row, at) for row in (1, 2) for at in range(1, POSITIONS + 1)}
    whole = draw(store, farm, None)
    assert trees(whole) == {(3, at) for at in range(1, POSITIONS + 1)} | {(5, at) for at in range(1, 10)}
    assert (of_a.from_day, of_a.until_day) == (TODAY, TODAY)


def test_only_trees_pruned_since_the_last_lot_are_drawn_and_none_is_in_two(store, farm):
    first = draw(store, farm)
    with pytest.raises(InputError, match=r"crew in this block by that day \(210\) is in a lot already"):
        draw(store, farm)
    record(store, farm, farm.mark(5, 1, 60), farm.mark(1))
    second = draw(store, farm)
    assert trees(second) == {(5, at) for at in range(1, 61)}
    assert not trees(first) & trees(second)
    assert second.number == 2


def test_a_cancelled_lot_frees_its_trees_and_the_first_reason_stays(store, farm):
    first = draw(store, farm)
    for reason in ("drawn for the wrong crew", "another one"):
        lot_drawing.cancel_lot(store, first.id, reason=reason, now=NOW)
    again = draw(store, farm)
    assert (trees(again), again.number) == (trees(first), 2)
    told = read(store, first)
    assert (told["cancelled"], told["sentences"][0]) == (
        "drawn for the wrong crew",
        f"Cancelled on {date_text(TODAY, 'en')}: drawn for the wrong crew",
    )
    with store.read() as conn:
        noted = [one.what for one in audit.entries(conn) if one.subject == first.id]
    assert noted == ["lot_drawn", "lot_cancelled"]


def test_a_lot_that_was_looked_at_is_cancelled_by_a_manager_alone_and_the_list_tells_what_it_had_come_to(
    store, farm
):
    lot = draw(store, farm)
    check(store, farm, lot, trees=1, **ago(30))
    then, reason = NOW - timedelta(minutes=10), "drawn too early"
    with pytest.raises(NotAllowedError, match="looked at already"):
        lot_drawing.cancel_lot(store, lot.id, reason=reason, who=Canceller(answers_for_farm=False), now=then)
    assert read(store, lot)["cancelled"] is None
    check(store, farm, lot, faulty=3, **ago(20))
    lot_drawing.cancel_lot(store, lot.id, reason=reason, now=then)
    # a tablet that heard nothing of it goes on checking
    check(store, farm, lot)
    (told,) = lot_reading.farm_lots(store, farm.farm.id, language="en", now=NOW)["lots"]
    assert told["sentences"][:2] == [
        f"Cancelled on {date_text(TODAY, 'en')}: drawn too early",
        "Trees checked by then: 13 of 13, faulty ones: 3. It was sent back.",
    ]
    assert (told["verdict"], told["faulty"], memory(store, farm)) == ("send_back", 3, None)
    with store.read() as conn:
        noted = [one for one in audit.entries(conn) if one.what == "lot_cancelled" and one.subject == lot.id]
    assert [{name: one.detail[name] for name in ("verdict", "checked", "faulty")} for one in noted] == [
        {"verdict": "send_back", "checked": 13, "faulty": 3}
    ]


def test_a_lot_that_was_cancelled_while_its_checks_lay_on_a_tablet_says_so(store, farm):
    """An auditor may cancel a lot that nobody looked at; that it was looked at and found bad comes to light with the checks."""
    lot = draw(store, farm)
    then = NOW - timedelta(minutes=10)
    who = Canceller(answers_for_farm=False)
    lot_drawing.cancel_lot(store, lot.id, reason="rain", who=who, now=then)
    check(store, farm, lot, faulty=3, **ago(20))
    assert read(store, lot)["sentences"][1:] == [
        "Trees checked by then: 13 of 13, faulty ones: 3. It was sent back.",
        "Checks made before it was cancelled and handed in only afterwards: 13.",
    ]
    assert "13" in read(store, lot, "es")["sentences"][-1]


def test_a_lot_of_which_a_tree_could_not_be_judged_was_looked_at(store, farm):
    lot = draw(store, farm)
    one = lot.trees[0]
    hand_in(
        store,
        farm,
        farm.check(one.row, one.position, lot_id=lot.id, verdict=None, not_judged="unreachable"),
    )
    with pytest.raises(NotAllowedError, match="looked at already"):
        lot_drawing.cancel_lot(store, lot.id, reason="rain", who=Canceller(answers_for_farm=False), now=NOW)


def test_nothing_to_draw_is_said_with_what_to_do(store, farm):
    with pytest.raises(InputError, match=r"No tree is pruned by this crew.*trees count once they are marked"):
        draw(store, farm, 2)
    with pytest.raises(InputError, match=r"between the season's first day and today"):
        draw(store, farm, until_day=TODAY + timedelta(days=1))
    with pytest.raises(InputError, match=r"No tree is pruned by this crew in this block by that day"):
        draw(store, farm, until_day=TODAY - timedelta(days=1))
    with pytest.raises(UnknownError, match="no such crew"):
        other = small_farm(store, new_id())
        lot_planning.planned_lot(
            store, farm.farm.id, LotWish(farm.blocks[0].id, other.crews[0].id), language="en", now=NOW
        )
    with pytest.raises(UnknownError, match="no such block"):
        lot_planning.planned_lot(store, farm.farm.id, LotWish(other.blocks[0].id), language="en", now=NOW)


def test_work_of_an_earlier_day_makes_a_lot_of_its_own(store, farm):
    yesterday = TODAY - timedelta(days=1)
    record(store, farm, farm.mark(6, 1, 30, day=yesterday))
    lot = draw(store, farm, until_day=yesterday)
    assert trees(lot) == {(6, at) for at in range(1, 31)}
    assert (lot.from_day, lot.until_day) == (yesterday, yesterday)


def test_a_small_lot_is_checked_tree_by_tree_and_one_of_a_single_tree_too(store, farm):
    record(store, farm, farm.mark(7, 1, 1, crew=2))
    single = draw(store, farm, 2)
    assert (single.lot_trees, single.n, single.accept, single.reject) == (1, 1, 0, 1)
    check(store, farm, single)
    assert read(store, single)["sentences"][:2] == [
        "Accepted: 0 of 1 trees drawn were faulty, 0 may be.",
        "Faulty trees of all 1: 0. Every one was checked.",
    ]
    record(store, farm, farm.mark(8, 1, 4, crew=2))
    few = draw(store, farm, 2, plan=TwoPoints(0.01, 0.95, 0.02, 0.1), extra=9)
    assert (few.n, few.accept, few.reject) == (4, 0, 1)
    assert {(tree.row, tree.position) for tree in few.trees} == trees(few)
    assert "so every tree is checked" in read(store, few)["plan_words"]


def test_the_same_id_again_gives_the_lot_that_is_there_and_another_block_a_conflict(store, farm):
    made = draw(store, farm, seed=5)
    assert draw(store, farm, seed=6, lot_id=made.id) == made
    other = LotWish(farm.blocks[1].id)
    with pytest.raises(ConflictError, match="another lot has that id"):
        lot_drawing.draw_lot(store, farm_id=farm.farm.id, asked=NewLot(made.id, other, 5), now=NOW)


def test_plan_is_told_without_being_written_and_is_what_the_draw_then_takes(store, farm):
    asked = wish(farm, extra=3)
    told = lot_planning.planned_lot(store, farm.farm.id, asked, language="es", now=NOW)
    with store.read() as conn:
        assert lot_store.lots_of(conn, farm.season.id) == []
    made = draw(store, farm, extra=3)
    assert (told["n"], told["accept"], told["reject"]) == (made.n, made.accept, made.reject)
    assert (told["lot_trees"], told["rows"], told["extra"]) == (210, 2, 3)
    assert told["runs"] == [list(run) for run in made.eligible]
    assert told["code_letter"] == "E"
    assert told["plan_words"].startswith("Árboles por revisar: 13 de 210.")
    assert told["oc"][0] == [0.0, 1.0]
    assert told["severity_words"] == "Inspección normal."


def test_verdict_goes_by_the_plans_trees_alone(store, farm):
    """Neither extra trees, nor second looks, nor trees seen while walking, nor checks of another lot enter it."""
    lot = draw(store, farm, extra=5)
    check(store, farm, lot)
    before = read(store, lot)
    assert (before["checked"], before["faulty"], before["verdict"]) == (13, 0, "accepted")
    extra = [tree for tree in lot.trees if tree.is_extra]
    planned = [tree for tree in lot.trees if not tree.is_extra]
    other = planting.add_person(store, farm_id=farm.farm.id, name="Second", role="auditor")
    faulty = {"lot_id": lot.id, "verdict": "faulty"}
    hand_in(store, farm, *(farm.check(tree.row, tree.position, drawn=False, **faulty) for tree in extra))
    hand_in(
        store,
        farm,
        *(
            farm.check(tree.row, tree.position, second=True, auditor_id=other.id, **faulty)
            for tree in planned
        ),
        *(
            farm.check(tree.row, tree.position, drawn=False, **(faulty | {"lot_id": None}))
            for tree in planned
        ),
    )
    after = read(store, lot)
    figures = ("checked", "faulty", "meets", "verdict", "sentences", "interval", "two_stage")
    assert {name: after[name] for name in figures} == {name: before[name] for name in figures}
    assert [one["check"]["verdict"] for one in after["trees"] if one["is_extra"]] == ["faulty"] * 5
    assert after["agreement"]["trees"] == 13


def test_words_of_a_lot_tell_count_interval_and_what_is_left(store, farm):
    lot = draw(store, farm)
    assert read(store, lot)["sentences"] == [
        "No tree is checked yet. Trees to check: 13; faulty ones that may be: 1."
    ]
    check(store, farm, lot, trees=5, faulty=1)
    assert read(store, lot)["sentences"] == ["Trees still to check: 8 of 13. Faulty so far: 1; 1 may be."]
    assert read(store, lot)["interval"] is None
    check(store, farm, lot, faulty=1)
    told = read(store, lot)
    low, high = told["interval"]["lot_faulty"]
    assert told["sentences"][:2] == [
        "Accepted: 1 of 13 trees drawn was faulty, 1 may be.",
        f"Between {low} and {high} of the lot's 210 trees are faulty (95 in 100).",
    ]
    assert read(store, lot, "es")["sentences"][0] == (
        "Aceptado: de 13 árboles sorteados, 1 era defectuoso; se admiten 1."
    )


def test_a_lot_goes_back_as_soon_as_enough_are_faulty_and_no_interval_is_told_of_a_part(store, farm):
    lot = draw(store, farm)
    check(store, farm, lot, trees=5, faulty=2)
    told = read(store, lot)
    assert (told["verdict"], told["is_decided"], told["interval"], told["two_stage"]) == (
        "send_back", True, None, None,
    )  # fmt: skip
    assert told["sentences"][0] == "Sent back: 2 of 5 trees drawn were faulty, 1 may be."
    assert told["sentences"][1].startswith("Drawn trees that were not checked: 8.")


def test_trees_that_are_no_longer_pruned_are_told_and_the_draw_stays(store, farm):
    mark = farm.mark(9, 1, 40, crew=2)
    record(store, farm, mark)
    lot = draw(store, farm, 2)
    recording.record_withdrawals(
        store, farm_id=farm.farm.id, withdrawals=[withdrawal(mark)], sent_at=NOW, now=NOW
    )
    told = read(store, lot)
    assert told["sentences"][-1].startswith(
        "Trees of this lot that no longer stand as pruned by its crew: 40."
    )
    assert [tuple(one[name] for name in ("row", "position", "is_extra")) for one in told["trees"]] == [
        tuple(tree) for tree in lot.trees
    ]
    # whoever prunes them next does not have them judged twice, until the lot is cancelled
    record(store, farm, farm.mark(9, 1, 40, crew=2))
    with pytest.raises(InputError, match="in a lot already"):
        draw(store, farm, 2)
    assert len(read(store, lot)["sentences"]) == 1


def test_trees_that_two_crews_claim_are_in_no_lot_until_somebody_says_whose_they_are(store, farm):
    """Planned as a lot, "20 trees" of nobody would become every tree of the block."""
    to_settle = [{"block_id": farm.blocks[0].id, "trees": 20}]
    assert wanting(store, farm) == ([("K1", "Crew A", 210), ("K1", "Crew B", 105)], to_settle)
    lot = draw(store, farm, None)
    assert lot.lot_trees == 315
    assert wanting(store, farm) == ([], to_settle)
    with pytest.raises(InputError, match=r"in no lot: 20, and it is not settled who pruned them"):
        draw(store, farm, None)
    assert summary(store, farm)["uninspected"] == 20
    both = [farm.mark(5, 1, 9), farm.mark(5, 1, 9, crew=1)]
    record(store, farm, *both)
    settle(store, farm, 5, both, crew=None)
    assert wanting(store, farm) == ([("K1", "", 9)], to_settle)
    assert draw(store, farm, None).lot_trees == 9


def test_no_lot_is_drawn_in_a_season_that_is_closed(store, farm):
    with store.write() as conn:
        conn.execute(update(seasons).where(seasons.c.id == farm.season.id).values(closed=True))
    with pytest.raises(InputError, match="season is closed") as told:
        draw(store, farm)
    assert told.value.where == "season"
