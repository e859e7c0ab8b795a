"""Returns as they are kept. What was said is never changed; a cancellation is said once."""

from collections.abc import Collection, Sequence
from dataclasses import fields
from datetime import date, datetime
from typing import Any

from sqlalchemy import ColumnElement, Connection, func, insert, select, true, update

from orchardmap.model.returns import Return, Stretch
from orchardmap.store import return_tables as t
from orchardmap.store.row_tables import chunks
from orchardmap.store.whose import refuse_return

__all__ = [
    "add_return",
    "cancel_return",
    "find_return",
    "next_number",
    "return_of",
    "returns_of",
    "standing_returns",
]


def next_number(conn: Connection, farm_id: str, season_id: str) -> int:
    """Return the number of the next return of a season; the caller holds the farm's lock."""
    r = t.returns.c
    asked = select(func.max(r.number)).where(r.farm_id == farm_id, r.season_id == season_id)
    return int(conn.execute(asked).scalar_one() or 0) + 1


def add_return(conn: Connection, made: Return) -> None:
    """Append a return with its stretches."""
    names = [field.name for field in fields(Return) if field.name != "stretches"]
    values = {name: getattr(made, name) for name in names}
    conn.execute(insert(t.returns).values(values | {"points": list(made.points)}))
    conn.execute(
        insert(t.return_stretches), [{"return_id": made.id} | one._asdict() for one in made.stretches]
    )


def cancel_return(
    conn: Connection, return_id: str, *, cancelled_at: datetime, cancelled_by: str | None, reason: str
) -> None:
    """Say that a return is taken back."""
    said = {"cancelled_at": cancelled_at, "cancelled_by": cancelled_by, "cancel_reason": reason}
    conn.execute(update(t.returns).where(t.returns.c.id == return_id).values(said))


def find_return(conn: Connection, return_id: str) -> Return | None:
    """Return the return of that id, None where there is none."""
    found = _returns(conn, [t.returns.c.id == return_id])
    return found[0] if found else None


def return_of(conn: Connection, return_id: str) -> Return:
    """Return the return of that id.

    Raises
    ------
    UnknownError
        If there is none.
    """
    found = find_return(conn, return_id)
    if found is None:
        refuse_return(return_id)
    return found


def returns_of(
    conn: Connection,
    season_id: str,
    *,
    block_ids: Sequence[str] | None = None,
    ids: Collection[str] | None = None,
    until: date | None = None,
) -> list[Return]:
    """Return the returns of a season by number, cancelled ones too: of some blocks, of these ids, made by a day, where given."""
    r = t.returns.c
    asked = r.season_id == season_id
    if until is not None:
        asked &= r.made_on <= until
    wanted: list[ColumnElement[bool]] = [true()]
    if ids is not None:
        wanted = [r.id.in_(chunk) for chunk in chunks(sorted(ids))]
    elif block_ids is not None:
        wanted = [r.block_id.in_(chunk) for chunk in chunks(sorted(block_ids))]
    return _returns(conn, [asked & condition for condition in wanted])


def _returns(conn: Connection, conditions: Sequence[ColumnElement[bool]]) -> list[Return]:
    found = [row for one in conditions for row in conn.execute(select(t.returns).where(one))]
    s = t.return_stretches.c
    stretches: dict[str, list[Stretch]] = {row.id: [] for row in found}
    for chunk in chunks(sorted(stretches)):
        for row in conn.execute(select(t.return_stretches).where(s.return_id.in_(chunk))):
            stretches[row.return_id].append(Stretch(row.row, row.first, row.last))
    return sorted((_made(row, stretches[row.id]) for row in found), key=lambda one: (one.number, one.id))


def _made(row: Any, stretches: Sequence[Stretch]) -> Return:  # noqa: ANN401 - a row of the returns table
    values = dict(row._mapping)
    return Return(**values | {"points": tuple(values["points"]), "stretches": tuple(sorted(stretches))})


def standing_returns(conn: Connection, farm_id: str) -> frozenset[tuple[str, str, str]]:
    """Return (return id, season id, block id) of a farm's returns that were not cancelled."""
    r = t.returns.c
    asked = select(r.id, r.season_id, r.block_id).where(r.farm_id == farm_id, r.cancelled_at.is_(None))
    return frozenset((one.id, one.season_id, one.block_id) for one in conn.execute(asked))
