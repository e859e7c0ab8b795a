"""A closure that ends earlier, or is taken back: its marks are judged as if it had never been longer. On both engines."""

from datetime import timedelta

import pytest

from orchardmap.errors import InputError, UnknownError
from orchardmap.model.people import ANYBODY, Sender
from orchardmap.store import audit, log, tablets
from orchardmap.usecases import closing, folding, history, matters, recording
from orchardmap.usecases import tablets as pairing
from orchardmap.usecases.planting import new_id
from small_farm import NOW, small_farm

HOUR = timedelta(hours=1)


@pytest.fixture
def farm(store):
    return small_farm(store)


def record(store, farm, *marks, sender=ANYBODY):
    return recording.record_marks(
        store, farm_id=farm.farm.id, marks=marks, sent_at=NOW, now=NOW, sender=sender
    )


def close(store, farm, start=-3, end=3):
    span = (NOW + start * HOUR, NOW + end * HOUR)
    return closing.close_block(store, block_id=farm.blocks[0].id, span=span, reason="spray", now=NOW)


def end(store, farm, closure, at):
    """End it so many hours from now."""
    block_id, ends_at = farm.blocks[0].id, NOW + at * HOUR
    closing.end_closure(store, block_id=block_id, closure_id=closure.id, ends_at=ends_at, now=NOW)


def state(store, farm):
    """Return id -> reason of what is set aside, and the ids of the marks that stand; the rows must say the same."""
    assert folding.rebuild(store, farm.farm.id, write=False) == []
    found = matters.matters(store, farm.farm.id, now=NOW)["set_aside"]
    aside = {one["id"]: one["versions"][0]["reason_code"] for one in found}
    with store.read() as conn:
        return aside, {mark.id for mark in log.standing_marks(conn, farm.season.id)}


def paired_tablet(store, farm, crew=0):
    wish = pairing.TabletWish("Tablet", "foreman", farm.crews[crew].id)
    code = pairing.make_code(store, actor="shell", farm_id=farm.farm.id, tablet=wish, now=NOW).code
    before = {one.id for one in pairing.listed(store, farm.farm.id)}
    pairing.pair(store, code=code, place="test", now=NOW)
    (made,) = {one.id for one in pairing.listed(store, farm.farm.id)} - before
    return made


@pytest.mark.parametrize("mark_comes", [0, 1, 2])
@pytest.mark.parametrize("ends_at", [-3, -2, 0])
def test_mark_closure_and_its_end_say_the_same_in_whichever_order_they_come(store, farm, mark_comes, ends_at):
    """Two marks of one and of four hours ago; the closure began three hours ago and loses its later part, or all."""
    at_work = farm.mark(1, device_at=NOW - 1 * HOUR), farm.mark(2, device_at=NOW - 2 * HOUR - HOUR / 2)
    made = []
    steps = [lambda: made.append(close(store, farm)), lambda: end(store, farm, made[0], ends_at)]
    steps.insert(mark_comes, lambda: record(store, farm, *at_work))
    for step in steps:
        step()
    inside = {m.id for m in at_work if m.device_at < NOW + ends_at * HOUR}
    assert len(inside) == {-3: 0, -2: 1, 0: 2}[ends_at]
    assert state(store, farm) == (dict.fromkeys(inside, "block_closed"), {m.id for m in at_work} - inside)
    assert {told.outcome for told in record(store, farm, *(m for m in at_work if m.id not in inside))} <= {
        "already_there"
    }


def test_mark_in_another_closure_too_stays_set_aside_until_that_one_is_taken_back(store, farm):
    mark = farm.mark(1)
    first, second = close(store, farm), close(store, farm, start=-1, end=1)
    record(store, farm, mark)
    end(store, farm, first, -3)
    assert state(store, farm) == ({mark.id: "block_closed"}, set())
    end(store, farm, second, -1)
    assert state(store, farm) == ({}, {mark.id})


def test_what_else_speaks_against_a_mark_is_found_when_no_closure_does(store, farm):
    """Another crew's tablet, and a tablet that was let go: before its mark came, not after."""
    closure = close(store, farm)
    gone, later, other = (paired_tablet(store, farm) for _ in range(3))

    def let_go(device_id, at):
        with store.write() as conn:
            tablets.revoke(conn, farm.farm.id, device_id, at)

    let_go(gone, NOW - HOUR)
    marks = {
        "device_revoked": farm.mark(1, device_id=gone),
        "": farm.mark(2, device_id=later),
        "other_crew": farm.mark(3, device_id=other, crew=1),
    }
    for mark in marks.values():
        record(store, farm, mark, sender=Sender(mark.device_id, farm.crews[0].id))
    let_go(later, NOW + HOUR)
    end(store, farm, closure, -3)
    aside = {mark.id: reason for reason, mark in marks.items() if reason}
    assert state(store, farm) == (aside, {marks[""].id})


def test_end_is_kept_with_who_said_it_and_told_to_the_tablets(store, farm):
    closure = close(store, farm)
    before = history.cursor(store, farm.farm.id)
    end(store, farm, closure, 1)
    end(store, farm, closure, -3)
    told = history.changes(store, farm.farm.id, after=before, limit=9)["changes"]
    assert [(one["kind"], one["subject_id"]) for one in told] == [("closure", closure.id)] * 2
    with store.read() as conn:
        noted = [(e.actor, e.subject) for e in audit.entries(conn) if e.what == "closure_ended"]
        kept = conn.exec_driver_sql("SELECT count(*) FROM closure_ends").scalar_one()
    assert (noted, kept) == ([("shell", closure.id)] * 2, 2)
    assert closing.closures_of(store, farm.blocks[0].id) == []


def test_closure_is_never_made_longer_nor_ended_twice_nor_by_another_blocks_address(store, farm):
    closure = close(store, farm)
    for at in (-4, 3, 4):
        with pytest.raises(InputError, match="only end earlier"):
            end(store, farm, closure, at)
    elsewhere = {"block_id": farm.blocks[1].id, "closure_id": closure.id}
    for address in (elsewhere, elsewhere | {"block_id": farm.blocks[0].id, "closure_id": new_id()}):
        with pytest.raises(UnknownError, match="no such closure"):
            closing.end_closure(store, **address, ends_at=NOW, now=NOW)
    end(store, farm, closure, -3)
    with pytest.raises(UnknownError, match="no such closure"):
        end(store, farm, closure, -3)
