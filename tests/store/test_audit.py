"""The audit log's chain: whole, and what is changed, deleted, swapped or cut off is named. On both engines."""

import threading
from datetime import timedelta

import pytest
from sqlalchemy import text

from orchardmap.store import audit
from orchardmap.usecases.audit import verify
from small_farm import NOW

ENTRIES = 12


@pytest.fixture
def chain(store):
    for number in range(ENTRIES):
        with store.write() as conn:
            at = NOW + timedelta(seconds=number)
            audit.note(
                conn, "made", at=at, actor="shell", subject=f"s{number}", number=number, role="ä\u2028"
            )
    return store


def change(store, *commands):
    with store.write() as conn:
        for command in commands:
            conn.execute(text(command))


def test_whole_chain(chain):
    found = verify(chain)
    assert (found.fault, found.entries, found.first_bad) == ("", ENTRIES, None)
    assert verify(chain, known=found.head).fault == ""


@pytest.mark.parametrize("seq", [1, 6, ENTRIES])
@pytest.mark.parametrize(
    "column",
    ["what = 'x'", "actor = 'account:1'", "subject = 'x'", "detail = '{}'", "at = '2026-01-01 00:00:00'"],
)
def test_changed_entry_is_named(chain, seq, column):
    change(chain, f"UPDATE audit_log SET {column} WHERE seq = {seq}")
    assert verify(chain).first_bad == seq


@pytest.mark.parametrize("seq", [1, 6, ENTRIES - 1])
def test_deleted_entry_is_named(chain, seq):
    change(chain, f"DELETE FROM audit_log WHERE seq = {seq}")
    found = verify(chain)
    assert (found.first_bad, found.fault) == (seq, f"entry {seq} is missing")


def test_swapped_entries_are_named(chain):
    change(
        chain,
        "UPDATE audit_log SET seq = 99 WHERE seq = 4",
        "UPDATE audit_log SET seq = 4 WHERE seq = 8",
        "UPDATE audit_log SET seq = 8 WHERE seq = 99",
    )
    assert verify(chain).first_bad == 4


def test_cut_off_end_is_named(chain):
    change(chain, f"DELETE FROM audit_log WHERE seq > {ENTRIES - 2}")
    assert verify(chain).first_bad == ENTRIES - 1


def test_chain_forged_whole_is_found_only_by_a_head_kept_elsewhere(chain):
    """What the log alone cannot prove, and the documentation says so."""
    known = verify(chain).head
    change(chain, "DELETE FROM audit_log", "DELETE FROM settings WHERE name = 'audit_head'")
    with chain.write() as conn:
        audit.note(conn, "harmless", at=NOW, actor="shell")
    assert verify(chain).fault == ""
    assert "kept elsewhere" in verify(chain, known=known).fault


def test_entry_goes_with_its_change_or_not_at_all(chain):
    class BrokenError(Exception):
        pass

    with pytest.raises(BrokenError), chain.write() as conn:
        audit.note(conn, "made", at=NOW, actor="shell")
        raise BrokenError
    assert verify(chain).entries == ENTRIES


def test_writers_at_once_make_one_chain(chain):
    def write():
        for _ in range(10):
            with chain.write() as conn:
                audit.note(conn, "made", at=NOW, actor="shell")

    threads = [threading.Thread(target=write) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    found = verify(chain)
    assert (found.fault, found.entries) == ("", ENTRIES + 40)
