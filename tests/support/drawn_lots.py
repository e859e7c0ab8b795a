"""Lots as a draw leaves them, put straight into the table: for tests of what names a lot, not of how it is drawn."""

from collections.abc import Sequence
from datetime import UTC, date, datetime
from typing import Any

from sqlalchemy import Connection, insert

from orchardmap.store.lot_tables import lots
from orchardmap.store.lots import next_number


def add_lot(
    conn: Connection,
    lot_id: str,
    of: tuple[str, str, str],
    trees: Sequence[tuple[int, int, bool]],
    **more: Any,
) -> None:
    """Append a lot of (farm, season, block) that drew these trees (row, position, is extra)."""
    farm_id, season_id, block_id = of
    drawn = sum(not is_extra for _, _, is_extra in trees)
    values = {
        "id": lot_id,
        "farm_id": farm_id,
        "season_id": season_id,
        "number": next_number(conn, farm_id, season_id),
        "block_id": block_id,
        "opened_on": date(2026, 1, 19),
        "opened_at": datetime(2026, 1, 19, 8, tzinfo=UTC),
        "plan": {"kind": "attributes", "level": "I", "aql": 4.0, "severity": "normal"},
        "n": drawn,
        "accept": 0,
        "reject": 1,
        "seed": 1848,
        "eligible": sorted([row, 1, 10] for row in {row for row, _, _ in trees}),
        "holes": [],
        "lot_trees": 10 * len({row for row, _, _ in trees}),
        "trees": [list(tree) for tree in trees],
    }
    conn.execute(insert(lots).values(values | more))
