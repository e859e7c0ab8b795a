"""Reading keys: each lets a program read one farm's features. Only a hash of a key is kept."""

from datetime import datetime

from sqlalchemy import Connection, insert, select, update

from orchardmap.errors import UnknownError
from orchardmap.model.access import KEY_SEEN_STEP, ReadingKey
from orchardmap.store import access_tables as t

__all__ = ["add_key", "end_key", "key_by_hash", "keys_of_farm", "touch_key"]

_k = t.reading_keys.c
_KEY = (
    _k.id,
    _k.farm_id,
    _k.name,
    _k.sight,
    _k.made_at,
    _k.made_by,
    _k.expires_at,
    _k.last_used_at,
    _k.ended_at,
)


def add_key(conn: Connection, made: ReadingKey, *, key_hash: str) -> None:
    """Append a key."""
    conn.execute(
        insert(t.reading_keys).values(
            id=made.id,
            farm_id=made.farm_id,
            name=made.name,
            sight=made.sight,
            key_hash=key_hash,
            made_at=made.made_at,
            made_by=made.made_by,
            expires_at=made.expires_at,
        )
    )


def key_by_hash(conn: Connection, key_hash: str) -> ReadingKey | None:
    """Return the key of a hash, also one that has ended; None where none has it."""
    found = conn.execute(select(*_KEY).where(_k.key_hash == key_hash)).one_or_none()
    return None if found is None else ReadingKey(*found)


def keys_of_farm(conn: Connection, farm_id: str) -> list[tuple[ReadingKey, str | None]]:
    """Return a farm's keys, the last made first, ended ones too, each with the name of the account that made it."""
    asked = (
        select(*_KEY, t.accounts.c.name)
        .outerjoin(t.accounts, t.accounts.c.id == _k.made_by)
        .where(_k.farm_id == farm_id)
        .order_by(_k.made_at.desc(), _k.id)
    )
    return [(ReadingKey(*one[:-1]), one[-1]) for one in conn.execute(asked)]


def end_key(conn: Connection, farm_id: str, key_id: str, now: datetime) -> bool:
    """End a key; tell whether it had not ended before.

    Raises
    ------
    UnknownError
        If the farm has no key of that id.
    """
    mine = (_k.id == key_id, _k.farm_id == farm_id)
    if conn.execute(select(_k.id).where(*mine)).first() is None:
        raise UnknownError("no such reading key on this farm", where=key_id)
    ended = conn.execute(update(t.reading_keys).where(*mine, _k.ended_at.is_(None)).values(ended_at=now))
    return ended.rowcount > 0


def touch_key(conn: Connection, key_id: str, now: datetime) -> None:
    """Note that a key was used, unless that is known to the hour."""
    is_old = _k.last_used_at.is_(None) | (_k.last_used_at <= now - KEY_SEEN_STEP)
    conn.execute(update(t.reading_keys).where(_k.id == key_id, is_old).values(last_used_at=now))
