"""Standing marks as pay needs them: with their method, of the first round and of returns."""

from sqlalchemy import Connection, or_, select

from orchardmap.pay.credit import PayMark
from orchardmap.store import tables as t
from orchardmap.store.standing import answering, stands

__all__ = ["pay_marks"]


def pay_marks(conn: Connection, season_id: str) -> list[PayMark]:
    """Return the standing marks of a season, those that answer a return too."""
    m = t.marks.c
    asked = select(
        m.id, m.crew_id, m.day, m.block_id, m.row, m.first, m.last, m.method, m.content_hash, m.return_id
    ).where(or_(stands(season_id), answering(season_id)))
    return [PayMark(**dict(one._mapping)) for one in conn.execute(asked)]
