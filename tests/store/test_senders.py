"""Who hands records in, on both engines: kept beside each record, and decisive for what a tablet may speak for."""

from dataclasses import replace

import pytest
from sqlalchemy import insert

from orchardmap.model.people import ANYBODY, Sender
from orchardmap.model.work import CrewDay
from orchardmap.store import access_tables, log, states
from orchardmap.usecases import folding, recording
from orchardmap.usecases.crew_days import record_crew_days
from orchardmap.usecases.planting import new_id
from small_farm import NOW, TODAY, small_farm, withdrawal

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
    # the answer to a repeat is the first one, whoever sends it
    assert record(store, farm, other)[0].outcome == "set_aside"
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


def test_withdrawal_keeps_whom_its_sender_spoke_for(store, farm):
    mark = farm.mark(1, crew=1)
    record(store, farm, mark)
    back = withdrawal(mark)
    recording.record_withdrawals(
        store,
        farm_id=farm.farm.id,
        withdrawals=[back],
        sent_at=NOW,
        now=NOW,
        sender=Sender(TABLET, farm.crews[0].id),
    )
    (one,) = kept(store, farm, "withdrawal", back.id).values()
    assert (one.set_aside, one.handed_in_by, one.for_crew_id) == (None, TABLET, farm.crews[0].id)


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
