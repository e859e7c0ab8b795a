"""Lots as they are kept. What was drawn is never changed; a cancellation is said once."""

from collections.abc import Sequence
from dataclasses import fields
from datetime import datetime
from typing import Any

from sqlalchemy import ColumnElement, Connection, func, insert, select, true, update

from orchardmap.model.lot import Lot, LotTree, TreeRun
from orchardmap.quality.lot_plan import plan_from_json, plan_to_json
from orchardmap.store.lot_tables import lots as t
from orchardmap.store.row_tables import chunks
from orchardmap.store.whose import refuse_lot

__all__ = ["add_lot", "cancel_lot", "find_lot", "lot_of", "lots_of", "next_number", "returns_of_lots"]

_LISTS = ("eligible", "holes", "trees", "reserve")


def next_number(conn: Connection, farm_id: str, season_id: str) -> int:
    """Return the number of the next lot of a season; the caller holds the farm's lock."""
    asked = select(func.max(t.c.number)).where(t.c.farm_id == farm_id, t.c.season_id == season_id)
    return int(conn.execute(asked).scalar_one() or 0) + 1


def add_lot(conn: Connection, made: Lot) -> None:
    """Append a lot."""
    values = {field.name: getattr(made, field.name) for field in fields(Lot)}
    values |= {name: [list(one) for one in values[name]] for name in _LISTS}
    conn.execute(insert(t).values(values | {"plan": plan_to_json(made.plan)}))


def cancel_lot(
    conn: Connection, lot_id: str, *, cancelled_at: datetime, cancelled_by: str | None, reason: str
) -> None:
    """Say that a lot is taken back."""
    said = {"cancelled_at": cancelled_at, "cancelled_by": cancelled_by, "cancel_reason": reason}
    conn.execute(update(t).where(t.c.id == lot_id).values(said))


def find_lot(conn: Connection, lot_id: str) -> Lot | None:
    """Return the lot of that id, None where there is none."""
    found = conn.execute(select(t).where(t.c.id == lot_id)).one_or_none()
    return None if found is None else _lot(found)


def lot_of(conn: Connection, lot_id: str) -> Lot:
    """Return the lot of that id.

    Raises
    ------
    UnknownError
        If there is none.
    """
    found = find_lot(conn, lot_id)
    if found is None:
        refuse_lot(lot_id)
    return found


def lots_of(conn: Connection, season_id: str, *, block_ids: Sequence[str] | None = None) -> list[Lot]:
    """Return the lots of a season by number, cancelled ones too; of some blocks if given."""
    wanted: list[ColumnElement[bool]] = [true()]
    if block_ids is not None:
        wanted = [t.c.block_id.in_(chunk) for chunk in chunks(sorted(block_ids))]
    asked = select(t).where(t.c.season_id == season_id)
    found = [_lot(one) for condition in wanted for one in conn.execute(asked.where(condition))]
    return sorted(found, key=lambda lot: (lot.number, lot.id))


def returns_of_lots(conn: Connection, season_id: str) -> dict[str, str]:
    """Return the return that each lot of a season was drawn over; those that were drawn over none are left out."""
    asked = select(t.c.id, t.c.return_id).where(t.c.season_id == season_id, t.c.return_id.is_not(None))
    return {one.id: one.return_id for one in conn.execute(asked)}


def _lot(record: Any) -> Lot:  # noqa: ANN401 - a row of the lots table
    values = dict(record._mapping)
    return Lot(
        **values
        | {
            "plan": plan_from_json(values["plan"]),
            "eligible": tuple(TreeRun(*one) for one in values["eligible"]),
            "holes": tuple((row, position) for row, position in values["holes"]),
            "trees": tuple(LotTree(*one) for one in values["trees"]),
            "reserve": tuple((row, position) for row, position in values["reserve"] or ()),
        }
    )
