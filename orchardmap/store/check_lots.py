"""Lots as a check that names one must know them."""

from collections.abc import Collection

from sqlalchemy import Connection, select

from orchardmap.store.lot_tables import lots
from orchardmap.store.row_tables import chunks
from orchardmap.work.intake import LotPlace

__all__ = ["lot_places"]


def lot_places(conn: Connection, farm_id: str, lot_ids: Collection[str]) -> dict[str, LotPlace]:
    """Return season, block and drawn trees of the farm's lots among these, by id; a lot that was cancelled is one too.

    Trees that may stand in for others are among them: a tablet may have called one in before it heard of a check.
    """
    asked = select(lots.c.id, lots.c.season_id, lots.c.block_id, lots.c.trees, lots.c.reserve)
    asked = asked.where(lots.c.farm_id == farm_id)
    return {
        lot.id: LotPlace(
            lot.season_id,
            lot.block_id,
            frozenset((row, position) for row, position, *_ in (*lot.trees, *(lot.reserve or ()))),
        )
        for chunk in chunks(sorted(lot_ids))
        for lot in conn.execute(asked.where(lots.c.id.in_(chunk)))
    }
