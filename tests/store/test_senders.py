"""Who hands records in, on both engines: kept beside each record, and decisive for what a tablet may speak for."""

from dataclasses import replace
from datetime import timedelta
from itertools import permutations, product

import pytest
from sqlalchemy import insert, text

from orchardmap.errors import ConflictError
from orchardmap.model.people import ANYBODY, Sender
from orchardmap.model.work import CrewDay, RecordSettlement
from orchardmap.store import access_tables, log, states
from orchardmap.store.session import open_store
from orchardmap.usecases import closing, folding, history, matters, planting, recording, settling
from orchardmap.usecases.crew_days import crew_days_of, record_crew_days
from orchardmap.usecases.planting import new_id
from orchardmap.work.identity import content_hash
from small_farm import NOW, OUTLINE, PLANTING, TODAY, small_farm, withdrawal

TABLET = "019c0000-0000-7000-8000-00000000000d"
GONE = "019c0000-0000-7000-8000-00000000000e"


@pytest.fixture
def farm(store):
    made = small_farm(store)
    told = {
        "farm_id": made.farm.id, "name": "Tablet", "role": "foreman", "paired_at": NOW, "last_seen_at": NOW,
    }  # fmt: skip
    with store.write() as conn:
        conn.execute(insert(access_tables.devices).values(id=TABLET, token_hash="1", **told))
        conn.execute(insert(access_tables.devices).values(id=GONE, token_hash="2", revoked_at=NOW, **told))
    return made


def record(store, farm, *marks, sender=ANYBODY):
    return recording.record_marks(
        store, farm_id=farm.farm.id, marks=marks, sent_at=NOW, now=NOW, sender=sender
    )


def take_back(store, farm, back, sender=ANYBODY):
    return recording.record_withdrawals(
        store, farm_id=farm.farm.id, withdrawals=[back], sent_at=NOW, now=NOW, sender=sender
    )


def waiting(store, farm):
    """Id -> reasons of all that waits for a manager."""
    found = matters.matters(store, farm.farm.id, now=NOW)["set_aside"]
    return {one["id"]: [version["reason_code"] for version in one["versions"]] for one in found}


def rows_done(store, farm):
    with store.read() as conn:
        return {state.row for state in states.row_states(conn, farm.season.id)}


def kept(store, farm, kind, *ids):
    with store.read() as conn:
        return {one.id: one for one in log.records_by_id(conn, kind, farm.farm.id, ids)}


def test_mark_of_another_crew_is_kept_and_does_not_count(store, farm):
    sender = Sender(TABLET, farm.crews[0].id)
    own, other = farm.mark(1), farm.mark(2, crew=1)
    receipts = record(store, farm, own, other, sender=sender)
    assert [one.outcome for one in receipts] == ["taken", "set_aside"]
    assert "another crew" in receipts[1].reason
    found = kept(store, farm, "mark", own.id, other.id)
    assert found[other.id].set_aside == "other_crew"
    for one in found.values():
        assert (one.handed_in_by, one.for_crew_id) == (TABLET, farm.crews[0].id)
    with store.read() as conn:
        assert [s.row for s in states.row_states(conn, farm.season.id)] == [1]
    assert record(store, farm, other, sender=sender)[0].outcome == "set_aside", (
        "a repeat is answered as before"
    )
    assert folding.rebuild(store, farm.farm.id, write=False) == []


def test_what_the_program_itself_hands_in_names_nobody(store, farm):
    mark = farm.mark(1, crew=2)
    assert record(store, farm, mark)[0].outcome == "taken"
    (one,) = kept(store, farm, "mark", mark.id).values()
    assert (one.handed_in_by, one.for_crew_id, one.extra) == (None, None, None)


def test_records_of_a_tablet_that_was_let_go_are_kept_and_wait(store, farm):
    """It was paired anew: its queue goes up under the new token, with the old device id in it."""
    stale, fresh = farm.mark(1, device_id=GONE), farm.mark(2, device_id=TABLET)
    assert [one.outcome for one in record(store, farm, stale, fresh)] == ["set_aside", "taken"]
    assert kept(store, farm, "mark", stale.id)[stale.id].set_aside == "device_revoked"
    back = replace(withdrawal(fresh), device_id=GONE)
    told = recording.record_withdrawals(store, farm_id=farm.farm.id, withdrawals=[back], sent_at=NOW, now=NOW)
    assert told[0].outcome == "set_aside"
    with store.read() as conn:
        assert [s.row for s in states.row_states(conn, farm.season.id)] == [2], "the mark still stands"
    assert folding.rebuild(store, farm.farm.id, write=False) == []


def test_withdrawal_of_another_crews_mark_is_set_aside_said_and_listed_whichever_came_first(store, farm):
    """Also when it is known before the mark: then it is answered as taken, and listed once the mark is there."""
    foreign = Sender(TABLET, farm.crews[0].id)
    early, late = farm.mark(1, crew=1), farm.mark(2, crew=1)
    first, second = withdrawal(early), withdrawal(late)
    record(store, farm, early)
    (told,) = take_back(store, farm, first, foreign)
    assert (told.outcome, "another crew" in told.reason) == ("set_aside", True)
    assert take_back(store, farm, second, foreign)[0].outcome == "taken"
    assert waiting(store, farm) == {first.id: ["other_crew"]}
    record(store, farm, late)
    assert waiting(store, farm) == {first.id: ["other_crew"], second.id: ["other_crew"]}
    assert take_back(store, farm, second, foreign)[0].outcome == "set_aside", "and a repeat is told so"
    assert rows_done(store, farm) == {1, 2}
    found = matters.matters(store, farm.farm.id, now=NOW)["set_aside"]
    said = {one["id"]: one["versions"][0] for one in found}
    assert [(said[w.id]["row"], said[w.id]["crew_id"]) for w in (first, second)] == [
        (1, farm.crews[1].id), (2, farm.crews[1].id),
    ]  # fmt: skip
    assert folding.rebuild(store, farm.farm.id, write=False) == []


def test_manager_lets_another_crews_withdrawal_hold_or_leaves_it_out(store, farm):
    foreign = Sender(TABLET, farm.crews[0].id)
    marks = farm.mark(1, crew=1), farm.mark(2, crew=1)
    back = [withdrawal(mark) for mark in marks]
    record(store, farm, *marks)
    take_back(store, farm, back[0], foreign)
    take_back(store, farm, back[1], foreign)
    for one, counts in zip(back, (True, False), strict=True):
        digest = content_hash(one)
        said = RecordSettlement(
            new_id(), 0, "withdrawal", one.id, digest if counts else None, frozenset((digest,))
        )
        settling.settle(store, farm_id=farm.farm.id, said=said, settled_by=None, now=NOW)
    assert rows_done(store, farm) == {2}
    assert waiting(store, farm) == {}
    with store.read() as conn:
        assert log.set_aside_counts(conn, farm.farm.id)["withdrawal"] == 0
    assert folding.rebuild(store, farm.farm.id, write=False) == []


@pytest.mark.parametrize("handed_in", [(0, 2), (0, 1), (0, None)])
def test_whether_a_record_counts_hangs_on_who_handed_it_in_not_in_what_order(store, farm, handed_in):
    """Marks, withdrawals, crew-days of crew B (1); senders in every order, the mark before and after its withdrawal."""
    may = None in handed_in or 1 in handed_in
    row = 0
    for order in permutations([Sender(new_id(), i if i is None else farm.crews[i].id) for i in handed_in]):
        for mark_first in (True, False):
            row += 2
            marked, gone = farm.mark(row - 1, crew=1), farm.mark(row, crew=1)
            back = withdrawal(gone)
            day = TODAY - timedelta(days=row)
            hours = CrewDay(
                new_id(), farm.season.id, farm.crews[1].id, day, 4, 7.5, "ladder", None, None, NOW
            )
            if mark_first:
                record(store, farm, gone)
            for sender in order:
                record(store, farm, marked, sender=sender)
                take_back(store, farm, back, sender)
                record_crew_days(
                    store, farm_id=farm.farm.id, crew_days=[hours], sent_at=NOW, now=NOW, sender=sender
                )
            if not mark_first:
                record(store, farm, gone)
            assert rows_done(store, farm) & {row - 1, row} == ({row - 1} if may else {row}), order
            (told,) = crew_days_of(store, farm.farm.id, day=day, crew_id=None)
            assert told["standing"] is may
            mine = {marked.id, back.id, hours.id} & waiting(store, farm).keys()
            assert mine == (set() if may else {marked.id, back.id, hours.id})
            for one in order:
                (again,) = record(store, farm, marked, sender=one)
                assert again.outcome == ("already_there" if may else "set_aside")
    assert folding.rebuild(store, farm.farm.id, write=False) == []


def test_record_that_counts_through_another_sender_is_a_change_that_tablets_read(store, farm):
    mark = farm.mark(1, crew=1)
    record(store, farm, mark, sender=Sender(TABLET, farm.crews[0].id))
    before = history.cursor(store, farm.farm.id)
    record(store, farm, mark, sender=Sender(TABLET, farm.crews[0].id))
    assert history.cursor(store, farm.farm.id) == before, "nothing new"
    record(store, farm, mark)
    told = history.changes(store, farm.farm.id, after=before, limit=9)["changes"]
    assert [(c["kind"], c["subject_id"], c["row"]) for c in told] == [("mark", mark.id, 1)]


def test_word_on_a_mark_holds_for_the_reason_it_was_given_for_whatever_came_first(store, farm):
    """Mark, closure and a manager's word in every order: a word that did not know of the closure leaves the mark waiting."""

    def hand_in():
        record(store, farm, mark, sender=Sender(TABLET, None if is_gone else farm.crews[0].id))

    def close():
        span = (NOW - timedelta(hours=5), NOW + timedelta(hours=1))
        closing.close_block(store, block_id=block.id, span=span, reason="spray", now=NOW)

    def speak():
        digest = content_hash(mark)
        said = RecordSettlement(
            new_id(), 0, "mark", mark.id, digest if counts else None, frozenset((digest,))
        )
        for _ in range(2):  # the first answer was lost
            settling.settle(store, farm_id=farm.farm.id, said=said, settled_by=None, now=NOW)

    orders = [(hand_in, speak, close), (hand_in, close, speak), (close, hand_in, speak)]
    cases = list(product(orders, (True, False), (True, False)))
    plans = [planting.BlockPlan(f"W{n}", "", None, OUTLINE, PLANTING) for n in range(len(cases))]
    made = planting.plant_blocks(store, farm_id=farm.farm.id, plans=plans)
    for (order, counts, is_gone), block in zip(cases, made, strict=True):
        mark = farm.mark(1, crew=1, block_id=block.id, device_id=GONE if is_gone else TABLET)
        for step in order:
            step()
        if order[-1] is close:
            (told,) = matters.matters(store, farm.farm.id, now=NOW)["set_aside"]
            assert (told["id"], told["status"]) == (mark.id, "reopened")
            assert told["versions"][0]["reason_code"] == "block_closed"
            assert not done(store, farm, block)
            speak()
        assert waiting(store, farm) == {}
        assert done(store, farm, block) is counts
    assert folding.rebuild(store, farm.farm.id, write=False) == []


def test_word_that_comes_after_the_reason_changed_is_not_taken_for_the_new_one(store, farm):
    """The manager looked at another crew's mark; before the word arrived its block turned out to have been closed."""
    mark = farm.mark(1, crew=1)
    record(store, farm, mark, sender=Sender(TABLET, farm.crews[0].id))
    digest = content_hash(mark)
    said = RecordSettlement(new_id(), 0, "mark", mark.id, digest, frozenset((digest,)), reason="other_crew")
    span = (NOW - timedelta(hours=5), NOW + timedelta(hours=1))
    closing.close_block(store, block_id=mark.block_id, span=span, reason="spray", now=NOW)
    with pytest.raises(ConflictError, match="another reason now"):
        settling.settle(store, farm_id=farm.farm.id, said=said, settled_by=None, now=NOW)
    assert waiting(store, farm) == {mark.id: ["block_closed"]}
    seen = replace(said, reason="block_closed")
    for _ in range(2):  # the first answer was lost
        settling.settle(store, farm_id=farm.farm.id, said=seen, settled_by=None, now=NOW)
    assert waiting(store, farm) == {}


def done(store, farm, block):
    with store.read() as conn:
        return bool(states.row_states(conn, farm.season.id, [block.id]))


@pytest.mark.parametrize("closed_first", [True, False])
def test_closure_judges_another_crews_mark_before_its_own_tablet_hands_it_in(store, farm, closed_first):
    """Else whether it counts would hang on which of the three came first."""
    mark = farm.mark(1, crew=1)
    steps = [
        lambda: record(store, farm, mark, sender=Sender(TABLET, farm.crews[0].id)),
        lambda: closing.close_block(
            store,
            block_id=farm.blocks[0].id,
            span=(NOW - timedelta(hours=5), NOW + timedelta(hours=1)),
            reason="spray",
            now=NOW,
        ),
    ]
    for step in steps[::-1] if closed_first else steps:
        step()
    record(store, farm, mark)
    assert waiting(store, farm) == {mark.id: ["block_closed"]}
    assert rows_done(store, farm) == set()


def test_crew_day_of_another_tablet_is_judged_as_a_correction_once_its_own_hands_it_in(store, farm):
    first = CrewDay(new_id(), farm.season.id, farm.crews[0].id, TODAY, 4, 7.5, "ladder", None, None, NOW)
    wrong = replace(first, id=new_id(), crew_id=farm.crews[1].id, replaces_id=first.id)
    shared = {"farm_id": farm.farm.id, "sent_at": NOW, "now": NOW}
    record_crew_days(store, crew_days=[first, wrong], sender=Sender(TABLET, farm.crews[0].id), **shared)
    assert waiting(store, farm) == {wrong.id: ["other_crew"]}
    (told,) = record_crew_days(store, crew_days=[wrong], **shared)
    assert told.outcome == "set_aside"
    assert waiting(store, farm) == {wrong.id: ["other_crew_day"]}


def test_another_farms_tablets_are_nobodys_business(store, farm):
    other = small_farm(store, "Next Door")
    assert record(store, other, other.mark(1, device_id=GONE))[0].outcome == "taken"


def test_what_was_said_beyond_the_columns_is_kept_as_sent(store, farm):
    extra = {"gloves": 2, "weather": {"snow": True, "words": ["Äste", ""], "share": 0.5}, "none": None}
    mark, crew_day = (
        farm.mark(1, extra=extra),
        CrewDay(
            new_id(), farm.season.id, farm.crews[0].id, TODAY, 4, 7.5, "ladder", None, None, NOW, extra=extra
        ),
    )
    assert record(store, farm, mark)[0].outcome == "taken"
    record_crew_days(store, farm_id=farm.farm.id, crew_days=[crew_day], sent_at=NOW, now=NOW)
    assert kept(store, farm, "mark", mark.id)[mark.id].extra == extra
    assert kept(store, farm, "crew_day", crew_day.id)[crew_day.id].extra == extra
    assert record(store, farm, mark)[0].outcome == "already_there"
    assert record(store, farm, replace(mark, extra=None))[0].outcome == "set_aside", "another content"


def test_upgrade_lists_the_withdrawals_that_never_held(store, store_url, farm):
    """As tables of revision 0003 hold them: nothing said against them, and yet without effect."""
    foreign = Sender(TABLET, farm.crews[0].id)
    marks = farm.mark(1, crew=1), farm.mark(2)
    record(store, farm, *marks)
    back = [withdrawal(mark) for mark in marks]
    for one in back:
        take_back(store, farm, one, foreign)
    with store.write() as conn:
        conn.execute(text("UPDATE withdrawals SET set_aside = NULL"))
        # what came after 0003
        for later in (
            "DROP TABLE pay_rules",
            "DROP TABLE person_days",
            "DROP TABLE pay_runs",
            "DROP TABLE season_budgets",
            "DROP TABLE strengths",
            "DROP TABLE days_off",
            "DROP TABLE season_calendars",
            "DROP TABLE queue_blocks",
            "DROP TABLE queue_plans",
            "DROP TABLE block_terms",
            "DROP TABLE check_photos",
            "DROP TABLE other_senders",
            "ALTER TABLE sessions DROP COLUMN confirmed_by",
            "DROP TABLE closure_ends",
            "ALTER TABLE settlements DROP COLUMN reason",
            "DROP TABLE brief_versions",
            "DROP TABLE briefs",
            "ALTER TABLE checks DROP COLUMN brief_id",
            "ALTER TABLE checks DROP COLUMN brief_version",
            "ALTER TABLE checks DROP COLUMN lot_id",
            "ALTER TABLE checks DROP COLUMN findings",
            "ALTER TABLE checks DROP COLUMN second",
            "ALTER TABLE checks DROP COLUMN not_judged",
            "DROP TABLE lots",
            "DROP TABLE return_stretches",
            "DROP TABLE returns",
            "DROP TABLE tree_counts",
            "DROP TABLE farm_weather",
            "DROP TABLE hazard_lines",
            "DROP TABLE farm_features",
            "DROP TABLE ground_changes",
            "DROP TABLE reading_keys",
            "DROP TABLE farm_settings",
            "ALTER TABLE blocks DROP COLUMN slope_percent",
            "ALTER TABLE varieties DROP COLUMN is_biennial",
            "ALTER TABLE varieties DROP COLUMN is_canker_prone",
        ):
            conn.execute(text(later))
        conn.execute(text("UPDATE alembic_version SET version_num = '0003'"))
    store.close()
    upgraded = open_store(store_url)
    try:
        assert waiting(upgraded, farm) == {back[0].id: ["other_crew"]}
        assert rows_done(upgraded, farm) == {1}
        assert folding.rebuild(upgraded, farm.farm.id, write=False) == []
    finally:
        upgraded.close()
