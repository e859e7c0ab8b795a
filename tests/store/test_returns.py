"""Returns on both engines: made over what is pruned, answered by marks in any order, confirmed by a check; history is kept."""

import random
from dataclasses import replace
from datetime import timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from drawn_lots import add_lot
from orchardmap.errors import ConflictError, InputError, UnknownError
from orchardmap.model.returns import Stretch
from orchardmap.model.work import RecordSettlement
from orchardmap.store import audit, log
from orchardmap.usecases import blocks, folding, glance, packs, recording, return_telling, returning, settling
from orchardmap.usecases.history import progress
from orchardmap.usecases.planting import new_id
from orchardmap.usecases.returning import NewReturn
from orchardmap.work.identity import content_hash
from small_farm import NOW, TODAY, small_farm, withdrawal
from thorough import tries

DUE = TODAY + timedelta(days=7)
LATER = NOW + timedelta(days=1)


@pytest.fixture(scope="module")
def store(shared_store):
    """One store of each engine for all tests here; each has a farm of its own in it."""
    return shared_store


@pytest.fixture
def farm(store):
    """Rows 1 to 3 of the first block are pruned by crew A, the first 50 positions of row 4 by B."""
    made = small_farm(store, new_id())
    record(store, made, *(made.mark(row) for row in (1, 2, 3)), made.mark(4, 1, 50, crew=1))
    return made


def record(store, farm, *marks, now=NOW):
    return recording.record_marks(store, farm_id=farm.farm.id, marks=marks, sent_at=now, now=now)


def take_back(store, farm, *marks):
    found = [withdrawal(mark) for mark in marks]
    return recording.record_withdrawals(store, farm_id=farm.farm.id, withdrawals=found, sent_at=NOW, now=NOW)


def make(store, farm, *stretches, now=NOW, **changes):
    asked = NewReturn(
        new_id(),
        farm.blocks[0].id,
        farm.crews[0].id,
        DUE,
        stretches=tuple(Stretch(*s) for s in stretches) or None,
    )
    return returning.make_return(store, farm_id=farm.farm.id, asked=replace(asked, **changes), now=now)


def told(store, made, *, language="en", now=NOW):
    return return_telling.return_json(store, made.id, language=language, now=now)


def runs(store, farm, row, *, day=None, now=NOW):
    state = blocks.block_state(store, farm.blocks[0].id, day=day, now=now)
    return [run[1:4] for run in state["runs"] if run[0] == row]


def again(store, farm, *, now=NOW):
    listed = glance.overview(store, farm.farm.id, day=None, now=now)["blocks"]
    return next(block["again"] for block in listed if block["id"] == farm.blocks[0].id)


def test_a_return_shows_in_state_summary_and_log_until_marks_answer_and_changes_nobodys_pruned_trees(
    store, farm
):
    before = progress(store, farm.farm.id, day=None, now=NOW)
    made = make(store, farm, (2, 3, 8), (3, 1, 2), points=("dead-wood",), note=" Mind the tops. ")
    assert runs(store, farm, 2) == [[1, 2, 1], [3, 8, 3], [9, 105, 1]]
    assert again(store, farm) == 8
    (own,) = packs.block_log(store, farm.blocks[0].id, now=NOW)["returns"]
    assert (own["number"], own["open"], own["answers"]) == (1, [[2, 3, 8], [3, 1, 2]], [])
    assert (own["note"], own["due_on"]) == ("Mind the tops.", DUE.isoformat())
    # by another crew, and beyond what was asked for: cut, never set aside
    answer = farm.mark(2, 6, 40, crew=1, return_id=made.id)
    assert [one.outcome for one in record(store, farm, answer, answer)] == ["taken", "already_there"]
    assert runs(store, farm, 2) == [[1, 2, 1], [3, 5, 3], [6, 105, 1]]
    assert again(store, farm) == 5
    assert [one["trees_open"] for one in [told(store, made)]] == [5]
    record(store, farm, farm.mark(2, 1, 105, return_id=made.id), farm.mark(3, 1, 9, return_id=made.id))
    assert (told(store, made)["state"], told(store, made)["open"], again(store, farm)) == ("redone", [], 0)
    take_back(store, farm, answer)
    assert told(store, made)["state"] == "redone", "what another mark answers too stays answered"
    after = progress(store, farm.farm.id, day=None, now=NOW)
    assert after == before, "never in coverage, nor in anybody's trees"
    assert folding.rebuild(store, farm.farm.id, write=False) == []
    (own,) = packs.block_log(store, farm.blocks[0].id, now=NOW)["returns"]
    assert {a[0] for a in own["answers"]}.isdisjoint({answer.id}), "tablets know what stands"


def test_answers_are_known_in_any_order_and_a_withdrawal_opens_again_also_when_it_came_first(store, farm):
    made = make(store, farm, (1, 1, 10))
    marks = [farm.mark(1, a, b, return_id=made.id) for a, b in ((1, 4), (3, 7), (7, 10))]
    take_back(store, farm, marks[2])
    for mark in random.Random(1).sample([*marks, *marks], 6):
        record(store, farm, mark)
    assert told(store, made)["open"] == [[1, 8, 10]]
    take_back(store, farm, marks[0])
    assert told(store, made)["open"] == [[1, 1, 2], [1, 8, 10]]


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=tries(6))
@given(
    st.lists(st.tuples(st.integers(1, 12), st.integers(0, 5)), min_size=1, max_size=5),
    st.randoms(use_true_random=False),
)
def test_records_of_a_return_in_any_order_and_cut_give_what_the_sets_say(store, farm, spans, draw):
    """Answers and withdrawals, each batch in any order, repeated at will: the witness counts positions by hand."""
    made = make(store, farm, (1, 4, 10), (1, 12, 13))
    marks = [farm.mark(1, first, first + more, return_id=made.id) for first, more in spans]
    back = draw.sample(marks, len(marks) // 2)
    steps = [lambda m=mark: record(store, farm, m) for mark in [*marks, *marks[:1]]]
    steps += [lambda m=mark: take_back(store, farm, m) for mark in back]
    draw.shuffle(steps)
    for step in steps:
        step()
    stand = [mark for mark in marks if mark not in back]
    left = {*range(4, 11), 12, 13} - {p for mark in stand for p in range(mark.first, mark.last + 1)}
    assert {p for _, a, b in told(store, made)["open"] for p in range(a, b + 1)} == left


def test_marks_of_an_unknown_foreign_or_cancelled_return_are_set_aside_and_never_counted(store, farm):
    made, other = make(store, farm, (1, 1, 5)), make(store, farm, (2, 1, 5))
    returning.cancel_return(store, return_id=other.id, reason="made twice", now=NOW)
    stranger = small_farm(store, new_id())
    record(store, stranger, stranger.mark(1))
    foreign = make(store, stranger, (1, 1, 5))
    wrong = [
        farm.mark(1, 1, 5, return_id=new_id()),
        farm.mark(2, 1, 5, return_id=other.id),
        farm.mark(1, 1, 5, return_id=foreign.id),
        farm.mark(1, 1, 5, block_id=farm.blocks[1].id, return_id=made.id),
    ]
    outcomes = record(store, farm, *wrong)
    assert {(one.outcome, one.reason) for one in outcomes} == {("set_aside", "no such return is open")}
    digest = content_hash(wrong[0])
    said = RecordSettlement(new_id(), 0, "mark", wrong[0].id, digest, frozenset((digest,)))
    with pytest.raises(InputError):
        settling.settle(store, farm_id=farm.farm.id, said=said, settled_by=None, now=NOW)
    assert (told(store, made)["trees_open"], told(store, foreign)["trees_open"]) == (5, 5)


def test_what_is_asked_for_is_cut_to_pruned_trees_and_a_return_over_nothing_is_refused(store, farm):
    made = make(store, farm, (4, 40, 105), (4, 45, 60), (9, 1, 9))
    assert made.stretches == (Stretch(4, 40, 50),)
    area = {"id": "x", "rows": [3, 9], "positions": [100, 200], "faulty": 3}
    of_area = make(store, farm, area=area)
    assert of_area.stretches == (Stretch(3, 100, 105),)
    assert told(store, of_area)["area"] == area
    for changes in (
        {"stretches": (Stretch(9, 1, 5),)}, {"stretches": None}, {"due_on": TODAY - timedelta(days=1)},
        {"area": area | {"rows": [5, 9]}, "stretches": None},
    ):  # fmt: skip
        with pytest.raises(InputError):
            make(store, farm, (1, 1, 5), **changes)
    for unknown in ({"crew_id": new_id()}, {"block_id": new_id()}, {"lot_id": new_id()}):
        with pytest.raises(UnknownError):
            make(store, farm, (1, 1, 5), **unknown)


def test_the_same_id_again_is_the_same_return_and_another_farms_id_is_refused(store, farm):
    made = make(store, farm, (1, 1, 5))
    assert make(store, farm, (2, 1, 5), id=made.id) == made
    stranger = small_farm(store, new_id())
    record(store, stranger, stranger.mark(1))
    with pytest.raises(ConflictError):
        make(store, stranger, (1, 1, 5), id=made.id)
    assert [make(store, farm, (1, 1, 5)).number for _ in range(2)] == [2, 3]
    assert make(store, stranger, (1, 1, 5)).number == 1


def test_cancelled_return_waits_no_more_and_says_why_in_its_history(store, farm):
    made = make(store, farm, (1, 1, 5))
    for _ in range(2):
        returning.cancel_return(store, return_id=made.id, reason=" wrong   row ", now=NOW)
    assert (runs(store, farm, 1), again(store, farm)) == ([[1, 105, 1]], 0)
    assert packs.block_log(store, farm.blocks[0].id, now=NOW)["returns"] == []
    own = told(store, made, language="es")
    assert (own["state"], own["history"][-1]["words"]) == ("cancelled", "Retirado: wrong row")
    with pytest.raises(InputError):
        returning.cancel_return(store, return_id=made.id, reason="  ", now=NOW)
    with store.read() as conn:
        noted = [one.what for one in audit.entries(conn) if one.subject == made.id]
        changes = [c for c in log.changes_after(conn, farm.farm.id, 0, limit=1000) if c.subject_id == made.id]
    assert noted == ["return_made", "return_cancelled"]
    assert [(c.kind, c.block_id) for c in changes] == [("return", farm.blocks[0].id)] * 2


def check(farm, row, position, **changes):
    return farm.check(row, position, **changes)


def recheck(store, farm, made, verdicts, *, now=LATER, number=7):
    """Draw the trees of row 1 from position 1 on over a return, and check them."""
    lot_id = new_id()
    trees = [(1, position, False) for position in range(1, len(verdicts) + 1)]
    with store.write() as conn:
        of = (farm.farm.id, farm.season.id, farm.blocks[0].id)
        add_lot(conn, lot_id, of, trees, number=number, return_id=made.id, opened_on=LATER.date())
    found = [
        check(farm, 1, p, lot_id=lot_id, day=LATER.date(), verdict=verdict, device_at=now)
        for (_, p, _), verdict in zip(trees, verdicts, strict=True)
        if verdict
    ]
    recording.record_checks(store, farm_id=farm.farm.id, checks=found, sent_at=now, now=now)
    return lot_id


@pytest.mark.parametrize(
    ("verdicts", "state"),
    [(["meets", "minor"], "confirmed"), (["faulty", None], "failed"), (["meets", None], "redone")],
)
def test_a_recheck_lot_confirms_or_sends_back_and_is_told_in_order(store, farm, verdicts, state):
    made = make(store, farm, (1, 1, 5))
    record(store, farm, farm.mark(1, return_id=made.id))
    recheck(store, farm, made, verdicts)
    own = told(store, made, now=LATER)
    assert own["state"] == state
    words = [one["words"] for one in own["history"]]
    assert words[:3] == [
        "To go over again by 27 January 2026: 5 trees.", "Gone over again by Crew A: 5 trees.",
        "Lot 7 was drawn over its trees.",
    ]  # fmt: skip
    assert [one["what"] for one in own["history"][3:]] == ["verdict"] * (state != "redone")


def test_a_past_day_knows_what_was_asked_and_answered_by_then(store, farm):
    made = make(store, farm, (1, 1, 6))
    record(store, farm, farm.mark(1, 1, 3, return_id=made.id))
    late = farm.mark(1, 4, 6, return_id=made.id, day=LATER.date(), device_at=LATER)
    record(store, farm, late, now=LATER)
    returning.cancel_return(store, return_id=made.id, reason="done", now=LATER + timedelta(days=1))
    now = LATER + timedelta(days=2)
    yesterday = TODAY - timedelta(days=1)
    assert runs(store, farm, 1, day=yesterday, now=now) == []
    assert runs(store, farm, 1, day=TODAY, now=now) == [[1, 3, 1], [4, 6, 3], [7, 105, 1]]
    assert runs(store, farm, 1, day=LATER.date(), now=now) == [[1, 105, 1]]


def test_late_is_what_is_open_after_its_day(store, farm):
    made = make(store, farm, (1, 1, 6), due_on=TODAY)
    assert not told(store, made)["is_late"]
    assert told(store, made, now=LATER)["is_late"]
    record(store, farm, farm.mark(1, return_id=made.id, day=LATER.date(), device_at=LATER), now=LATER)
    assert not told(store, made, now=LATER)["is_late"]


def test_check_lines_tell_which_checks_are_of_before_the_tree_was_gone_over_again(store, farm):
    """Another day's check by its day; of the same day only one of the return's own recheck lot came after."""
    made = make(store, farm, (1, 1, 3))
    seen = [check(farm, 1, 1), check(farm, 1, 9), check(farm, 1, 2, day=LATER.date(), device_at=LATER)]
    recording.record_checks(store, farm_id=farm.farm.id, checks=seen, sent_at=LATER, now=LATER)
    done = farm.mark(1, return_id=made.id, day=LATER.date(), device_at=LATER)
    record(store, farm, done, now=LATER)
    lot_id = recheck(store, farm, made, ["meets", "meets"])

    def past(*, day=None):
        state = blocks.block_state(store, farm.blocks[0].id, day=day, now=LATER)
        return {(line[2], line[8] == lot_id): line[10] for line in state["checks"]}

    before = {(1, False): True, (9, False): False, (2, False): True}
    assert past() == before | {(1, True): False, (2, True): False}
    assert past(day=TODAY) == {(1, False): False, (9, False): False}
    take_back(store, farm, done)
    assert not any(past().values())


def test_checks_of_an_earlier_recheck_of_one_day_are_past_only_once_their_trees_were_gone_over_after_them(
    store, farm
):
    made = make(store, farm, (1, 1, 3))

    def go_over(first, last, at):
        mark = farm.mark(1, first, last, return_id=made.id, day=LATER.date(), device_at=at)
        record(store, farm, mark, now=LATER + timedelta(hours=9))

    go_over(1, 3, LATER - timedelta(hours=1))
    first = recheck(store, farm, made, ["meets", "meets"])
    recheck(store, farm, made, ["meets"], now=LATER + timedelta(hours=2), number=8)

    def past():
        state = blocks.block_state(store, farm.blocks[0].id, day=None, now=LATER + timedelta(hours=9))
        return {(line[2], line[8] == first): line[10] for line in state["checks"]}

    assert not any(past().values()), "another lot drawn over the same return changes nothing"
    go_over(2, 2, LATER + timedelta(hours=1))
    assert past() == {(1, True): False, (2, True): True, (1, False): False}


def test_a_lot_drawn_before_the_trees_were_gone_over_clears_the_return_or_leaves_it_open(store, farm):
    clean, bad = make(store, farm, (1, 1, 5)), make(store, farm, (1, 1, 5))
    recheck(store, farm, clean, ["meets", "meets"])
    assert told(store, clean, now=LATER)["state"] == "confirmed"
    with store.write() as conn:
        of = (farm.farm.id, farm.season.id, farm.blocks[0].id)
        add_lot(conn, new_id(), of, [(1, 1, False)], number=8, return_id=bad.id, opened_on=TODAY)
    assert told(store, bad, now=LATER)["state"] == "open"


def test_a_return_of_a_lot_is_over_all_its_pruned_trees(store, farm):
    lot_id = new_id()
    with store.write() as conn:
        of = (farm.farm.id, farm.season.id, farm.blocks[0].id)
        add_lot(conn, lot_id, of, [(2, 4, False), (3, 5, False), (9, 1, False)])
    made = make(store, farm, lot_id=lot_id)
    assert made.stretches == (Stretch(2, 1, 10), Stretch(3, 1, 10)), "row 9 is not pruned any more"
    with pytest.raises(UnknownError):
        make(store, farm, lot_id=lot_id, block_id=farm.blocks[1].id)
