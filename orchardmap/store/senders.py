"""Who hands records in, and from which tablets nothing counts any more.

Each record keeps its first sender; a sender of another scope is kept beside it. What they may speak for is a set that only
grows (see `orchardmap.work.speaking`).
"""

from collections import defaultdict
from collections.abc import Collection, Sequence
from datetime import datetime

from sqlalchemy import Connection, insert, select

from orchardmap.model.people import Sender
from orchardmap.store import access_tables
from orchardmap.store import tables as t
from orchardmap.store.row_tables import chunks
from orchardmap.store.standing import RECORDS

__all__ = ["Version", "append_senders", "revoked_devices", "scopes"]

Version = tuple[str, str]
"""Record id, content hash."""
_ANY = "any"


def scopes(
    conn: Connection, kind: str, farm_id: str, ids: Collection[str]
) -> defaultdict[Version, set[str | None]]:
    """Return the scopes of all who handed in each version of these records: a crew's id, or None for any crew."""
    r, o = RECORDS[kind].c, t.other_senders.c
    found: defaultdict[Version, set[str | None]] = defaultdict(set)
    for chunk in chunks(sorted(ids)):
        first = select(r.id, r.content_hash, r.for_crew_id).where(r.farm_id == farm_id, r.id.in_(chunk))
        for one in conn.execute(first):
            found[one.id, one.content_hash].add(one.for_crew_id)
        others = select(o.record_id, o.content_hash, o.speaks_for).where(
            o.farm_id == farm_id, o.record_kind == kind, o.record_id.in_(chunk)
        )
        for one in conn.execute(others):
            found[one.record_id, one.content_hash].add(None if one.speaks_for == _ANY else one.speaks_for)
    return found


def append_senders(
    conn: Connection, kind: str, farm_id: str, found: Sequence[Version], *, sender: Sender, now: datetime
) -> None:
    """Keep that these versions were handed in again by a sender of a scope that is new to them."""
    if found:
        shared = {
            "farm_id": farm_id, "record_kind": kind, "speaks_for": sender.crew_id or _ANY, "handed_in_by": sender.id,
            "server_at": now,
        }  # fmt: skip
        conn.execute(
            insert(t.other_senders),
            [shared | {"record_id": record_id, "content_hash": digest} for record_id, digest in found],
        )


def revoked_devices(conn: Connection, farm_id: str) -> dict[str, datetime]:
    """Return when the pairing of the farm's tablets was ended, by id, for those where it was."""
    d = access_tables.devices.c
    found = conn.execute(select(d.id, d.revoked_at).where(d.farm_id == farm_id, d.revoked_at.is_not(None)))
    return {one.id: one.revoked_at for one in found}
