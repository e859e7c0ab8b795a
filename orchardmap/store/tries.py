"""Wrong tries, counted by what was tried."""

from datetime import datetime

from sqlalchemy import Connection, delete, func, select, update
from sqlalchemy.dialects import postgresql, sqlite

from orchardmap.model.tries import Bound, Tries, after_failure
from orchardmap.store.access_tables import failed_tries as table

__all__ = ["add_failure", "forget_person", "forget_tries", "hold_tries", "tries_at"]


def tries_at(conn: Connection, subject: str, *, hold: bool = False) -> Tries | None:
    """Return the wrong tries at something; with ``hold`` others who count there wait for this transaction."""
    asked = select(table.c.failures, table.c.last_at, table.c.locked_until).where(table.c.subject == subject)
    found = conn.execute(asked.with_for_update() if hold else asked).one_or_none()
    return None if found is None else Tries(*found)


def hold_tries(conn: Connection, subject: str) -> None:
    """Make others who try the same wait until this transaction ends; what they count is seen after it."""
    if conn.dialect.name == "postgresql":  # SQLite's writers wait in one line anyway
        conn.execute(select(func.pg_advisory_xact_lock(func.hashtextextended(subject, 0))))


def add_failure(conn: Connection, subject: str, bound: Bound, now: datetime) -> Tries:
    """Count one more wrong try and return the tries so far."""
    # the record is made first, so that two first failures at once wait for each other
    make = (sqlite if conn.dialect.name == "sqlite" else postgresql).insert(table)
    conn.execute(make.values(subject=subject, failures=0, last_at=now).on_conflict_do_nothing())
    made = after_failure(tries_at(conn, subject, hold=True), bound, now)
    conn.execute(
        update(table)
        .where(table.c.subject == subject)
        .values(failures=made.failures, last_at=made.last_at, locked_until=made.locked_until)
    )
    return made


def forget_tries(conn: Connection, subject: str) -> None:
    """Begin anew after a right one."""
    conn.execute(delete(table).where(table.c.subject == subject))


def forget_person(conn: Connection, person_id: str) -> None:
    """Begin anew with a person's PIN, on every tablet."""
    named = table.c.subject.like("pin:%") & table.c.subject.endswith(person_id)
    conn.execute(delete(table).where(named))
