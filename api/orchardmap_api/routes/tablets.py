"""Tablets: listed, paired, revoked; and who holds the one that asks."""

from dataclasses import replace
from datetime import datetime
from typing import Any

from fastapi import APIRouter, Request, Response

from orchardmap.model.access import Caller, Device
from orchardmap.usecases import signing_in, tablets, whoami
from orchardmap_api.access import OPEN, AnyCaller, FarmCaller, device_only, needs
from orchardmap_api.access_schemas import CodeBody, DeviceCodeBody, HolderBody
from orchardmap_api.codes import qr_svg
from orchardmap_api.cookies import give_device, own_address
from orchardmap_api.dependencies import FarmId, Now, PathId, ServiceStore, address_of

router = APIRouter(prefix="/api", tags=["tablets"])
Json = dict[str, Any]


@router.get("/farms/{farm_id}/devices", dependencies=[needs("manager")])
def list_devices(farm_id: FarmId, store: ServiceStore) -> Json:
    """Return the farm's tablets, the last paired first; revoked ones too."""
    return {"devices": [_device_json(device) for device in tablets.listed(store, str(farm_id))]}


def _device_json(device: Device) -> Json:
    return {
        "id": device.id,
        "name": device.name,
        "role": device.role,
        "crew_id": device.crew_id,
        "paired_at": device.paired_at.isoformat(),
        "last_seen_at": device.last_seen_at.isoformat(),
        "revoked_at": _iso(device.revoked_at),
        "holder_id": device.holder_id,
    }


def _iso(moment: datetime | None) -> str | None:
    return None if moment is None else moment.isoformat()


@router.post(
    "/farms/{farm_id}/devices/codes", status_code=201, dependencies=[needs("manager", confirmed=True)]
)
def make_code(
    farm_id: FarmId, body: DeviceCodeBody, request: Request, store: ServiceStore, caller: FarmCaller, now: Now
) -> Json:
    """Make a code that pairs one tablet within ten minutes; it is shown once."""
    wish = tablets.TabletWish(**body.model_dump())
    made = tablets.make_code(store, actor=caller.actor, farm_id=str(farm_id), tablet=wish, now=now)
    address = f"{own_address(request)}/pair#{made.code}"
    return {
        "code": made.code,
        "address": address,
        "expires_at": made.expires_at.isoformat(),
        "qr_svg": qr_svg(address),
    }


@router.post(
    "/farms/{farm_id}/devices/{device_id}/revoke",
    status_code=204,
    dependencies=[needs("manager", confirmed=True)],
)
def revoke(farm_id: FarmId, device_id: PathId, store: ServiceStore, caller: FarmCaller, now: Now) -> None:
    """Revoke a tablet: its next request is refused."""
    tablets.revoke(store, actor=caller.actor, farm_id=str(farm_id), device_id=str(device_id), now=now)


@router.post("/pair", status_code=201, dependencies=[OPEN])
def pair(
    body: CodeBody, request: Request, response: Response, store: ServiceStore, caller: AnyCaller, now: Now
) -> Json:
    """Pair the tablet that asks."""
    token = tablets.pair(store, code=body.code, place=_place(request, caller), now=now)
    give_device(request, response, token)
    made = signing_in.caller_of(store, session=None, device=token, now=now)
    return whoami.who_json(store, made, now=now)


def _place(request: Request, caller: Caller) -> str:
    return caller.actor if not caller.is_nobody else f"address:{address_of(request)}"


@router.get("/device/people", dependencies=[device_only])
def list_holders(store: ServiceStore, caller: FarmCaller) -> Json:
    """Return who may hold the tablet that asks."""
    assert caller.device is not None  # noqa: S101 - the route's rule
    found = tablets.people(store, caller.device)
    return {"people": [{"id": person.id, "name": person.name, "has_pin": has} for person, has in found]}


@router.post("/device/holder", dependencies=[device_only])
def take(body: HolderBody, store: ServiceStore, caller: FarmCaller, now: Now) -> Json:
    """Take the tablet, by one's PIN."""
    assert caller.device is not None  # noqa: S101 - the route's rule
    held = tablets.take(store, caller.device, **body.model_dump(), now=now)
    return whoami.who_json(store, replace(caller, device=held), now=now)


@router.delete("/device/holder", status_code=204, dependencies=[device_only])
def put_down(store: ServiceStore, caller: FarmCaller, now: Now) -> None:
    """Let nobody known hold the tablet."""
    assert caller.device is not None  # noqa: S101 - the route's rule
    tablets.drop_holder(store, caller.device, now=now)
