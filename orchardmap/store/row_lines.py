"""The lines of rows, and nothing else of them."""

from collections.abc import Sequence

from shapely.geometry import MultiLineString
from sqlalchemy import Connection, select

from orchardmap.store import tables as t
from orchardmap.store.row_tables import chunks

__all__ = ["row_lines"]


def row_lines(conn: Connection, block_ids: Sequence[str]) -> dict[str, list[MultiLineString]]:
    """Return the lines of the rows of several blocks, by number, in lonlat degrees."""
    found: dict[str, list[MultiLineString]] = {block_id: [] for block_id in block_ids}
    asked = select(t.rows.c.block_id, t.rows.c.line).order_by(t.rows.c.number)
    for chunk in chunks(sorted(found)):
        for block_id, line in conn.execute(asked.where(t.rows.c.block_id.in_(chunk))):
            found[block_id].append(line)
    return found
