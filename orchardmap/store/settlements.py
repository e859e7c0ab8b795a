"""Settlements: a manager's words on stretches and on records set aside. Appended, never edited."""

from collections.abc import Collection, Sequence
from datetime import datetime
from typing import Any

from sqlalchemy import ColumnElement, Connection, func, insert, select, true, tuple_

from orchardmap.model.work import RecordSettlement, StretchSettlement
from orchardmap.store import tables as t
from orchardmap.store.row_tables import chunks

__all__ = [
    "append_settlement",
    "record_settlements",
    "settled_at",
    "settlement",
    "stretch_settlements",
]

Settlement = StretchSettlement | RecordSettlement


def settlement(conn: Connection, farm_id: str, settlement_id: str) -> Settlement | None:
    """Return the settlement of that id, or None."""
    s = t.settlements.c
    found = conn.execute(
        select(t.settlements).where(s.farm_id == farm_id, s.id == settlement_id)
    ).one_or_none()
    return None if found is None else _made(found)


def append_settlement(
    conn: Connection, farm_id: str, said: Settlement, *, settled_by: str | None, now: datetime
) -> int:
    """Append a settlement under the farm's next number, and return that.

    Parameters
    ----------
    conn : Connection
        In a write transaction that holds the farm's lock.
    farm_id : str
        The farm.
    said : StretchSettlement or RecordSettlement
        Its own number is not looked at.
    settled_by : str or None
        Account that says it.
    now : datetime with time zone
        The server's clock.
    """
    s = t.settlements.c
    highest = conn.execute(select(func.max(s.number)).where(s.farm_id == farm_id)).scalar_one()
    number = int(highest or 0) + 1
    values: dict[str, Any] = {
        "farm_id": farm_id,
        "id": said.id,
        "number": number,
        "seen": sorted(said.seen),
        "note": said.note,
        "settled_by": settled_by,
        "settled_at": now,
    }
    keys = _STRETCH if isinstance(said, StretchSettlement) else _RECORD
    conn.execute(insert(t.settlements).values(values | {key: getattr(said, key) for key in keys}))
    return number


_STRETCH = ("season_id", "block_id", "row", "first", "last", "credited_crew_id")
_RECORD = ("record_kind", "record_id", "content_hash", "reason")


def _made(found: Any) -> Settlement:  # noqa: ANN401 - a row of the settlements table
    shared = {"id": found.id, "number": found.number, "seen": frozenset(found.seen), "note": found.note}
    if found.record_kind is not None:
        return RecordSettlement(**shared, **{key: getattr(found, key) for key in _RECORD})
    return StretchSettlement(**shared, **{key: getattr(found, key) for key in _STRETCH})


def stretch_settlements(
    conn: Connection,
    season_id: str,
    *,
    block_ids: Sequence[str] | None = None,
    rows: Collection[tuple[str, int]] | None = None,
) -> list[StretchSettlement]:
    """Return the settlements of stretches of a season, in order; of some blocks or rows (block id, number) only if given."""
    s = t.settlements.c
    asked = select(t.settlements).where(s.season_id == season_id, s.record_kind.is_(None))
    wanted: list[ColumnElement[bool]] = [true()]
    if rows is not None:
        wanted = [tuple_(s.block_id, s.row).in_(chunk) for chunk in chunks(sorted(rows), 300)]
    elif block_ids is not None:
        wanted = [s.block_id.in_(chunk) for chunk in chunks(sorted(block_ids))]
    found = [r for condition in wanted for r in conn.execute(asked.where(condition))]
    return [
        one for r in sorted(found, key=lambda r: r.number) if isinstance(one := _made(r), StretchSettlement)
    ]


def record_settlements(conn: Connection, farm_id: str) -> list[RecordSettlement]:
    """Return the settlements of records of a farm, in order."""
    s = t.settlements.c
    asked = select(t.settlements).where(s.farm_id == farm_id, s.record_kind.is_not(None)).order_by(s.number)
    return [one for r in conn.execute(asked) if isinstance(one := _made(r), RecordSettlement)]


def settled_at(conn: Connection, farm_id: str, ids: Collection[str]) -> dict[str, datetime]:
    """Return when each of these settlements was made."""
    s = t.settlements.c
    return {
        r.id: r.settled_at
        for chunk in chunks(sorted(ids))
        for r in conn.execute(select(s.id, s.settled_at).where(s.farm_id == farm_id, s.id.in_(chunk)))
    }
