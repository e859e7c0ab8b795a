"""What a farm sets for its advice; a setting that this program does not know is kept as it is."""

import json
from typing import Any

from sqlalchemy import Connection, delete, insert, select

from orchardmap.pruning.farm_settings import SETTINGS, FarmSettings
from orchardmap.store.farm_setting_tables import farm_settings as t

__all__ = ["farm_settings", "save_farm_settings"]


def _said(conn: Connection, farm_id: str) -> dict[str, Any]:
    kept = conn.execute(select(t.c.said).where(t.c.farm_id == farm_id)).scalar_one_or_none()
    return json.loads(kept) if kept else {}


def farm_settings(conn: Connection, farm_id: str) -> FarmSettings:
    """Return the settings of a farm that is there; what nobody set has its first guess."""
    return FarmSettings(**{name: value for name, value in _said(conn, farm_id).items() if name in SETTINGS})


def save_farm_settings(conn: Connection, farm_id: str, changes: dict[str, float | str]) -> None:
    """Keep changed settings beside those that are kept already."""
    said = json.dumps(_said(conn, farm_id) | changes, allow_nan=False)
    conn.execute(delete(t).where(t.c.farm_id == farm_id))
    conn.execute(insert(t).values(farm_id=farm_id, said=said))
