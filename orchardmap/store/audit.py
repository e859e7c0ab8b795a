"""The audit log: appended in the transaction of what it tells of, each entry holding the hash of the one before."""

import hashlib
import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from sqlalchemy import Connection, insert, select, text

from orchardmap.store import farm as farm_store
from orchardmap.store.access_tables import audit_log

__all__ = ["FIRST_HASH", "Entry", "entries", "entry_hash", "head", "note"]

FIRST_HASH = "0" * 64
_HEAD = "audit_head"
_CHAIN_LOCK = 0x6F7263686C67  # any number of our own: PostgreSQL's advisory lock for the end of the chain


@dataclass(frozen=True, slots=True)
class Entry:
    """One entry as it is kept."""

    seq: int
    farm_id: str | None
    at: datetime
    actor: str
    what: str
    subject: str
    detail: Mapping[str, Any]
    previous_hash: str
    hash: str


def entry_hash(entry: Entry) -> str:
    """Return the hash that an entry must have: over all that it says and the hash before it."""
    said = [
        entry.seq,
        entry.farm_id,
        entry.at.astimezone(UTC).isoformat(timespec="microseconds"),
        entry.actor,
        entry.what,
        entry.subject,
        dict(entry.detail),
        entry.previous_hash,
    ]
    plain = json.dumps(said, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    return hashlib.sha256(plain.encode()).hexdigest()


def note(
    conn: Connection,
    what: str,
    *,
    at: datetime,
    actor: str,
    subject: str = "",
    farm_id: str | None = None,
    **detail: str | int | bool | None,
) -> None:
    """Append an entry in the caller's transaction.

    Parameters
    ----------
    conn : Connection
        In a write transaction. Call `log.lock_farm` before this where both are needed: always in
        that order, so that two writers cannot wait for each other.
    what : str
        What happened, in one or two words with underscores.
    at : datetime with time zone
        The server's clock.
    actor : str
        ``account:<id>``, ``device:<id>``, ``nobody`` or ``shell`` (see `Caller.actor`).
    subject : str
        Id of what it was done to.
    farm_id : str, optional
        The farm, where it is one's.
    **detail
        Ids, numbers, roles: never a secret, never a person's name.
    """
    if conn.dialect.name == "postgresql":
        conn.execute(text("SELECT pg_advisory_xact_lock(:key)"), {"key": _CHAIN_LOCK})
    seq, before = head(conn)
    entry = Entry(seq + 1, farm_id, at, actor, what, subject, detail, before, "")
    made = entry_hash(entry)
    conn.execute(
        insert(audit_log).values(
            seq=entry.seq,
            farm_id=farm_id,
            at=at,
            actor=actor,
            what=what,
            subject=subject,
            detail=dict(detail),
            previous_hash=before,
            hash=made,
        )
    )
    farm_store.set_setting(conn, _HEAD, f"{entry.seq}:{made}")


def head(conn: Connection) -> tuple[int, str]:
    """Return number and hash of the newest entry as noted beside the log; zero and zeros for an empty one."""
    kept = farm_store.setting(conn, _HEAD)
    if kept is None:
        return 0, FIRST_HASH
    seq, _, hashed = kept.partition(":")
    return int(seq), hashed


def entries(conn: Connection) -> Iterator[Entry]:
    """Yield every entry in order."""
    for record in conn.execute(select(audit_log).order_by(audit_log.c.seq)):
        yield Entry(**dict(record._mapping))
