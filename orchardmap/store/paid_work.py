"""Standing marks as pay needs them: with their method, of the first round and of returns."""

from collections import defaultdict

from sqlalchemy import Connection, select

from orchardmap.store import tables as t
from orchardmap.store.standing import answering, stands
from orchardmap.work.credited import Answered, Worked

__all__ = ["answered_by_return", "worked_by_block"]


def worked_by_block(conn: Connection, season_id: str) -> dict[str, list[Worked]]:
    """Return the standing marks of a season's first round by block."""
    m = t.marks.c
    asked = select(m.block_id, m.row, m.first, m.last, m.crew_id, m.day, m.method).where(stands(season_id))
    found: dict[str, list[Worked]] = defaultdict(list)
    for block_id, *told in conn.execute(asked):
        found[block_id].append(Worked(*told))
    return dict(found)


def answered_by_return(conn: Connection, season_id: str) -> dict[str, list[Answered]]:
    """Return the standing marks of a season that answer a return, by that return."""
    m = t.marks.c
    asked = select(m.return_id, m.row, m.first, m.last, m.crew_id, m.day, m.method, m.id).where(
        answering(season_id)
    )
    found: dict[str, list[Answered]] = defaultdict(list)
    for return_id, *told in conn.execute(asked):
        found[return_id].append(Answered(*told))
    return dict(found)
