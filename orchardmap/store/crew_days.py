"""Crew-days: who worked how long. Kept like every other record (see `orchardmap.store.log`)."""

from collections.abc import Collection
from datetime import date
from typing import Any

from sqlalchemy import Connection, select

from orchardmap.store import tables as t
from orchardmap.store.row_tables import chunks
from orchardmap.store.standing import counts

__all__ = ["counting_crew_days", "crew_days", "replacing"]


def crew_days(
    conn: Connection, farm_id: str, *, day: date | None = None, crew_id: str | None = None
) -> list[Any]:
    """Return every version of the crew-days of a farm, each with ``counts``, by day and then in order of arrival."""
    c = t.crew_days.c
    asked = select(t.crew_days, counts("crew_day").label("counts")).where(c.farm_id == farm_id)
    if day is not None:
        asked = asked.where(c.day == day)
    if crew_id is not None:
        asked = asked.where(c.crew_id == crew_id)
    return list(conn.execute(asked.order_by(c.day, c.server_at, c.id, c.content_hash)))


def counting_crew_days(conn: Connection, farm_id: str) -> list[Any]:
    """Return the crew-days of a farm that count, by day and then in order of arrival."""
    return [one for one in crew_days(conn, farm_id) if one.counts]


def replacing(conn: Connection, farm_id: str, ids: Collection[str]) -> list[Any]:
    """Return every version of the crew-days that correct one of these."""
    c = t.crew_days.c
    return [
        found
        for chunk in chunks(sorted(ids))
        for found in conn.execute(select(t.crew_days).where(c.farm_id == farm_id, c.replaces_id.in_(chunk)))
    ]
