"""Keys by which programs read a farm's features: a manager's business."""

from typing import Any

from fastapi import APIRouter, Request

from orchardmap.usecases import reading_keys
from orchardmap_api.access import FarmCaller, needs
from orchardmap_api.access_schemas import ReadingKeyBody
from orchardmap_api.cookies import own_address
from orchardmap_api.dependencies import FarmId, Now, PathId, ServiceStore

router = APIRouter(prefix="/api/farms/{farm_id}/reading-keys", tags=["people"])
Json = dict[str, Any]


@router.get("", dependencies=[needs("manager")])
def list_keys(farm_id: FarmId, store: ServiceStore, now: Now) -> Json:
    """Return the farm's reading keys, the last made first; ended ones too. Of the keys themselves nothing is kept."""
    return {"reading_keys": reading_keys.listed_json(store, str(farm_id), now=now)}


@router.post("", status_code=201, dependencies=[needs("manager", confirmed=True)])
def make_key(
    farm_id: FarmId, body: ReadingKeyBody, request: Request, store: ServiceStore, caller: FarmCaller, now: Now
) -> Json:
    """Make a reading key; it is shown once, with the address that it opens."""
    wish = reading_keys.KeyWish(body.name, body.sees, body.ends_on)
    told, secret = reading_keys.make(store, actor=caller.actor, farm_id=str(farm_id), wish=wish, now=now)
    return {"reading_key": told, "key": secret, "address": f"{own_address(request)}/ogc/farms/{farm_id}"}


@router.delete("/{key_id}", status_code=204, dependencies=[needs("manager", confirmed=True)])
def end_key(farm_id: FarmId, key_id: PathId, store: ServiceStore, caller: FarmCaller, now: Now) -> None:
    """End a reading key: the next request with it is refused."""
    reading_keys.end(store, actor=caller.actor, farm_id=str(farm_id), key_id=str(key_id), now=now)
