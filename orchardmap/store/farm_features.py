"""Tracks, gates, water and sheds of a farm."""

from collections.abc import Iterable

from sqlalchemy import Connection, delete, func, insert, select, update

from orchardmap.errors import UnknownError
from orchardmap.model.farm_feature import FarmFeature
from orchardmap.store.farm_feature_tables import farm_features as t

__all__ = ["add_features", "change_feature", "farm_features", "feature", "feature_count", "remove_feature"]

_NONE = "no such feature on this farm"


def farm_features(conn: Connection, farm_id: str) -> list[FarmFeature]:
    """Return a farm's features in the order they were added."""
    found = conn.execute(select(t).where(t.c.farm_id == farm_id).order_by(t.c.id))
    return [FarmFeature(**dict(record._mapping)) for record in found]


def feature(conn: Connection, farm_id: str, feature_id: str) -> FarmFeature:
    """Return one feature.

    Raises
    ------
    UnknownError
        If the farm has none of that id.
    """
    found = conn.execute(select(t).where(t.c.farm_id == farm_id, t.c.id == feature_id)).one_or_none()
    if found is None:
        raise UnknownError(_NONE, where=feature_id)
    return FarmFeature(**dict(found._mapping))


def feature_count(conn: Connection, farm_id: str) -> int:
    """Return how many features a farm has."""
    return conn.execute(select(func.count()).where(t.c.farm_id == farm_id)).scalar_one()


def add_features(conn: Connection, made: Iterable[FarmFeature]) -> None:
    """Append features."""
    told = [{column.name: getattr(one, column.name) for column in t.c} for one in made]
    if told:
        conn.execute(insert(t), told)


def change_feature(conn: Connection, said: FarmFeature) -> None:
    """Let a feature be what is said of it now."""
    changed = {"kind": said.kind, "name": said.name, "shape": said.shape}
    conn.execute(update(t).where(t.c.farm_id == said.farm_id, t.c.id == said.id).values(changed))


def remove_feature(conn: Connection, farm_id: str, feature_id: str) -> None:
    """Take a feature away.

    Raises
    ------
    UnknownError
        If the farm has none of that id.
    """
    if conn.execute(delete(t).where(t.c.farm_id == farm_id, t.c.id == feature_id)).rowcount == 0:
        raise UnknownError(_NONE, where=feature_id)
