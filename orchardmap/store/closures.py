"""Closures of blocks and the earlier ends that were said of them. Both are appended; the earliest end holds."""

from collections.abc import Sequence
from dataclasses import asdict
from datetime import datetime

from sqlalchemy import Connection, func, insert, select

from orchardmap.model.season import Closure
from orchardmap.store import closure_tables as t
from orchardmap.store.row_tables import chunks

__all__ = ["add_closure", "add_end", "closures"]


def add_closure(conn: Connection, closure: Closure) -> None:
    """Append a closure."""
    conn.execute(insert(t.closures).values(**asdict(closure)))


def add_end(conn: Connection, closure_id: str, *, ends_at: datetime, said_by: str, now: datetime) -> None:
    """Append that a closure ends earlier than it did."""
    conn.execute(
        insert(t.closure_ends).values(closure_id=closure_id, ends_at=ends_at, said_by=said_by, said_at=now)
    )


def closures(conn: Connection, block_ids: Sequence[str]) -> list[Closure]:
    """Return the closures of the given blocks as they stand now, earliest first; not those that were taken back."""
    c, e = t.closures.c, t.closure_ends.c
    said = select(e.closure_id, func.min(e.ends_at).label("ends_at")).group_by(e.closure_id).subquery()
    until = func.coalesce(said.c.ends_at, c.ends_at)
    asked = (
        select(c.id, c.block_id, c.starts_at, until, c.reason)
        .outerjoin(said, said.c.closure_id == c.id)
        .where(until > c.starts_at)
    )
    found = [
        Closure(*r) for chunk in chunks(block_ids) for r in conn.execute(asked.where(c.block_id.in_(chunk)))
    ]
    return sorted(found, key=lambda c: (c.starts_at, c.id))
