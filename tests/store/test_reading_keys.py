"""Reading keys in the store, on both engines: only a hash is kept, the name is free again once a key has ended, its use is told to the hour."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import event, text

from orchardmap.errors import ConflictError, InputError, UnknownError
from orchardmap.model.access import NOBODY, Caller, Grant
from orchardmap.store import audit, whole_farm
from orchardmap.usecases import account_keeping, reading_keys
from orchardmap.usecases.reading_keys import KeyWish, caller_of_key
from small_farm import NOW, small_farm

HOUR = timedelta(hours=1)


@pytest.fixture
def farm(store):
    return small_farm(store).farm


def made(store, farm, name="QGIS in the office", **wish):
    return reading_keys.make(store, actor="shell", farm_id=farm.id, wish=KeyWish(name, **wish), now=NOW)


def test_key_reads_as_an_adviser_of_its_farm_and_no_table_holds_it(store, farm):
    told, secret = made(store, farm)
    other, narrow = made(store, farm, "The packer's", sight="work")
    assert caller_of_key(store, secret, NOW).grants == {farm.id: Grant("adviser")}
    assert caller_of_key(store, narrow, NOW).grants == {farm.id: Grant("adviser", sees_checks=False)}
    assert caller_of_key(store, secret, NOW).actor == f"key:{told['id']}"
    assert (told["sees"], other["sees"], told["is_good"]) == ("all", "work", True)
    assert secret != narrow
    assert len(secret) == len("read.") + 43, "256 random bits in base 64"
    with store.read() as conn:
        for table in ("reading_keys", "audit_log", "settings"):
            assert secret not in str(conn.execute(text(f"SELECT * FROM {table}")).all())


@given(changed=st.text(max_size=60))
def test_what_is_no_key_is_nobodys(store_with_key, changed):
    """Cut, longer, in other letters, anything at all: as a key that never was."""
    store, secret = store_with_key
    for wrong in (secret[:-1], secret + "A", secret.swapcase(), secret.removeprefix("read."), changed):
        assert caller_of_key(store, wrong, NOW) == NOBODY


@pytest.fixture(scope="module")
def store_with_key(shared_store):
    return shared_store, made(shared_store, small_farm(shared_store).farm)[1]


def test_key_ends_with_its_last_day_in_the_farms_zone_and_at_once_when_told(store, farm):
    zone = ZoneInfo(farm.time_zone)
    told, secret = made(store, farm, ends_on=date(2026, 3, 28))
    assert told["ends_on"] == "2026-03-28"
    midnight = datetime(2026, 3, 29, tzinfo=zone)  # of the night in which clocks go on
    assert caller_of_key(store, secret, midnight - timedelta(seconds=1)).key is not None
    assert caller_of_key(store, secret, midnight) == Caller(lapsed="key")
    _, second = made(store, farm, "Second")
    (one,) = [key for key in reading_keys.listed_json(store, farm.id, now=NOW) if key["name"] == "Second"]
    reading_keys.end(store, actor="shell", farm_id=farm.id, key_id=one["id"], now=NOW)
    assert caller_of_key(store, second, NOW) == Caller(lapsed="key")
    reading_keys.end(store, actor="shell", farm_id=farm.id, key_id=one["id"], now=NOW + HOUR)
    (one,) = [key for key in reading_keys.listed_json(store, farm.id, now=NOW) if key["name"] == "Second"]
    assert (one["is_good"], one["ended_at"]) == (False, NOW.astimezone(UTC).isoformat()), "ended once"
    with store.read() as conn:
        told = [entry.what for entry in audit.entries(conn) if "reading_key" in entry.what]
    assert told == ["reading_key_made", "reading_key_made", "reading_key_ended"]


def test_a_year_unless_said_and_five_at_most(store, farm):
    today = NOW.astimezone(ZoneInfo(farm.time_zone)).date()
    assert made(store, farm)[0]["ends_on"] == (today + timedelta(days=365)).isoformat()
    assert made(store, farm, "today", ends_on=today)[0]["ends_on"] == today.isoformat()
    for wrong in (today - timedelta(days=1), today + timedelta(days=5 * 366 + 1), date.max):
        with pytest.raises(InputError, match="ends today at the earliest") as found:
            made(store, farm, "wrong", ends_on=wrong)
        assert found.value.where == "ends_on"


def test_name_is_said_and_free(store, farm):
    made(store, farm, " QGIS   in the office ")
    with pytest.raises(ConflictError, match="good already"):
        made(store, farm)
    for wrong in ("", "  ", "x" * 201):
        with pytest.raises(InputError, match="needs a name"):
            made(store, farm, wrong)
    made(store, small_farm(store, "Other Farm").farm)
    reading_keys.end_named(store, actor="shell", farm_id=farm.id, name="QGIS in the office", now=NOW)
    made(store, farm)
    with pytest.raises(UnknownError, match="no reading key that is still good"):
        reading_keys.end_named(store, actor="shell", farm_id=farm.id, name="QGIS", now=NOW)


def test_key_of_another_farm_is_not_ended_and_not_told(store, farm):
    other = small_farm(store, "Other Farm").farm
    told, secret = made(store, farm)
    with pytest.raises(UnknownError):
        reading_keys.end(store, actor="shell", farm_id=other.id, key_id=told["id"], now=NOW)
    assert reading_keys.listed_json(store, other.id, now=NOW) == []
    assert caller_of_key(store, secret, NOW).key is not None


def test_use_is_kept_to_the_hour(store, farm):
    """A map that is dragged about writes once an hour."""
    _, secret = made(store, farm)
    key = caller_of_key(store, secret, NOW).key
    assert key is not None
    changed = []

    @event.listens_for(store._writer, "after_cursor_execute")
    def count(_conn, cursor, statement, *_rest):
        if statement.startswith("UPDATE reading_keys"):
            changed.append(cursor.rowcount)

    for minutes in (0, 5, 59, 61, 90):
        now = NOW + timedelta(minutes=minutes)
        is_due = caller_of_key(store, secret, now).is_seen_long_ago(now)
        reading_keys.touch(store, key, now)
        assert is_due == (changed[-1] == 1)
    assert changed == [1, 0, 0, 1, 0]
    (one,) = reading_keys.listed_json(store, farm.id, now=NOW)
    assert one["last_used_at"] == (NOW + timedelta(minutes=61)).astimezone(UTC).isoformat()


def test_list_tells_who_made_it_and_the_shell_is_nobody(store, farm):
    account = account_keeping.add_account(store, login="gwen", name="Gwen Pugh", password=None, now=NOW)
    wish = KeyWish("Gwen's")
    reading_keys.make(
        store, actor=f"account:{account.id}", farm_id=farm.id, wish=wish, now=NOW + timedelta(seconds=1)
    )
    made(store, farm)
    makers = [(key["name"], key["made_by"]) for key in reading_keys.listed_json(store, farm.id, now=NOW)]
    assert makers == [("Gwen's", "Gwen Pugh"), ("QGIS in the office", None)]


def test_key_stays_when_the_whole_farm_is_taken_away(store, farm):
    """It is a secret of this server: no line of the file tells of it."""
    told, secret = made(store, farm)
    assert "reading_keys" not in whole_farm.farm_tables()
    with store.read() as conn:
        lines = [
            str(line)
            for table in whole_farm.farm_tables()
            for line in whole_farm.farm_lines(conn, farm.id, table)
        ]
    assert lines
    assert not [
        line for line in lines if told["id"] in line or secret in line or "QGIS in the office" in line
    ]
