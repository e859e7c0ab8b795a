"""Tablets paired to a farm, the codes that pair them, and the PINs of who holds them."""

from datetime import datetime
from typing import Any

from sqlalchemy import Connection, delete, exists, insert, or_, select, update

from orchardmap.errors import UnknownError
from orchardmap.model.access import Device
from orchardmap.model.people import Person
from orchardmap.store import access_tables as t
from orchardmap.store import tables
from orchardmap.store.bell import name_changed

__all__ = [
    "add_code", "add_device", "device_by_token", "devices", "drop_lasting_codes", "holders", "pin_hash", "revoke", "set_holder", "set_pin",
    "touch_device", "use_code",
]  # fmt: skip

_DEVICE = tuple(
    t.devices.c[name]
    for name in (
        "id",
        "farm_id",
        "name",
        "role",
        "crew_id",
        "paired_at",
        "last_seen_at",
        "revoked_at",
        "holder_id",
    )
)


def add_code(conn: Connection, code_hash: str, **values: Any) -> None:  # noqa: ANN401 - columns' values
    """Append a code that pairs one tablet."""
    conn.execute(insert(t.pair_codes).values(code_hash=code_hash, **values))


def drop_lasting_codes(conn: Connection, farm_id: str) -> None:
    """Forget the farm's codes that pair more than one tablet (the demo's)."""
    code = t.pair_codes.c
    conn.execute(delete(t.pair_codes).where(code.farm_id == farm_id, ~code.once))


def use_code(conn: Connection, code_hash: str, now: datetime) -> Any | None:  # noqa: ANN401 - a record
    """Use a code up and return what it stands for; None where it is unknown, used or too old."""
    code = t.pair_codes.c
    return conn.execute(
        update(t.pair_codes)
        .where(code.code_hash == code_hash, code.used_at.is_(None) | ~code.once, code.expires_at > now)
        .values(used_at=now)
        .returning(code.farm_id, code.device_name, code.role, code.crew_id, code.made_by)
    ).one_or_none()


def add_device(conn: Connection, made: Device, *, token_hash: str, paired_by: str | None) -> None:
    """Append a tablet."""
    conn.execute(
        insert(t.devices).values(
            id=made.id,
            farm_id=made.farm_id,
            name=made.name,
            role=made.role,
            crew_id=made.crew_id,
            token_hash=token_hash,
            paired_at=made.paired_at,
            paired_by=paired_by,
            last_seen_at=made.last_seen_at,
        )
    )


def devices(conn: Connection, farm_id: str) -> list[Device]:
    """Return the farm's tablets, the last paired first; revoked ones too."""
    asked = select(*_DEVICE).where(t.devices.c.farm_id == farm_id)
    return [
        Device(*one) for one in conn.execute(asked.order_by(t.devices.c.paired_at.desc(), t.devices.c.id))
    ]


def device_by_token(conn: Connection, token_hash: str) -> Device | None:
    """Return the tablet of a token's hash, also a revoked one; None where none has it."""
    found = conn.execute(select(*_DEVICE).where(t.devices.c.token_hash == token_hash)).one_or_none()
    return None if found is None else Device(*found)


def touch_device(conn: Connection, device_id: str, now: datetime) -> None:
    """Note that a tablet was heard of."""
    conn.execute(update(t.devices).where(t.devices.c.id == device_id).values(last_seen_at=now))


def revoke(conn: Connection, farm_id: str, device_id: str, now: datetime) -> bool:
    """Revoke a tablet; tell whether it was not revoked before.

    Raises
    ------
    UnknownError
        If the farm has no tablet of that id.
    """
    mine = (t.devices.c.id == device_id, t.devices.c.farm_id == farm_id)
    if conn.execute(select(t.devices.c.id).where(*mine)).first() is None:
        raise UnknownError("no such tablet on this farm", where=device_id)
    ended = conn.execute(
        update(t.devices)
        .where(*mine, t.devices.c.revoked_at.is_(None))
        .values(revoked_at=now, holder_id=None, holder_at=None)
    )
    if ended.rowcount:
        name_changed(conn, farm_id)  # what follows the farm by it ends at once
    return ended.rowcount > 0


def holders(conn: Connection, device: Device) -> list[tuple[Person, bool]]:
    """Return who may hold a tablet, by name, and whether a PIN was set for each.

    A foreman's tablet: the farm's foremen of its crew and the crew's workers; an auditor's: the auditors.
    """
    p = tables.people.c
    may = p.role == "auditor"
    if device.role == "foreman":
        crew = tables.crews.c
        leads = exists().where(crew.id == device.crew_id, crew.foreman_id == p.id)
        may = p.role.in_(["foreman", "worker"]) & or_(p.crew_id == device.crew_id, leads)
    has_pin = exists().where(t.pins.c.person_id == p.id)
    asked = select(p.id, p.farm_id, p.name, p.role, p.crew_id, has_pin).where(
        p.farm_id == device.farm_id, may
    )
    return [(Person(*one[:5]), bool(one[5])) for one in conn.execute(asked.order_by(p.name, p.id))]


def set_holder(conn: Connection, device_id: str, person_id: str | None, now: datetime) -> None:
    """Say who holds a tablet from now on; None for nobody known."""
    conn.execute(
        update(t.devices)
        .where(t.devices.c.id == device_id)
        .values(holder_id=person_id, holder_at=None if person_id is None else now)
    )


def pin_hash(conn: Connection, person_id: str) -> str | None:
    """Return the hash of a person's PIN, None where none was set."""
    return conn.execute(select(t.pins.c.pin_hash).where(t.pins.c.person_id == person_id)).scalar_one_or_none()


def set_pin(conn: Connection, person_id: str, hashed: str, now: datetime) -> None:
    """Set a person's PIN."""
    conn.execute(delete(t.pins).where(t.pins.c.person_id == person_id))
    conn.execute(insert(t.pins).values(person_id=person_id, pin_hash=hashed, set_at=now))
