"""Power lines of a farm."""

from sqlalchemy import Connection, delete, insert, select

from orchardmap.errors import UnknownError
from orchardmap.model.hazard import HazardLine
from orchardmap.store.hazard_tables import hazard_lines as t

__all__ = ["add_line", "hazard_lines", "remove_line"]


def hazard_lines(conn: Connection, farm_id: str) -> list[HazardLine]:
    """Return a farm's power lines in the order they were added."""
    found = conn.execute(select(t).where(t.c.farm_id == farm_id).order_by(t.c.id))
    return [HazardLine(**dict(record._mapping)) for record in found]


def add_line(conn: Connection, made: HazardLine) -> None:
    """Append a power line."""
    conn.execute(insert(t).values({column.name: getattr(made, column.name) for column in t.c}))


def remove_line(conn: Connection, farm_id: str, line_id: str) -> None:
    """Take a power line away.

    Raises
    ------
    UnknownError
        If the farm has none of that id.
    """
    if conn.execute(delete(t).where(t.c.farm_id == farm_id, t.c.id == line_id)).rowcount == 0:
        raise UnknownError("no such power line on this farm", where=line_id)
