"""Wrong tries, counted by what was tried. However many there are, the table stays small."""

from datetime import datetime, timedelta

from sqlalchemy import Connection, Select, delete, func, insert, select, update
from sqlalchemy.dialects import postgresql, sqlite

from orchardmap.model.tries import Bound, Tries, after_failure
from orchardmap.store.access_tables import failed_tries as table

__all__ = [
    "MOST_KEPT",
    "add_failure",
    "count_untold",
    "forget_person",
    "forget_tries",
    "hold_tries",
    "tries_at",
]

MOST_KEPT = 10_000
"""Things tried that are counted at once; beyond it the one that was quiet longest is forgotten."""
_FORGOTTEN_AFTER = timedelta(hours=24)
_UNTOLD = "untold:"


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
    is_new = conn.execute(make.values(subject=subject, failures=0, last_at=now).on_conflict_do_nothing())
    if is_new.rowcount:
        _make_room(conn, now, but=subject)
    made = after_failure(tries_at(conn, subject, hold=True), bound, now)
    conn.execute(
        update(table)
        .where(table.c.subject == subject)
        .values(failures=made.failures, last_at=made.last_at, locked_until=made.locked_until)
    )
    return made


def _make_room(conn: Connection, now: datetime, *, but: str) -> None:
    """Drop what counts no more, and what is too much: whoever tries ever new logins must not fill the disk.

    Twenty tries from one address lock it, so to push one counter out takes hundreds of addresses at once.
    """
    long_ago = now - _FORGOTTEN_AFTER  # no bound remembers for longer
    quiet_since = func.coalesce(table.c.locked_until, table.c.last_at)
    is_try = ~table.c.subject.startswith(_UNTOLD) & (table.c.subject != but)
    _drop(conn, select(table.c.subject).where(is_try, table.c.last_at < long_ago, quiet_since < long_ago))
    over = conn.execute(select(func.count()).select_from(table).where(is_try)).scalar_one() + 1 - MOST_KEPT
    if over > 0:
        _drop(conn, select(table.c.subject).where(is_try).order_by(table.c.last_at).limit(over))


def _drop(conn: Connection, chosen: Select[tuple[str]]) -> None:
    # what somebody else counts on at this moment is left for the next time, so that nobody waits in a ring
    conn.execute(delete(table).where(table.c.subject.in_(chosen.with_for_update(skip_locked=True))))


def count_untold(conn: Connection, what: str, now: datetime, *, step: timedelta) -> int:
    """Count one more wrong try of a kind; return how many there were since the last telling, zero until it is time again.

    Parameters
    ----------
    conn : Connection
        In a write transaction.
    what : str
        The kind.
    now : datetime with time zone
        The server's clock.
    step : timedelta
        Least time between two tellings; the first try is told at once.

    Returns
    -------
    int
    """
    subject = _UNTOLD + what
    hold_tries(conn, subject)
    kept = tries_at(conn, subject)
    untold = (kept.failures if kept else 0) + 1
    forget_tries(conn, subject)
    if kept is not None and now < kept.last_at + step:
        conn.execute(insert(table).values(subject=subject, failures=untold, last_at=kept.last_at))
        return 0
    conn.execute(insert(table).values(subject=subject, failures=0, last_at=now))
    return untold


def forget_tries(conn: Connection, subject: str) -> None:
    """Begin anew after a right one."""
    conn.execute(delete(table).where(table.c.subject == subject))


def forget_person(conn: Connection, person_id: str) -> None:
    """Begin anew with a person's PIN, on every tablet."""
    named = table.c.subject.like("pin:%") & table.c.subject.endswith(person_id)
    conn.execute(delete(table).where(named))
