"""Lots as returns know them: those that a return is made from, and those that are drawn over a return's trees."""

from collections.abc import Collection
from datetime import date
from typing import Any

from sqlalchemy import Connection, select

from orchardmap.errors import UnknownError
from orchardmap.store.lot_tables import lots
from orchardmap.store.row_tables import chunks

__all__ = ["lot_briefs", "lot_of_block", "recheck_lots", "returns_of_lots"]


def recheck_lots(conn: Connection, return_ids: Collection[str], *, until: date | None = None) -> list[Any]:
    """Return the lots drawn over these returns and not cancelled, by number; opened by a day, where one is given."""
    c = lots.c
    asked = select(lots).where(c.cancelled_at.is_(None))
    if until is not None:
        asked = asked.where(c.opened_on <= until)
    found = [
        lot
        for chunk in chunks(sorted(return_ids))
        for lot in conn.execute(asked.where(c.return_id.in_(chunk)))
    ]
    return sorted(found, key=lambda lot: int(lot.number))


def returns_of_lots(conn: Connection, lot_ids: Collection[str]) -> dict[str, str]:
    """Return the return that each of these lots was drawn over; those that were drawn over none are left out."""
    c = lots.c
    asked = select(c.id, c.return_id).where(c.return_id.is_not(None))
    return {
        lot_id: return_id
        for chunk in chunks(sorted(lot_ids))
        for lot_id, return_id in conn.execute(asked.where(c.id.in_(chunk)))
    }


def lot_of_block(conn: Connection, block_id: str, lot_id: str) -> Any:  # noqa: ANN401 - a row of the lots table
    """Return a lot of a block.

    Raises
    ------
    UnknownError
        If the block has no such lot, or it was cancelled.
    """
    c = lots.c
    asked = select(lots).where(c.id == lot_id, c.block_id == block_id, c.cancelled_at.is_(None))
    found = conn.execute(asked).one_or_none()
    if found is None:
        raise UnknownError("the block has no such lot", where=lot_id)
    return found


def lot_briefs(conn: Connection, lot_ids: Collection[str]) -> dict[str, tuple[str, int]]:
    """Return id and version of the brief that each of these lots is judged by; those without one are left out."""
    c = lots.c
    asked = select(c.id, c.brief_id, c.brief_version).where(c.brief_version.is_not(None))
    return {
        lot_id: (brief_id, version)
        for chunk in chunks(sorted(lot_ids))
        for lot_id, brief_id, version in conn.execute(asked.where(c.id.in_(chunk)))
    }
