"""Photos of checked trees, as they came."""

from collections import defaultdict
from collections.abc import Sequence
from typing import Any

from sqlalchemy import Connection, func, insert, select

from orchardmap.store import tables as t
from orchardmap.store.check_photo_tables import check_photos as p

__all__ = ["add_photo", "check_of", "photo", "photo_ids", "photos_of_check"]


def check_of(conn: Connection, farm_id: str, check_id: str) -> Any:  # noqa: ANN401 - a row
    """Return id and day of a check of a farm, whether it counts or not; None where it is not known here."""
    checks = t.checks.c
    wanted = select(checks.id, checks.day).where(checks.farm_id == farm_id, checks.id == check_id)
    return conn.execute(wanted.order_by(checks.content_hash).limit(1)).one_or_none()


def photo(conn: Connection, photo_id: str) -> Any:  # noqa: ANN401 - a row
    """Return a photo with all its columns, or None."""
    return conn.execute(select(p).where(p.c.id == photo_id)).one_or_none()


def add_photo(conn: Connection, found: dict[str, Any]) -> None:
    """Append a photo."""
    conn.execute(insert(p).values(found))


def photos_of_check(conn: Connection, check_id: str) -> int:
    """Return how many photos a check has."""
    return conn.execute(select(func.count()).where(p.c.check_id == check_id)).scalar_one()


def photo_ids(conn: Connection, check_ids: Sequence[str]) -> dict[str, list[str]]:
    """Return the ids of the photos of checks, in the order they were taken; checks without one are left out."""
    found: dict[str, list[str]] = defaultdict(list)
    for check_id, photo_id in conn.execute(
        select(p.c.check_id, p.c.id).where(p.c.check_id.in_(check_ids)).order_by(p.c.id)
    ):
        found[check_id].append(photo_id)
    return dict(found)
