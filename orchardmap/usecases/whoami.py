"""What whoever asks may know of itself, of its farms, and of people's names."""

from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from orchardmap import __version__
from orchardmap.model.access import Caller, Device
from orchardmap.store import access, tablets
from orchardmap.store import farm as farm_store
from orchardmap.store.session import Connection, Store

__all__ = ["farms_json", "named_roles", "who_json"]

Json = dict[str, Any]


def who_json(store: Store, caller: Caller, *, now: datetime) -> Json:
    """Return who asks, with its farms, and what a page needs before anything else."""
    with store.read() as conn:
        first = caller.is_nobody and not access.any_account(conn)
        device = None if caller.device is None else _device(conn, caller.device)
        farms = _farms(conn, caller, now)
        kept = None if caller.account is None else access.password_hash(conn, caller.account.id)
        epoch = None if caller.is_nobody else farm_store.setting(conn, "epoch")
    state = "account" if caller.account else "device" if caller.device else "nobody"
    return {
        "state": "first_start" if first else state,
        "name": caller.account.name if caller.account else device["name"] if device else "",
        "login": caller.account.login if caller.account else None,
        "has_password": kept is not None,
        "fresh_link": caller.has_fresh_link(now),
        "makes_farms": caller.account is not None and caller.account.makes_farms,
        "farms": farms,
        "device": device,
        "lapsed": caller.lapsed or None,
        "epoch": epoch,
        "version": __version__,
    }


def _device(conn: Connection, device: Device) -> Json:
    holder = next((p for p, _ in tablets.holders(conn, device) if p.id == device.holder_id), None)
    return {
        "id": device.id,
        "name": device.name,
        "farm_id": device.farm_id,
        "role": device.role,
        "crew_id": device.crew_id,
        "holder": None if holder is None else {"id": holder.id, "name": holder.name},
    }


def _farms(conn: Connection, caller: Caller, now: datetime) -> list[Json]:
    return [
        {
            "id": farm.id,
            "name": farm.name,
            "time_zone": farm.time_zone,
            "today": now.astimezone(ZoneInfo(farm.time_zone)).date().isoformat(),
            "role": caller.grants[farm.id].role,
            "crew_id": caller.grants[farm.id].crew_id,
        }
        for farm in farm_store.farms(conn)
        if farm.id in caller.grants
    ]


def farms_json(store: Store, caller: Caller, *, now: datetime) -> list[Json]:
    """Return the farms that whoever asks has a role on, by name, each with its day and that role."""
    with store.read() as conn:
        return _farms(conn, caller, now)


def named_roles(caller: Caller, farm_id: str) -> tuple[str, ...] | None:
    """Return the roles of people whose names the caller may know; None for all.

    Crews rather than persons: only a manager needs all names, and an auditor those who check.
    """
    role = caller.grants[farm_id].role
    return None if role == "manager" else ("auditor",) if role == "auditor" else ()
