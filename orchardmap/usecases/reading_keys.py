"""Reading keys: made by a manager for a program that reads one farm's features, shown once, ended at once."""

from contextlib import suppress
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from orchardmap.errors import ConflictError, InputError, StoreError, UnknownError
from orchardmap.model.access import (
    KEY_LIFE,
    KEY_LONGEST,
    NOBODY,
    Caller,
    Grant,
    KeySight,
    ReadingKey,
)
from orchardmap.store import audit, log, reading_keys
from orchardmap.store import farm as farm_store
from orchardmap.store.session import Connection, Store
from orchardmap.usecases.credentials import new_token, token_hash
from orchardmap.usecases.planting import new_id

__all__ = ["KeyWish", "caller_of_key", "end", "end_named", "is_reading_key", "listed_json", "make", "touch"]

_MARK = "read."
"""Begins every key: it says what it is wherever it is found, and no session's token holds a dot, so that neither is ever looked for among the other."""


@dataclass(frozen=True, slots=True)
class KeyWish:
    """A key as its maker wants it."""

    name: str
    sight: KeySight = "all"
    ends_on: date | None = None
    """Its last day, of the farm's own zone; a year from today when left out."""


def is_reading_key(secret: str) -> bool:
    """Tell whether a secret has the form of a reading key."""
    return secret.startswith(_MARK)


def make(
    store: Store, *, actor: str, farm_id: str, wish: KeyWish, now: datetime
) -> tuple[dict[str, Any], str]:
    """Make a key for a farm.

    Parameters
    ----------
    store : Store
        Open for writing.
    actor : str
        As the audit log names whoever makes it.
    farm_id : str
        The farm that it is to read.
    wish : KeyWish
        What it is to be.
    now : datetime with time zone
        The server's clock.

    Returns
    -------
    (dict, str)
        What the list tells of it; and the key itself, which is not kept.

    Raises
    ------
    InputError
        If the name is empty or too long, or the last day is over or too far off.
    ConflictError
        If another key that is still good goes by that name on this farm.
    UnknownError
        If no farm has that id.
    """
    secret = _MARK + new_token()
    with store.write() as conn:
        log.lock_farm(conn, farm_id)
        zone = ZoneInfo(farm_store.farm(conn, farm_id).time_zone)
        name = _free_name(conn, farm_id, wish.name, now)
        expires_at = _after(wish.ends_on, zone, now)
        made_by = actor.removeprefix("account:") if actor.startswith("account:") else None
        made = ReadingKey(new_id(), farm_id, name, wish.sight, now, made_by, expires_at)
        reading_keys.add_key(conn, made, key_hash=token_hash(secret))
        audit.note(
            conn,
            "reading_key_made",
            at=now,
            actor=actor,
            subject=made.id,
            farm_id=farm_id,
            sight=wish.sight,
            expires_at=expires_at.isoformat(),
        )
        maker = dict(reading_keys.keys_of_farm(conn, farm_id))[made]
    return _key_json(made, maker, zone, now), secret


def _free_name(conn: Connection, farm_id: str, said: str, now: datetime) -> str:
    name = " ".join(said.split())
    if not name or len(name) > 200:
        raise InputError("a reading key needs a name of 1 to 200 characters", where="name")
    taken = {key.name for key, _ in reading_keys.keys_of_farm(conn, farm_id) if key.is_good(now)}
    if name in taken:
        raise ConflictError(
            "a reading key of that name is good already",
            where="name",
            todo="End that one first, or give another name.",
        )
    return name


def _after(ends_on: date | None, zone: ZoneInfo, now: datetime) -> datetime:
    """Return the first moment after a key's last day."""
    today = now.astimezone(zone).date()
    last = today + KEY_LIFE if ends_on is None else ends_on
    if not today <= last <= today + KEY_LONGEST:
        raise InputError(
            "a reading key ends today at the earliest, and in five years at the latest",
            where="ends_on",
            todo="Give another day.",
        )
    return datetime.combine(last + timedelta(days=1), time.min, zone).astimezone(now.tzinfo)


def listed_json(store: Store, farm_id: str, *, now: datetime) -> list[dict[str, Any]]:
    """Return what a manager is told of a farm's keys, the last made first, ended ones too.

    Raises
    ------
    UnknownError
        If no farm has that id.
    """
    with store.read() as conn:
        zone = ZoneInfo(farm_store.farm(conn, farm_id).time_zone)
        return [_key_json(key, maker, zone, now) for key, maker in reading_keys.keys_of_farm(conn, farm_id)]


def _key_json(key: ReadingKey, maker: str | None, zone: ZoneInfo, now: datetime) -> dict[str, Any]:
    last_moment = key.expires_at - timedelta(microseconds=1)
    return {
        "id": key.id,
        "name": key.name,
        "sees": key.sight,
        "made_by": maker,
        "made_at": key.made_at.isoformat(),
        "ends_on": last_moment.astimezone(zone).date().isoformat(),
        "last_used_at": _iso(key.last_used_at),
        "ended_at": _iso(key.ended_at),
        "is_good": key.is_good(now),
    }


def _iso(moment: datetime | None) -> str | None:
    return None if moment is None else moment.isoformat()


def end(store: Store, *, actor: str, farm_id: str, key_id: str, now: datetime) -> None:
    """End a key: the next request with it is refused.

    Raises
    ------
    UnknownError
        If the farm has no key of that id.
    """
    with store.write() as conn:
        _end(conn, actor, farm_id, key_id, now)


def _end(conn: Connection, actor: str, farm_id: str, key_id: str, now: datetime) -> None:
    if reading_keys.end_key(conn, farm_id, key_id, now):
        audit.note(conn, "reading_key_ended", at=now, actor=actor, subject=key_id, farm_id=farm_id)


def end_named(store: Store, *, actor: str, farm_id: str, name: str, now: datetime) -> None:
    """End the key that goes by a name.

    Raises
    ------
    UnknownError
        If no key that is still good goes by it on this farm.
    """
    with store.write() as conn:
        log.lock_farm(conn, farm_id)
        good = {key.name: key.id for key, _ in reading_keys.keys_of_farm(conn, farm_id) if key.is_good(now)}
        if name not in good:
            there = ", ".join(sorted(good))
            raise UnknownError(
                "no reading key that is still good goes by that name",
                where=name,
                todo=f"There are: {there}." if there else "There is none.",
            )
        _end(conn, actor, farm_id, good[name], now)


def caller_of_key(store: Store, secret: str, now: datetime) -> Caller:
    """Return who asks by a reading key: what an adviser of that one farm may read, and nobody's name.

    It is found by its hash alone: how long that takes tells nothing of a key, and nothing of the key is kept to compare with.
    """
    with store.read() as conn:
        key = reading_keys.key_by_hash(conn, token_hash(secret))
    if key is None:
        return NOBODY
    if not key.is_good(now):
        return Caller(lapsed="key")
    return Caller(key=key, grants={key.farm_id: Grant("adviser", sees_checks=key.sight == "all")})


def touch(store: Store, key: ReadingKey, now: datetime) -> None:
    """Keep when a key was last used, to the hour, and never in the way of what was asked."""
    with suppress(StoreError), store.write() as conn:
        reading_keys.touch_key(conn, key.id, now)
