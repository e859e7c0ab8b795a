"""Closures of blocks and the earlier ends that were said of them. Both are appended; the earliest end holds."""

from collections.abc import Iterable, Sequence
from dataclasses import asdict
from datetime import datetime

from sqlalchemy import ColumnElement, Connection, func, insert, select

from orchardmap.model.season import Closure
from orchardmap.store import closure_tables as t
from orchardmap.store.row_tables import chunks
from orchardmap.store.tables import blocks

__all__ = ["add_closure", "add_end", "closures", "closures_of_farm"]


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
    return _sorted(
        closure for chunk in chunks(block_ids) for closure in _found(conn, t.closures.c.block_id.in_(chunk))
    )


def closures_of_farm(conn: Connection, farm_id: str) -> list[Closure]:
    """Return the same of all blocks of a farm."""
    own = select(blocks.c.id).where(blocks.c.farm_id == farm_id)
    return _sorted(_found(conn, t.closures.c.block_id.in_(own)))


def _found(conn: Connection, of_blocks: ColumnElement[bool]) -> list[Closure]:
    c, e = t.closures.c, t.closure_ends.c
    said = select(e.closure_id, func.min(e.ends_at).label("ends_at")).group_by(e.closure_id).subquery()
    until = func.coalesce(said.c.ends_at, c.ends_at)
    asked = (
        select(c.id, c.block_id, c.starts_at, until, c.reason)
        .outerjoin(said, said.c.closure_id == c.id)
        .where(until > c.starts_at, of_blocks)
    )
    return [Closure(*r) for r in conn.execute(asked)]


def _sorted(found: Iterable[Closure]) -> list[Closure]:
    return sorted(found, key=lambda c: (c.starts_at, c.id))
