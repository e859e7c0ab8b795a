"""The ground of blocks: read it, work out what edits come to, take them, take them back."""

from functools import partial
from typing import Any

from fastapi import APIRouter

from orchardmap.errors import InputError
from orchardmap.usecases import ground_changing, ground_telling, importing
from orchardmap.usecases.ground_changing import Wish
from orchardmap_api.access import Confirmed, FarmCaller, needs
from orchardmap_api.dependencies import FarmId, Now, PathId, ServiceSettings, ServiceStore
from orchardmap_api.ground_schemas import GroundBody

router = APIRouter(prefix="/api", tags=["ground"])
Json = dict[str, Any]


@router.get("/blocks/{block_id}/ground", dependencies=[needs("manager")])
def read_ground(block_id: PathId, store: ServiceStore) -> Json:
    """Return a block with its rows, planting, and what was recorded in each row, as its editor reads it."""
    return ground_telling.block_ground(store, str(block_id))


@router.get("/farms/{farm_id}/ground-changes", dependencies=[needs("manager")])
def list_changes(farm_id: FarmId, store: ServiceStore, settings: ServiceSettings) -> Json:
    """Return the farm's last changes of the ground, the newest first, and the tiles to draw over where there are any."""
    tiles = {"address": settings.tile_url, "credit": settings.tile_credit} if settings.tile_url else None
    return {"changes": ground_telling.change_list(store, str(farm_id)), "tiles": tiles}


def _wish(store: ServiceStore, farm_id: FarmId, body: GroundBody) -> Wish:
    if body.undoes is not None:
        if body.edits:
            raise InputError(
                "a change is taken back by itself", where="undoes", todo="Leave the edits out, or this."
            )
        return ground_changing.back_wish(
            store, farm_id=str(farm_id), change_id=str(body.undoes), made_id=str(body.id)
        )
    read = partial(importing.survey, store, str(farm_id))
    seen = {str(key): version for key, version in body.seen.items()}
    return Wish([one.edit(read) for one in body.edits], seen, str(body.id))


@router.post("/farms/{farm_id}/ground-changes/preview", dependencies=[needs("manager")])
def preview_change(farm_id: FarmId, body: GroundBody, store: ServiceStore) -> Json:
    """Return what edits come to, row by row, and what hinders them; nothing is taken."""
    return ground_changing.preview(store, farm_id=str(farm_id), wish=_wish(store, farm_id, body))


@router.post("/farms/{farm_id}/ground-changes", status_code=201, dependencies=[needs("manager")])
def take_change(
    farm_id: FarmId,
    body: GroundBody,
    store: ServiceStore,
    caller: FarmCaller,
    confirmed: Confirmed,
    now: Now,
) -> Json:
    """Take edits, all or none; where they concern rows with recorded work, a password given lately is asked for."""
    of_farm = str(farm_id)
    told = ground_changing.answered(store, farm_id=of_farm, change_id=str(body.id))
    if told is not None:
        return told
    wish = _wish(store, farm_id, body)
    touches = ground_changing.preview(store, farm_id=of_farm, wish=wish)["touches_work"]
    if touches:
        confirmed()
    return ground_changing.take(
        store, farm_id=of_farm, wish=wish, actor=caller.actor, may_touch_work=touches, now=now
    )
