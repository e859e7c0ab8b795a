"""Settlements on both engines: what a manager says holds until a record comes that the manager has not seen."""

from dataclasses import replace
from datetime import timedelta

import pytest

from orchardmap.errors import ConflictError, InputError, UnknownError
from orchardmap.model.people import Sender
from orchardmap.model.work import CrewDay, RecordSettlement, StretchSettlement
from orchardmap.store import log, states
from orchardmap.usecases import (
    blocks,
    folding,
    glance,
    history,
    matters,
    packs,
    planting,
    recording,
    settling,
)
from orchardmap.usecases.crew_days import crew_days_of, record_crew_days
from orchardmap.usecases.planting import new_id
from orchardmap.work.identity import content_hash
from small_farm import NOW, POSITIONS, TODAY, small_farm, withdrawal

NOBODY = "00000000-0000-7000-8000-000000000000"


def record(store, farm, *marks, **more):
    return recording.record_marks(store, farm_id=farm.farm.id, marks=marks, sent_at=NOW, now=NOW, **more)


def take_back(store, farm, mark, sender=None):
    more = {"sender": sender} if sender else {}
    found = [withdrawal(mark)]
    return recording.record_withdrawals(
        store, farm_id=farm.farm.id, withdrawals=found, sent_at=NOW, now=NOW, **more
    )


def stretch(farm, seen, first=41, last=50, *, crew=1, row=1, **changes):
    made = StretchSettlement(
        new_id(), 0, farm.season.id, farm.blocks[0].id, row, first, last,
        None if crew is None else farm.crews[crew].id, frozenset(content_hash(mark) for mark in seen),
    )  # fmt: skip
    return replace(made, **changes)


def word(record_, *versions, kind="mark", count=None):
    """A manager's word on a record: `count` is the version that counts, all of `versions` were seen."""
    seen = frozenset(content_hash(one) for one in versions or (record_,))
    return RecordSettlement(
        new_id(), 0, kind, record_.id, None if count is None else content_hash(count), seen
    )


def settle(store, farm, said):
    return settling.settle(store, farm_id=farm.farm.id, said=said, settled_by=None, now=NOW)


def runs(store, farm, row=1):
    with store.read() as conn:
        found = {s.row: s for s in states.row_states(conn, farm.season.id)}
    letter = {crew.id: "ABC"[i] for i, crew in enumerate(farm.crews)} | {None: "-"}
    state = found.get(row)
    return [f"{r.first}-{r.last} {letter[r.crew_id]} {r.status}" for r in state.runs] if state else []


def waiting(store, farm):
    return matters.matters(store, farm.farm.id, now=NOW)


@pytest.fixture
def farm(store):
    """The small farm; after every test its stored states must be what the log says."""
    made = small_farm(store)
    yield made
    assert folding.rebuild(store, made.farm.id, write=False) == []


@pytest.fixture
def pair(store, farm):
    """Two crews that both claim 41 to 50 of row 1."""
    marks = farm.mark(1, 1, 50), farm.mark(1, 41, 105, crew=1)
    record(store, farm, *marks)
    return marks


def test_settled_stretch_is_credited_and_a_later_mark_opens_it_again(store, farm, pair):
    assert runs(store, farm) == ["1-40 A done", "41-50 - contested", "51-105 B done"]
    told = settle(store, farm, stretch(farm, pair))
    assert (told.number, told.is_new) == (1, True)
    assert runs(store, farm) == ["1-40 A done", "41-50 B settled", "51-105 B done"]
    assert waiting(store, farm)["overlaps"] == []
    figures = glance.overview(store, farm.farm.id, day=None, now=NOW)["figures"]
    assert (figures["pruned"], figures["overlap_trees"], figures["rows_done"]) == (POSITIONS, 0, 1)
    late = farm.mark(1, 45, 48, crew=1)  # even one of the crew that was credited
    record(store, farm, late)
    assert runs(store, farm) == [
        "1-40 A done", "41-44 B settled", "45-48 - reopened", "49-50 B settled", "51-105 B done",
    ]  # fmt: skip
    settle(store, farm, stretch(farm, (*pair, late), 45, 48, crew=0))
    assert runs(store, farm)[2] == "45-48 A settled"


def test_split_nobody_and_the_later_word(store, farm, pair):
    settle(store, farm, stretch(farm, pair, 41, 45, crew=0))
    settle(store, farm, stretch(farm, pair, 46, 50, crew=None))
    assert runs(store, farm)[1:3] == ["41-45 A settled", "46-50 - settled"]
    progress = history.progress(store, farm.farm.id, day=None, now=NOW)
    credited = [crew["trees"] for crew in progress["crews"]]
    assert (credited, progress["held"], progress["credited_to_nobody"]) == ([45, 55, 0], 0, 5)
    told = blocks.block_state(store, farm.blocks[0].id, day=None, now=NOW)["runs"]
    assert [1, 46, 50, 1, -1] in told
    assert all(run[3] == 1 for run in told)
    settle(store, farm, stretch(farm, pair, 41, 50, crew=2))
    assert runs(store, farm) == ["1-40 A done", "41-50 C settled", "51-105 B done"]


def test_numbers_are_the_farms_own_order_and_every_settlement_is_a_change(store, farm, pair):
    begin = history.cursor(store, farm.farm.id)
    said = [stretch(farm, pair, at, at) for at in (41, 42, 43)]
    assert [settle(store, farm, one).number for one in said] == [1, 2, 3]
    found = history.changes(store, farm.farm.id, after=begin, limit=10)["changes"]
    assert [(c["kind"], c["subject_id"], c["block_id"], c["row"]) for c in found] == [
        ("settlement", one.id, farm.blocks[0].id, 1) for one in said
    ]
    other = small_farm(store, "Next Door")
    marks = other.mark(), other.mark(crew=1)
    record(store, other, *marks)
    assert settle(store, other, stretch(other, marks)).number == 1


def test_same_settlement_again_changes_nothing_and_other_content_is_refused(store, farm, pair):
    said = stretch(farm, pair)
    first, again = settle(store, farm, said), settle(store, farm, said)
    assert (again.number, again.cursor, again.is_new) == (first.number, first.cursor, False)
    with pytest.raises(ConflictError):
        settle(store, farm, replace(said, credited_crew_id=farm.crews[0].id))
    assert runs(store, farm)[1] == "41-50 B settled"


def test_what_cannot_be_settled_is_refused_and_changes_nothing(store, farm, pair):
    other = small_farm(store, "Next Door")
    begin = history.cursor(store, farm.farm.id)
    for wrong, error in (
        (stretch(farm, pair, season_id=other.season.id), UnknownError),
        (stretch(farm, pair, block_id=other.blocks[0].id), UnknownError),
        (stretch(farm, pair, row=26), UnknownError),
        (stretch(farm, pair, credited_crew_id=other.crews[0].id), UnknownError),
        (stretch(farm, pair, 41, 106), InputError),
        (stretch(farm, pair, 50, 41), InputError),
        (stretch(farm, pair, 0, 41), InputError),
        (stretch(farm, pair, row=2), InputError),
        (word(farm.mark()), UnknownError),
        (word(pair[0], count=pair[0]), InputError),
    ):
        with pytest.raises(error):
            settle(store, farm, wrong)
    assert history.cursor(store, farm.farm.id) == begin


def test_matters_name_the_stretch_its_crews_marks_and_earlier_words(store, farm, pair):
    planting.count_row(store, block_id=farm.blocks[0].id, row=1, blanks=(45,))
    (found,) = waiting(store, farm)["overlaps"]
    assert (found["row"], found["first"], found["last"], found["trees"]) == (1, 41, 50, 9)
    assert [crew["name"] for crew in found["crews"]] == ["Crew A", "Crew B"]
    assert {m["id"] for m in found["marks"]} == {mark.id for mark in pair}
    assert found["status"] == "contested"
    assert found["settlements"] == []
    record(store, farm, farm.mark(2, 1, 5), farm.mark(2, 1, 5, crew=2))
    settle(store, farm, stretch(farm, pair, 41, 47, note="talked to both"))
    record(store, farm, farm.mark(1, 41, 42, crew=2))
    first, *others = waiting(store, farm)["overlaps"]
    assert (first["status"], first["first"], first["last"]) == ("reopened", 41, 42)
    assert [s["note"] for s in first["settlements"]] == ["talked to both"]
    assert [(o["row"], o["first"], o["last"], o["status"]) for o in others] == [
        (1, 48, 50, "contested"), (2, 1, 5, "contested"),
    ]  # fmt: skip


def test_overlap_on_blanks_alone_is_no_matter(store, farm):
    planting.count_row(store, block_id=farm.blocks[0].id, row=1, blanks=(10,))
    record(store, farm, farm.mark(1, 1, 10), farm.mark(1, 10, 20, crew=1))
    assert waiting(store, farm)["overlaps"] == []


def test_another_crews_tablet_takes_no_mark_back_and_its_own_does(store, farm):
    mark = farm.mark(1, 1, 9)
    foreign, own = Sender(new_id(), farm.crews[1].id), Sender(new_id(), farm.crews[0].id)
    take_back(store, farm, mark, foreign)  # before the mark
    record(store, farm, mark, sender=own)
    assert runs(store, farm) == ["1-9 A done"]
    take_back(store, farm, mark, foreign)
    assert runs(store, farm) == ["1-9 A done"]
    take_back(store, farm, mark, own)
    assert runs(store, farm) == []
    other = farm.mark(2, 1, 9)
    record(store, farm, other)
    take_back(store, farm, other, Sender(new_id(), None))
    assert runs(store, farm, 2) == []


def test_mark_set_aside_counts_once_let_and_another_version_stops_it_again(store, farm):
    early = farm.mark(1, 1, 9, day=farm.season.opens_on - timedelta(days=1))
    assert record(store, farm, early)[0].outcome == "set_aside"
    (found,) = waiting(store, farm)["set_aside"]
    assert (found["kind"], found["id"], found["status"]) == ("mark", early.id, "waiting")
    (version,) = found["versions"]
    assert (version["reason_code"], version["can_count"], version["row"]) == ("before_season", True, 1)
    assert version["content_hash"] == content_hash(early)
    block = glance.overview(store, farm.farm.id, day=None, now=NOW)["blocks"][0]
    assert block["set_aside"] == 1
    settle(store, farm, word(early, count=early))
    assert runs(store, farm) == ["1-9 A done"]
    assert waiting(store, farm)["set_aside"] == []
    assert glance.overview(store, farm.farm.id, day=None, now=NOW)["blocks"][0]["set_aside"] == 0
    (kept,) = blocks.block_marks(store, farm.blocks[0].id, now=NOW)
    assert kept["set_aside"] is None
    other = replace(early, last=20)
    record(store, farm, other)
    assert runs(store, farm) == []
    (found,) = waiting(store, farm)["set_aside"]
    assert (found["status"], len(found["versions"])) == ("reopened", 2)
    settle(store, farm, word(early, early, other, count=other))
    assert runs(store, farm) == ["1-20 A done"]
    settle(store, farm, word(early, early, other))  # left out after all
    assert runs(store, farm) == []
    assert waiting(store, farm)["set_aside"] == []


def test_word_that_saw_only_one_of_two_versions_lets_nothing_count(store, farm):
    one = farm.mark(1, 1, 9)
    other = replace(one, last=20)
    record(store, farm, one, other)
    settle(store, farm, word(one, one, count=one))
    assert runs(store, farm) == []
    assert waiting(store, farm)["set_aside"][0]["status"] == "reopened"
    with pytest.raises(InputError, match="not here"):
        settle(store, farm, word(one, one, other, replace(one, last=3), count=one))


@pytest.mark.parametrize(
    "changes",
    [
        {"season_id": NOBODY}, {"block_id": NOBODY}, {"row": 26}, {"crew_id": NOBODY}, {"first": 5, "last": 4}, {"return_id": NOBODY},
        {"row": 26, "day": TODAY + timedelta(days=1)}, {"first": 106, "last": 110},
    ],
)  # fmt: skip
def test_what_names_nothing_to_count_for_is_refused_in_words(store, farm, changes):
    """The first reason may hide another one: a day to come hides no crew, but a missing row hides behind it."""
    mark = farm.mark(**changes)
    assert record(store, farm, mark)[0].outcome == "set_aside"
    ((version,),) = [one["versions"] for one in waiting(store, farm)["set_aside"]]
    assert version["can_count"] is False
    assert version["cannot_count"]
    with pytest.raises(InputError) as refused:
        settle(store, farm, word(mark, count=mark))
    assert refused.value.todo
    settle(store, farm, word(mark))  # leaving it out is always possible
    assert waiting(store, farm)["set_aside"] == []


def test_unfit_version_of_two_is_refused_and_the_fitting_one_counts(store, farm):
    fits = farm.mark(1, 1, 9)
    unfit = replace(fits, row=99)
    record(store, farm, unfit, fits)
    can = {v["row"]: v["can_count"] for v in waiting(store, farm)["set_aside"][0]["versions"]}
    assert can == {1: True, 99: False}
    with pytest.raises(InputError):
        settle(store, farm, word(fits, fits, unfit, count=unfit))
    settle(store, farm, word(fits, fits, unfit, count=fits))
    assert runs(store, farm) == ["1-9 A done"]


def test_mark_beyond_the_row_is_cut_there_once_it_is_let_count(store, farm):
    long = farm.mark(1, 100, 120)
    record(store, farm, long)
    settle(store, farm, word(long, count=long))
    assert runs(store, farm) == ["100-105 A done"]


def test_check_withdrawal_and_crew_day_count_once_let(store, farm):
    check = farm.check(1, 1, day=TODAY + timedelta(days=1))
    recording.record_checks(store, farm_id=farm.farm.id, checks=[check], sent_at=NOW, now=NOW)
    crew_day = CrewDay(
        new_id(), farm.season.id, farm.crews[0].id, TODAY + timedelta(days=1), 5, 7.5, "ladder", None, None, NOW
    )  # fmt: skip
    record_crew_days(store, farm_id=farm.farm.id, crew_days=[crew_day], sent_at=NOW, now=NOW)
    mark = farm.mark(1, 1, 9)
    record(store, farm, mark)
    one = withdrawal(mark)
    two = replace(one, reason="wrong row")
    recording.record_withdrawals(store, farm_id=farm.farm.id, withdrawals=[one, two], sent_at=NOW, now=NOW)
    assert runs(store, farm) == ["1-9 A done"]
    assert glance.overview(store, farm.farm.id, day=None, now=NOW)["figures"]["checked"] == 0
    kinds = {found["kind"] for found in waiting(store, farm)["set_aside"]}
    assert kinds == {"check", "crew_day", "withdrawal"}
    settle(store, farm, word(check, kind="check", count=check))
    settle(store, farm, word(crew_day, kind="crew_day", count=crew_day))
    settle(store, farm, word(one, one, two, kind="withdrawal", count=two))
    assert runs(store, farm) == []
    assert glance.overview(store, farm.farm.id, day=None, now=NOW)["figures"]["checked"] == 1
    (told,) = crew_days_of(store, farm.farm.id, day=None, crew_id=None)
    assert (told["standing"], told["set_aside"]) == (True, None)
    assert waiting(store, farm)["set_aside"] == []
    with store.read() as conn:
        assert set(log.set_aside_counts(conn, farm.farm.id).values()) == {0}


def test_check_on_a_blank_or_beyond_the_row_can_never_count(store, farm):
    planting.count_row(store, block_id=farm.blocks[0].id, row=1, blanks=(7,))
    found = [farm.check(1, 7), farm.check(1, 106)]
    recording.record_checks(store, farm_id=farm.farm.id, checks=found, sent_at=NOW, now=NOW)
    for check in found:
        with pytest.raises(InputError):
            settle(store, farm, word(check, kind="check", count=check))


def test_recount_cuts_a_settled_stretch_and_brings_it_back(store, farm, pair):
    """P13: nothing is lost when a row is counted shorter and then right again."""
    settle(store, farm, stretch(farm, pair))
    for positions, told in ((45, ["1-40 A done", "41-45 B settled"]), (40, ["1-40 A done"])):
        planting.count_row(store, block_id=farm.blocks[0].id, row=1, counted_positions=positions)
        assert runs(store, farm) == told
    planting.count_row(store, block_id=farm.blocks[0].id, row=1)
    assert runs(store, farm) == ["1-40 A done", "41-50 B settled", "51-105 B done"]


def test_states_stored_before_there_were_settlements_stay_readable(store, farm, pair):
    """Runs of three elements, as 0.1 wrote them."""
    with store.write() as conn:
        crew = farm.crews[0].id
        conn.exec_driver_sql(
            f'UPDATE row_states SET runs = \'[[1,40,"{crew}"],[41,50,null],[51,105,"{farm.crews[1].id}"]]\''
        )
    assert runs(store, farm) == ["1-40 A done", "41-50 - contested", "51-105 B done"]


def test_settlement_cannot_have_seen_a_mark_that_is_not_here(store, farm):
    """Else a mark that comes later under that id would vanish behind it."""
    first, second = farm.mark(crew=0, last=50), farm.mark(crew=1, first=41, last=90)
    record(store, farm, first, second)
    later = farm.mark(crew=0, first=45, last=46)
    with pytest.raises(InputError, match="not here"):
        settle(store, farm, stretch(farm, [first, second, later]))
    settle(store, farm, stretch(farm, [first, second]))
    record(store, farm, later)
    assert any("reopened" in run for run in runs(store, farm))


def test_mark_that_counts_with_another_content_since_opens_the_stretch_again(store, farm, pair):
    """The manager settled what one content claimed; another one must not vanish behind that word."""
    settle(store, farm, stretch(farm, pair))
    other = replace(pair[0], last=60)
    record(store, farm, other)
    assert runs(store, farm) == ["41-50 B settled", "51-105 B done"], (
        "neither content of the first mark counts"
    )
    settle(store, farm, word(other, pair[0], other, count=other))
    assert runs(store, farm) == ["1-40 A done", "41-50 - reopened", "51-60 - contested", "61-105 B done"]
    (held, _) = waiting(store, farm)["overlaps"]
    hashes = {m["id"]: m["content_hash"] for m in held["marks"]}
    assert hashes[other.id] == content_hash(other)
    told = packs.block_log(store, farm.blocks[0].id, now=NOW)["settlements"]
    assert [one[6] for one in told] == [[pair[1].id]], "the tablet is told the same"
    settle(store, farm, stretch(farm, (other, pair[1]), 41, 60))
    assert runs(store, farm) == ["1-40 A done", "41-60 B settled", "61-105 B done"]


def test_settlement_of_before_0_2_names_ids_and_holds_whatever_the_content(store, farm, pair):
    settle(store, farm, replace(stretch(farm, pair), seen=frozenset(mark.id for mark in pair)))
    other = replace(pair[0], last=50, first=2)
    record(store, farm, other)
    settle(store, farm, word(other, pair[0], other, count=other))
    assert runs(store, farm) == ["2-40 A done", "41-50 B settled", "51-105 B done"]
    (told,) = packs.block_log(store, farm.blocks[0].id, now=NOW)["settlements"]
    assert set(told[6]) == {mark.id for mark in pair}


def test_settlement_names_contents_of_its_own_row_only(store, farm, pair):
    elsewhere = farm.mark(2, 1, 9)
    record(store, farm, elsewhere)
    with pytest.raises(InputError, match="not here"):
        settle(store, farm, stretch(farm, (*pair, elsewhere)))
