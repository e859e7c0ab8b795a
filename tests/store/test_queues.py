"""Queues of crews on both engines: kept whole with a revision, told to tablets and in the audit log, and free of what is done."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from orchardmap.errors import ConflictError, InputError, UnknownError
from orchardmap.model.calendar import CrewStrength
from orchardmap.model.queue import BlockTerms, Queues
from orchardmap.model.work import CrewDay
from orchardmap.store import audit, log
from orchardmap.usecases import closing, giving_out, glance, planting, queue_board, recording, working_time
from orchardmap.usecases.crew_days import record_crew_days
from orchardmap.usecases.planting import new_id
from small_farm import NOW, ROWS, TODAY, small_farm, withdrawal


@pytest.fixture
def farm(shared_store):
    return small_farm(shared_store, new_id())


def give(store, farm, by_crew, *, open_=(), revision=0, own_first=True):
    wanted = Queues(revision, by_crew, tuple(open_), own_first)
    return giving_out.save_queues(store, farm_id=farm.farm.id, wanted=wanted, now=NOW)


def board(store, farm):
    return queue_board.read_queues(store, farm.farm.id, now=NOW)


def places(store, farm):
    told = glance.overview(store, farm.farm.id, day=None, now=NOW)
    return {block["id"]: block["queue"] for block in told["blocks"]}


def record(store, farm, *marks):
    recording.record_marks(store, farm_id=farm.farm.id, marks=marks, sent_at=NOW, now=NOW)


def prune_all(store, farm, block=0, crew=0):
    """Every row of a block; returns the marks."""
    marks = [farm.mark(row, crew=crew, block_id=farm.blocks[block].id) for row in range(1, ROWS + 1)]
    record(store, farm, *marks)
    return marks


def noted(store, farm, what):
    with store.read() as conn:
        found = list(audit.entries(conn))
    return [dict(one.detail) for one in found if one.what == what and one.farm_id == farm.farm.id]


def told(store, farm, kind):
    with store.read() as conn:
        found = log.changes_after(conn, farm.farm.id, 0, limit=1000)
    return [(one.subject_id, one.block_id) for one in found if one.kind == kind]


def test_before_anything_was_given_out_all_blocks_with_work_are_nobody_s(shared_store, farm):
    found = board(shared_store, farm)
    assert found["revision"] == 0
    assert found["own_first"] is True
    assert found["queues"] == [{"crew_id": crew.id, "blocks": []} for crew in farm.crews]
    assert found["open"] == [block.id for block in farm.blocks]
    assert set(places(shared_store, farm).values()) == {None}


def test_queues_are_kept_in_order_and_told_to_tablets_and_the_audit_log(shared_store, farm):
    one, two = (block.id for block in farm.blocks)
    crew = farm.crews[1].id
    saved = give(shared_store, farm, {crew: (two, one)})
    assert saved.revision == 1
    found = board(shared_store, farm)
    assert {q["crew_id"]: q["blocks"] for q in found["queues"]}[crew] == [two, one]
    assert found["open"] == []
    assert places(shared_store, farm) == {
        two: {"crew_id": crew, "place": 1},
        one: {"crew_id": crew, "place": 2},
    }
    assert told(shared_store, farm, "queues") == [(farm.season.id, None)]
    assert noted(shared_store, farm, "queues_saved") == [{"revision": 1, "moved": 2, "own_first": True}]


def test_whoever_was_slower_overwrites_nothing(shared_store, farm):
    one, two = (block.id for block in farm.blocks)
    give(shared_store, farm, {farm.crews[0].id: (one,)})
    with pytest.raises(ConflictError, match="meanwhile"):
        give(shared_store, farm, {farm.crews[1].id: (one, two)})
    found = board(shared_store, farm)
    assert found["revision"] == 1
    assert found["queues"][0]["blocks"] == [one]
    assert len(told(shared_store, farm, "queues")) == 1
    give(shared_store, farm, {farm.crews[1].id: (one, two)}, revision=1)
    assert board(shared_store, farm)["queues"][1]["blocks"] == [one, two]


def test_a_block_that_is_done_leaves_its_queue_by_itself_and_comes_back_to_its_place_when_a_mark_is_taken_back(
    shared_store, farm
):
    one, two = (block.id for block in farm.blocks)
    crew = farm.crews[0].id
    give(shared_store, farm, {crew: (one, two)})
    marks = prune_all(shared_store, farm)
    found = board(shared_store, farm)
    assert found["queues"][0]["blocks"] == [two]
    assert one not in found["blocks"]
    assert places(shared_store, farm) == {one: None, two: {"crew_id": crew, "place": 1}}
    assert found["revision"] == 1  # reading saves nothing
    recording.record_withdrawals(
        shared_store, farm_id=farm.farm.id, withdrawals=[withdrawal(marks[0])], sent_at=NOW, now=NOW
    )
    assert board(shared_store, farm)["queues"][0]["blocks"] == [one, two]


def test_a_farm_that_wants_no_own_blocks_first_tells_tablets_no_places(shared_store, farm):
    one, two = (block.id for block in farm.blocks)
    give(shared_store, farm, {farm.crews[0].id: (one, two)}, own_first=False)
    assert places(shared_store, farm) == {one: None, two: None}
    assert board(shared_store, farm)["queues"][0]["blocks"] == [one, two]


def test_blocks_that_nobody_named_come_after_those_that_are_nobody_s_in_order(shared_store, farm):
    one, two = (block.id for block in farm.blocks)
    give(shared_store, farm, {}, open_=(two,))
    assert board(shared_store, farm)["open"] == [two, one]


def test_queues_of_another_season_are_another_s(shared_store, farm):
    one, two = (block.id for block in farm.blocks)
    give(shared_store, farm, {farm.crews[0].id: (one, two)})
    planting.add_season(
        shared_store, farm_id=farm.farm.id, name="next", opens_on=TODAY, must_finish_on=TODAY + timedelta(9)
    )
    found = board(shared_store, farm)
    assert found["revision"] == 0
    assert found["open"] == [one, two]


@pytest.mark.parametrize("what", ["block", "crew", "twice"])
def test_what_is_not_the_farm_s_or_is_named_twice_leaves_all_as_it_was(shared_store, farm, what):
    other = small_farm(shared_store, new_id())
    one, crew = farm.blocks[0].id, farm.crews[0].id
    by_crew, kind = {
        "block": ({crew: (one, other.blocks[0].id)}, UnknownError),
        "crew": ({other.crews[0].id: (one,)}, UnknownError),
        "twice": ({crew: (one,), farm.crews[1].id: (one,)}, InputError),
    }[what]
    with pytest.raises(kind):
        give(shared_store, farm, by_crew)
    assert board(shared_store, farm)["revision"] == 0
    assert told(shared_store, farm, "queues") == []


def test_a_block_s_own_day_is_kept_told_and_noted_and_the_same_again_changes_nothing(shared_store, farm):
    one = farm.blocks[0].id
    terms = BlockTerms(TODAY + timedelta(20), platform_fits=False)
    for _ in range(2):
        giving_out.set_terms(shared_store, block_id=one, terms=terms, now=NOW)
    found = board(shared_store, farm)["blocks"][one]
    assert found["own_must_finish_on"] == found["must_finish_on"] == "2026-02-09"
    assert found["platform_fits"] is False
    assert told(shared_store, farm, "terms") == [(one, one)]
    assert noted(shared_store, farm, "block_terms_set") == [
        {"must_finish_on": "2026-02-09", "platform_fits": False}
    ]
    giving_out.set_terms(shared_store, block_id=one, terms=BlockTerms(), now=NOW)
    found = board(shared_store, farm)["blocks"][one]
    assert (found["own_must_finish_on"], found["must_finish_on"]) == (None, "2026-03-11")


def test_a_day_outside_the_season_or_after_its_end_is_refused(shared_store, farm):
    for day in (farm.season.must_finish_on + timedelta(1), farm.season.opens_on - timedelta(1)):
        with pytest.raises(InputError) as refused:
            giving_out.set_terms(shared_store, block_id=farm.blocks[0].id, terms=BlockTerms(day), now=NOW)
        assert refused.value.where == "must_finish_on"
    assert told(shared_store, farm, "terms") == []


def test_a_proposal_leaves_a_block_with_the_crew_that_prunes_it_and_stores_nothing(shared_store, farm):
    record(shared_store, farm, farm.mark(1, crew=2), farm.mark(2, crew=0, day=TODAY - timedelta(3)))
    one, two = (block.id for block in farm.blocks)
    found = queue_board.proposed_queues(shared_store, farm.farm.id, language="en", now=NOW)
    given_to = {block: queue["crew_id"] for queue in found["queues"] for block in queue["blocks"]}
    assert given_to[one] == farm.crews[2].id
    assert given_to[two] != farm.crews[2].id
    assert found["words"][one].startswith("Crew C: it prunes there already")
    assert found["reasons"][one][0] == {"code": "goes_on", "values": {}}
    assert found["open"] == []
    assert board(shared_store, farm)["revision"] == found["revision"] == 0
    assert told(shared_store, farm, "queues") == []
    assert board(shared_store, farm)["blocks"][one]["worked"] == {
        "crew_id": farm.crews[2].id,
        "day": TODAY.isoformat(),
    }


def test_a_block_that_is_closed_now_comes_first_nowhere_and_says_until_when(shared_store, farm):
    """From this moment on: the morning's noon, by which other days are judged, was open."""
    one, two = (block.id for block in farm.blocks)
    span = NOW, datetime(2026, 1, 23, 18, 0, tzinfo=UTC)
    closing.close_block(shared_store, block_id=one, span=span, reason="felling", now=NOW)
    found = queue_board.proposed_queues(shared_store, farm.farm.id, language="en", now=NOW)
    assert [queue["blocks"][0] for queue in found["queues"] if queue["blocks"]] == [two]
    assert one in [*found["open"], *(block for queue in found["queues"] for block in queue["blocks"][1:])]
    assert "closed until 23 January 2026" in found["words"][one]
    assert board(shared_store, farm)["blocks"][one]["closed"] == [["2026-01-20", "2026-01-23"]], "told once"


def test_without_a_season_there_is_nothing_to_give_out(shared_store):
    made = planting.create_farm(shared_store, name=new_id(), time_zone="UTC", now=NOW)
    with pytest.raises(UnknownError, match="no season"):
        queue_board.read_queues(shared_store, made.id, now=NOW)
    with pytest.raises(UnknownError, match="no season"):
        giving_out.save_queues(shared_store, farm_id=made.id, wanted=Queues(), now=NOW)


def test_paces_of_crews_come_from_their_days_and_a_person_s_day_makes_a_crew(shared_store, farm):
    """Crew A prunes 25 rows in a day of 5 people and 8 hours: 2,625 trees in 40 hours, more than anybody expected."""
    prune_all(shared_store, farm)
    day = CrewDay(new_id(), farm.season.id, farm.crews[0].id, TODAY, 5, 8.0, "ladder", None, "tablet", NOW)
    found = {one["crew_id"]: one for one in board(shared_store, farm)["crews"]}
    assert found[farm.crews[0].id]["people"] == 1
    days = [day, replace(day, id=new_id(), crew_id=farm.crews[1].id, people=3)]
    record_crew_days(shared_store, farm_id=farm.farm.id, crew_days=days, sent_at=NOW, now=NOW)
    found = {one["crew_id"]: one for one in board(shared_store, farm)["crews"]}
    assert [found[crew.id]["people"] for crew in farm.crews] == [5, 3, 4]
    # away this week it comes back with its three; away to the end it has nobody
    for last, people in ((TODAY + timedelta(3), 3), (farm.season.must_finish_on, 0)):
        away = CrewStrength(farm.crews[1].id, TODAY, last, 0)
        working_time.save_strengths(shared_store, farm_id=farm.farm.id, strengths=[away], now=NOW)
        now = {one["crew_id"]: one["people"] for one in board(shared_store, farm)["crews"]}
        assert now[farm.crews[1].id] == people
    working_time.save_strengths(shared_store, farm_id=farm.farm.id, strengths=[], now=NOW)
    paces = [found[crew.id]["paces"]["tip"] for crew in farm.crews]
    assert paces[0] > paces[1] == paces[2] > 0
