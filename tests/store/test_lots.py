"""Lots on both engines: drawn from what was pruned since the last one, drawn again from what is kept, judged by their plan alone."""

from dataclasses import replace
from datetime import timedelta

import pytest
from sqlalchemy import update

from orchardmap.errors import ConflictError, InputError, NotAllowedError, UnknownError
from orchardmap.locale.dates import date_text
from orchardmap.model.brief import Draft
from orchardmap.model.lot import TablePlan, TwoPoints
from orchardmap.model.returns import Stretch
from orchardmap.model.work import StretchSettlement
from orchardmap.pruning.brief_texts import point_pictures
from orchardmap.quality.lot_trees import redrawn, trees_of
from orchardmap.quality.plan import sampling_plan
from orchardmap.store import audit, briefs
from orchardmap.store import lots as lot_store
from orchardmap.store.tables import seasons
from orchardmap.usecases import (
    brief_publishing,
    briefing,
    counting,
    farm_setting,
    glance,
    lot_drawing,
    lot_packs,
    lot_planning,
    lot_reading,
    packs,
    planting,
    recording,
    return_telling,
    returning,
    settling,
)
from orchardmap.usecases.briefing import BriefSubject, ReadyMade
from orchardmap.usecases.lot_drawing import Canceller, NewLot
from orchardmap.usecases.lot_planning import AskedTable, LotWish
from orchardmap.usecases.planting import new_id
from orchardmap.usecases.returning import NewReturn
from orchardmap.work.identity import content_hash
from small_farm import NOW, POSITIONS, TODAY, small_farm, withdrawal

TABLE = TablePlan("I", 4.0)


@pytest.fixture(scope="module")
def store(shared_store):
    """One store of each engine for all tests here; each has a farm of its own in it."""
    return shared_store


@pytest.fixture
def farm(store):
    """Rows 1 and 2 of the first block are pruned by crew A, row 3 by B, and both claim positions 1 to 20 of row 4."""
    made = small_farm(store, new_id())
    marks = [made.mark(1), made.mark(2), made.mark(3, crew=1)]
    record(store, made, *marks, made.mark(4, 1, 20), made.mark(4, 1, 20, crew=1))
    return made


def record(store, farm, *marks):
    recording.record_marks(store, farm_id=farm.farm.id, marks=marks, sent_at=NOW, now=NOW)


def settle(store, farm, row, marks, *, crew):
    """Say of a stretch that these marks claim which crew is credited; None for nobody."""
    first, last = marks[0].first, marks[0].last
    seen = frozenset(content_hash(mark) for mark in marks)
    crew_id = None if crew is None else farm.crews[crew].id
    said = StretchSettlement(new_id(), 0, farm.season.id, farm.blocks[0].id, row, first, last, crew_id, seen)
    settling.settle(store, farm_id=farm.farm.id, said=said, settled_by=None, now=NOW)


def wish(farm, crew=0, **changes):
    return LotWish(farm.blocks[0].id, None if crew is None else farm.crews[crew].id, **changes)


def draw(store, farm, crew=0, *, seed=1848, lot_id=None, **changes):
    asked = NewLot(lot_id or new_id(), wish(farm, crew, **changes), seed)
    return lot_drawing.draw_lot(store, farm_id=farm.farm.id, asked=asked, now=NOW)


def check(store, farm, lot, *, faulty=0, trees=None, **changes):
    """Check the plan's trees of a lot (or so many of them), the first ones faulty."""
    planned = [tree for tree in lot.trees if not tree.is_extra][:trees]
    found = [
        farm.check(tree.row, tree.position, lot_id=lot.id, verdict="faulty" if at < faulty else "meets")
        for at, tree in enumerate(planned)
    ]
    hand_in(store, farm, *(replace(one, **changes) for one in found))


def hand_in(store, farm, *checks):
    receipts = recording.record_checks(store, farm_id=farm.farm.id, checks=checks, sent_at=NOW, now=NOW)
    assert {one.outcome for one in receipts} <= {"taken"}


def read(store, lot, language="en"):
    return lot_reading.full_lot(store, lot.id, language=language, now=NOW)


def summary(store, farm, day=None):
    found = glance.overview(store, farm.farm.id, day=day, now=NOW)["blocks"]
    return next(one for one in found if one["id"] == farm.blocks[0].id)


def trees(lot):
    return set(trees_of(lot.eligible, lot.holes))


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


def memory(store, farm, crew=0):
    told = lot_reading.farm_lots(store, farm.farm.id, language="en", now=NOW)["memory"]
    return {one["crew_id"]: one["inspection"] for one in told}.get(farm.crews[crew].id)


def decided(store, farm, row, *, good):
    record(store, farm, farm.mark(row, 1, 60, crew=2))
    lot = draw(store, farm, 2)
    check(store, farm, lot, faulty=0 if good else lot.reject)
    return lot


def test_two_of_five_sent_back_tighten_the_crews_next_lot_and_no_other_crews(store, farm):
    for row, good in ((10, True), (11, False), (12, True)):
        assert decided(store, farm, row, good=good).plan == TABLE
    assert memory(store, farm, 2) == "normal"
    second = decided(store, farm, 13, good=False)
    assert memory(store, farm, 2) == "tightened"
    record(store, farm, farm.mark(14, 1, 60, crew=2))
    with pytest.raises(InputError, match="asks for tightened inspection"):
        draw(store, farm, 2, plan=AskedTable("I", 4.0, "normal"))
    assert draw(store, farm, 2).plan == replace(TABLE, severity="tightened")
    assert draw(store, farm, 0).plan == TABLE
    lot_drawing.cancel_lot(store, second.id, reason="wrong block", now=NOW)
    assert memory(store, farm, 2) == "normal"


def test_work_of_a_crew_under_tightened_inspection_is_in_no_milder_lot_of_its_block(store, farm):
    """Else whoever draws for the whole block gets around what became of the crew's last lots; blocks without it are not held to it."""
    for row in (11, 13):
        decided(store, farm, row, good=False)
    assert draw(store, farm, None).plan == TABLE, "crews 0 and 1 alone are in it"
    record(store, farm, farm.mark(14, 1, 60, crew=2), farm.mark(15))
    told = lot_planning.planned_lot(store, farm.farm.id, wish(farm, None), language="en", now=NOW)
    assert (told["severity"], told["severity_words"][:20]) == ("tightened", "Tightened inspection")
    with pytest.raises(InputError, match="asks for tightened inspection"):
        draw(store, farm, None, plan=AskedTable("I", 4.0, "normal"))
    assert draw(store, farm, None).plan == replace(TABLE, severity="tightened")


def test_plans_of_two_promises_have_no_severity_to_tell_and_do_not_get_around_one(store, farm):
    decided(store, farm, 10, good=False)
    decided(store, farm, 11, good=False)
    record(store, farm, farm.mark(14, 1, 60, crew=2))
    with pytest.raises(InputError, match="two promises cannot be tightened") as told:
        draw(store, farm, 2, plan=TwoPoints(0.05, 0.95, 0.2, 0.1))
    assert told.value.where == "plan.kind"
    said: dict[str, float | str] = {"check_kind": "two_points", "check_p2_percent": 20}
    farm_setting.save_settings(store, farm_id=farm.farm.id, changes=said, now=NOW)
    assert memory(store, farm, 2) is None
    assert draw(store, farm, 2).plan == TwoPoints(0.05, 0.95, 0.2, 0.1)


def test_lots_are_planned_by_the_farms_settings_unless_said_otherwise(store, farm):
    said: dict[str, float | str] = {
        "check_kind": "two_points",
        "check_p2_percent": 20,
        "check_extra_trees": 6,
    }
    farm_setting.save_settings(store, farm_id=farm.farm.id, changes=said, now=NOW)
    lot = draw(store, farm)
    assert (lot.plan, sum(tree.is_extra for tree in lot.trees)) == (TwoPoints(0.05, 0.95, 0.2, 0.1), 6)
    other = draw(store, farm, 1, plan=AskedTable("II", 2.5), extra=0)
    assert (other.plan, len(other.trees)) == (TablePlan("II", 2.5), other.n)
    assert "own plan" not in read(store, lot)["plan_words"]
    assert read(store, other)["plan_words"].endswith(
        "This is not the farm's own plan. That one says: A lot with 5\xa0% faulty trees passes 95 times in 100 at the least, one"
        " with 20\xa0% passes 10 times at the most."
    ), "a laxer plan by hand shows wherever the lot does"
    with pytest.raises(InputError, match="No plan of up to 10,000 trees") as told:
        farm_setting.save_settings(store, farm_id=farm.farm.id, changes={"check_p1_percent": 19.9}, now=NOW)
    assert told.value.where == "check_p2_percent"


def publish(store, farm):
    subject = BriefSubject(farm.season.id, block_id=farm.blocks[0].id)
    made = briefing.make_brief(
        store, farm_id=farm.farm.id, subject=subject, start=ReadyMade("tip_renewed"), by=None, now=NOW
    )
    brief_publishing.publish(store, farm_id=farm.farm.id, brief_id=made.id, revision=1, by=None, now=NOW)
    return made.id


def test_a_lot_keeps_its_brief_version_when_a_new_one_is_published_and_packs_carry_it(store, farm):
    brief = publish(store, farm)
    lot = draw(store, farm)
    (before,) = packs.packs(store, farm.farm.id, [farm.blocks[0].id], now=NOW)["blocks"]
    assert (before["lots"][0]["brief_version"], before["lots"][0]["brief"]) == (1, None)
    with store.read() as conn:
        first = briefs.draft(conn, brief).content
    dropped, *kept = first.points
    only_there = {point.picture for point in first.points} - {point.picture for point in kept}
    assert only_there == {dropped.picture}
    draft = Draft(replace(first, points=tuple(kept)), 2, NOW, None)
    brief_publishing.save_draft(store, farm_id=farm.farm.id, brief_id=brief, draft=draft)
    brief_publishing.publish(store, farm_id=farm.farm.id, brief_id=brief, revision=2, by=None, now=NOW)
    told = packs.packs(store, farm.farm.id, [farm.blocks[0].id], now=NOW)
    (after,) = told["blocks"]
    assert (after["brief"]["version"], after["lots"][0]["brief"]["version"]) == (2, 1)
    assert read(store, lot)["brief"]["version"] == 1
    assert set(told["pictures"]) > set(point_pictures([draft.content]))


def test_packs_take_open_lots_and_those_decided_lately_and_tell_which_are_cancelled(store, farm):
    """An auditor makes a second look on another day than the first one; two weeks later the trees are others."""
    record(store, farm, farm.mark(5, 1, 50, crew=2))
    open_lot, done, gone = draw(store, farm, 0, extra=2), draw(store, farm, 1), draw(store, farm, None)
    lot_drawing.cancel_lot(store, gone.id, reason="rain", now=NOW)
    check(store, farm, done)
    block = farm.blocks[0].id
    answer = lot_packs.block_lots(store, block, now=NOW)
    told = answer["lots"]
    assert [(one["id"], one["decided_on"]) for one in told] == [
        (open_lot.id, None),
        (done.id, TODAY.isoformat()),
    ]
    assert answer["cancelled"] == [{"id": gone.id, "number": gone.number}]
    (pack,) = packs.packs(store, farm.farm.id, [block], now=NOW)["blocks"]
    assert (pack["lots"], pack["lots_cancelled"]) == (told, answer["cancelled"])
    assert told[0]["trees"] == [list(tree) for tree in open_lot.trees]
    assert told[0]["reserve"] == [list(tree) for tree in open_lot.reserve]
    drawn = [(tree.row, tree.position) for tree in open_lot.trees]
    assert sorted(map(tuple, told[0]["walk"])) == sorted([*drawn, *open_lot.reserve])
    for days, ids in ((13, [open_lot.id, done.id]), (14, [open_lot.id])):
        later = lot_packs.block_lots(store, block, now=NOW + timedelta(days=days))
        assert [one["id"] for one in later["lots"]] == ids


def test_block_at_a_glance_goes_by_its_lots(store, farm):
    before = summary(store, farm)
    assert (before["lots_open"], before["uninspected"], before["verdict"]) == (0, 335, "too_few")
    one = draw(store, farm, 0)
    told = summary(store, farm)
    assert (told["lots_open"], told["uninspected"], told["verdict"], told["must_check"], told["may_fail"]) == (
        1, 125, "too_few", 13, 1,
    )  # fmt: skip
    check(store, farm, one, faulty=1)
    told = summary(store, farm)
    assert (told["verdict"], told["drawn"], told["drawn_faulty"], told["lots_open"]) == (
        "accepted_in_part",
        13,
        1,
        0,
    )
    other = draw(store, farm, 1)
    check(store, farm, other, faulty=other.reject)
    told = summary(store, farm)
    assert (told["verdict"], told["must_check"], told["may_fail"]) == ("send_back", 13 + other.n, None)
    assert summary(store, farm, TODAY - timedelta(days=1))["verdict"] == "not_begun"
    lot_drawing.cancel_lot(store, other.id, reason="wrong crew", now=NOW)
    assert summary(store, farm)["verdict"] == "accepted_in_part"


def test_a_block_is_accepted_only_as_far_as_it_was_judged_until_nine_trees_of_ten_were(store, farm):
    """210 of 335 pruned trees are judged, then 315 of them; after 200 more are pruned it is 315 of 535 again."""
    check(store, farm, draw(store, farm, 0))
    told = summary(store, farm)
    assert (told["verdict"], told["pruned"], told["uninspected"]) == ("accepted_in_part", 335, 125)
    overview = glance.overview(store, farm.farm.id, day=None, now=NOW)
    assert overview["figures"]["lots"] == {"accepted": 0, "accepted_in_part": 1, "send_back": 0, "too_few": 0}
    check(store, farm, draw(store, farm, 1))
    assert (summary(store, farm)["verdict"], summary(store, farm)["uninspected"]) == ("accepted", 20)
    record(store, farm, farm.mark(7), farm.mark(8, 1, 95))
    told = summary(store, farm)
    assert (told["verdict"], told["pruned"], told["uninspected"]) == ("accepted_in_part", 535, 220)
    lot = draw(store, farm, 0)
    assert summary(store, farm)["verdict"] == "too_few"
    check(store, farm, lot, faulty=lot.reject)
    assert summary(store, farm)["verdict"] == "send_back"


def send_back(store, farm, lot, **changes):
    asked = NewReturn(
        new_id(), farm.blocks[0].id, farm.crews[0].id, TODAY + timedelta(days=3), lot_id=lot.id, **changes
    )
    return returning.make_return(store, farm_id=farm.farm.id, asked=asked, now=NOW)


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


def wanting(store, farm):
    told = lot_reading.farm_lots(store, farm.farm.id, language="en", now=NOW)
    return [(one["block_code"], one["crew"], one["trees"]) for one in told["wanting"]], told["to_settle"]


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


def test_list_tells_what_is_in_no_lot_by_block_and_crew(store, farm):
    draw(store, farm, 1)
    assert wanting(store, farm)[0] == [("K1", "Crew A", 210)]
    told = lot_reading.farm_lots(store, farm.farm.id, language="en", now=NOW)
    assert [(one["number"], one["block_code"], one["crew"]) for one in told["lots"]] == [(1, "K1", "Crew B")]
    assert "oc" not in told["lots"][0]


def test_a_block_without_lots_is_held_to_the_farms_own_plan(store, farm):
    assert summary(store, farm)["must_check"] == sampling_plan(335, level="I", aql=4.0).n
    farm_setting.save_settings(store, farm_id=farm.farm.id, changes={"check_level": "III"}, now=NOW)
    told = summary(store, farm)
    plan = sampling_plan(335, level="III", aql=4.0)
    assert (told["must_check"], told["may_fail"]) == (plan.n, plan.accept)


def test_lots_of_a_season_gone_by_are_told_as_they_ended(store, farm):
    lot = draw(store, farm)
    check(store, farm, lot, faulty=1)
    planting.add_season(
        store,
        farm_id=farm.farm.id,
        name="2026/27",
        opens_on=TODAY + timedelta(days=200),
        must_finish_on=TODAY + timedelta(days=300),
    )
    later = NOW + timedelta(days=250)
    assert lot_reading.farm_lots(store, farm.farm.id, language="en", now=later)["lots"] == []
    told = lot_reading.full_lot(store, lot.id, language="en", now=later)
    assert (told["verdict"], told["faulty"]) == ("accepted", 1)


def test_checks_of_a_lot_that_was_taken_back_judge_its_block_no_more(store, farm):
    lot = draw(store, farm, None)
    check(store, farm, lot, faulty=lot.reject)
    assert summary(store, farm)["verdict"] == "send_back"
    lot_drawing.cancel_lot(store, lot.id, reason="wrong block", now=NOW)
    told = summary(store, farm)
    assert (told["drawn"], told["drawn_faulty"], told["verdict"]) == (0, 0, "too_few")


def ago(minutes):
    return {"device_at": NOW - timedelta(minutes=minutes)}


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


def go_over(store, farm, asked, minutes):
    """Go over all trees of a return so many minutes ago."""
    marks = (
        farm.mark(one.row, one.first, one.last, return_id=asked.id, **ago(minutes)) for one in asked.stretches
    )
    record(store, farm, *marks)


def put_right(store, farm, asked, minutes):
    """Go over all trees of a return, and have them looked at and found good."""
    go_over(store, farm, asked, minutes)
    check(store, farm, draw(store, farm, None, return_id=asked.id), **ago(minutes - 1))


def standing(store, lot):
    told = read(store, lot)
    return told["put_right"], told["not_sent_back"], told["rest"]


PART_SENT = "Sent back so far: 105 of 210 trees. The others wait: make a return of them too, or a manager cancels the lot if they may stay as they are."  # fmt: skip


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


def test_faulty_trees_that_were_gone_over_since_are_told_apart_from_those_that_stand(store, farm):
    """They leave the faulty trees of block and farm with the mark that goes over them; the verdict waits for the recheck."""
    lot = draw(store, farm)
    check(store, farm, lot, faulty=3, **ago(60))
    figures = (
        "checked",
        "meets",
        "faulty",
        "gone_over",
        "drawn",
        "drawn_faulty",
        "faulty_gone_over",
        "verdict",
    )

    def told():
        return [summary(store, farm)[name] for name in figures]

    assert told() == [13, 10, 3, 0, 13, 3, 0, "send_back"]
    asked = send_back(store, farm, lot)
    go_over(store, farm, asked, 50)
    assert told() == [13, 0, 0, 13, 13, 0, 3, "send_back"]
    again = draw(store, farm, None, return_id=asked.id)
    check(store, farm, again, faulty=1, **ago(40))
    seen, drawn = told(), {(tree.row, tree.position) for one in (lot, again) for tree in one.trees}
    assert seen[4:] == [13 + again.n, 1, 3, "accepted_in_part"]
    assert seen[:4] == [len(drawn), again.n - 1, 1, len(drawn) - again.n]
    farm_figures = glance.overview(store, farm.farm.id, day=None, now=NOW)["figures"]
    assert [farm_figures[name] for name in figures[:-1]] == seen[:-1]


def test_a_block_without_lots_is_judged_by_what_was_found_whatever_was_gone_over_since(store, farm):
    hand_in(
        store,
        farm,
        *(farm.check(1, at, verdict="faulty", drawn=True, **ago(60)) for at in range(1, 8)),
    )
    before = summary(store, farm)
    assert (before["verdict"], before["drawn_faulty"]) == ("send_back", 7)
    go_over(store, farm, area_return(store, farm, (1, 1)), 50)
    after = summary(store, farm)
    assert (after["verdict"], after["drawn_faulty"], after["faulty_gone_over"]) == ("send_back", 0, 7)


def area_return(store, farm, rows, *, now=NOW):
    """Send back whole rows as a weak area, without naming a lot."""
    area = {"rows": list(rows), "positions": [1, POSITIONS]}
    asked = NewReturn(new_id(), farm.blocks[0].id, farm.crews[0].id, TODAY, area=area)
    return returning.make_return(store, farm_id=farm.farm.id, asked=asked, now=now)


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


def test_a_faulty_tree_that_is_judged_anew_is_told(store, farm):
    """The last look counts, whoever made it and in whatever order the records came; the page says how many verdicts it changed."""
    lot = draw(store, farm)
    check(store, farm, lot, faulty=2, trees=2)
    check(store, farm, lot, faulty=3, **ago(60))
    told = read(store, lot)
    assert (told["verdict"], told["faulty"]) == ("send_back", 3)
    assert not any("judged anew" in one for one in told["sentences"])
    check(store, farm, lot, trees=3, device_at=NOW + timedelta(minutes=1))
    told = read(store, lot)
    assert (told["verdict"], told["faulty"]) == ("accepted", 0)
    assert told["sentences"][-1] == (
        "Trees found faulty at first and judged anew since as not faulty: 3. The last look at a tree counts."
    )
    assert "{" not in " ".join(read(store, lot, "es")["sentences"])


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


def test_no_lot_is_drawn_in_a_season_that_is_closed(store, farm):
    with store.write() as conn:
        conn.execute(update(seasons).where(seasons.c.id == farm.season.id).values(closed=True))
    with pytest.raises(InputError, match="season is closed") as told:
        draw(store, farm)
    assert told.value.where == "season"


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
