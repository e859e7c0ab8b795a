"""What of the log a tablet takes along: standing marks and settlements of whole blocks, one query each."""

from collections.abc import Sequence
from typing import Any

from sqlalchemy import Connection, and_, exists, or_, select

from orchardmap.store import tables as t
from orchardmap.store.row_tables import chunks

__all__ = ["marks_to_fold", "settlements_of"]

_m, _w = t.marks.c, t.withdrawals.c
_taken_back = exists().where(
    and_(
        _w.farm_id == _m.farm_id,
        _w.mark_id == _m.id,
        _w.set_aside.is_(None),
        or_(_w.for_crew_id.is_(None), _w.for_crew_id == _m.crew_id),
    )
)


def marks_to_fold(conn: Connection, season_id: str, block_ids: Sequence[str]) -> list[Any]:
    """Return the marks of some blocks that stand, of the first round, by block, row and id."""
    asked = (
        select(_m.block_id, _m.id, _m.row, _m.first, _m.last, _m.crew_id, _m.day)
        .where(_m.season_id == season_id, _m.set_aside.is_(None), _m.return_id.is_(None), ~_taken_back)
        .order_by(_m.block_id, _m.row, _m.id)
    )
    return [
        found
        for chunk in chunks(sorted(block_ids))
        for found in conn.execute(asked.where(_m.block_id.in_(chunk)))
    ]


def settlements_of(conn: Connection, season_id: str, block_ids: Sequence[str]) -> list[Any]:
    """Return the settlements of stretches of some blocks, in the order in which they were made."""
    c = t.settlements.c
    asked = select(t.settlements).where(c.season_id == season_id).order_by(c.number, c.id)
    found = [
        one for chunk in chunks(sorted(block_ids)) for one in conn.execute(asked.where(c.block_id.in_(chunk)))
    ]
    return sorted(found, key=lambda one: (one.number, one.id))
