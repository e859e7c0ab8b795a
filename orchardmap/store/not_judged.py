"""Trees of lots that nobody judges: what auditors said of them, and places that hold no tree any more."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date

from sqlalchemy import Connection, select

from orchardmap.model.check import NotJudged
from orchardmap.store import tables as t
from orchardmap.store.row_tables import chunks
from orchardmap.store.standing import counts

__all__ = ["Unjudged", "no_trees", "row_ends", "unjudged_of"]


@dataclass(frozen=True, slots=True)
class Unjudged:
    """An auditor's word that a lot's tree could not be judged."""

    id: str
    block_id: str
    row: int
    position: int
    reason: NotJudged
    day: date
    auditor_id: str | None
    note: str
    lot_id: str


def unjudged_of(
    conn: Connection, season_id: str, block_ids: Collection[str], *, until: date | None = None
) -> list[Unjudged]:
    """Return such words of a season that count, oldest first; up to a day where one is given."""
    c = t.checks.c
    told = (c.id, c.block_id, c.row, c.position, c.not_judged, c.day, c.auditor_id, c.note, c.lot_id)
    asked = select(*told).where(c.season_id == season_id, c.not_judged.is_not(None), counts("check"))
    if until is not None:
        asked = asked.where(c.day <= until)
    asked = asked.order_by(c.day, c.corrected_at, c.id)
    return [
        Unjudged(*found)
        for chunk in chunks(sorted(block_ids))
        for found in conn.execute(asked.where(c.block_id.in_(chunk)))
    ]


def no_trees(conn: Connection, block_ids: Collection[str]) -> set[tuple[str, int, int]]:
    """Return block, row and position of the blanks and pollinizers of some blocks."""
    p = t.places.c
    asked = select(p.block_id, p.row, p.position)
    return {
        (block_id, row, position)
        for chunk in chunks(sorted(block_ids))
        for block_id, row, position in conn.execute(asked.where(p.block_id.in_(chunk)))
    }


def row_ends(conn: Connection, block_ids: Collection[str]) -> dict[tuple[str, int], int]:
    """Return how many positions each row of some blocks has, by block and row."""
    r = t.rows.c
    asked = select(r.block_id, r.number, r.positions)
    return {
        (block_id, row): positions
        for chunk in chunks(sorted(block_ids))
        for block_id, row, positions in conn.execute(asked.where(r.block_id.in_(chunk)))
    }
