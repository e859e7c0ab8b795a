"""What intake must know of tablets."""

from sqlalchemy import Connection, select

from orchardmap.store import access_tables as t

__all__ = ["revoked_device_ids"]


def revoked_device_ids(conn: Connection, farm_id: str) -> frozenset[str]:
    """Return the ids of the farm's tablets whose pairing was ended."""
    d = t.devices.c
    return frozenset(
        conn.execute(select(d.id).where(d.farm_id == farm_id, d.revoked_at.is_not(None))).scalars()
    )
