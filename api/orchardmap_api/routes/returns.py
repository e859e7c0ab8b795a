"""Returns: trees that a crew must go over again."""

from typing import Annotated, Any, Literal

from fastapi import APIRouter, Query

from orchardmap.usecases import return_telling, returning
from orchardmap_api.access import FarmCaller, needs
from orchardmap_api.dependencies import FarmId, Now, PathId, ServiceStore
from orchardmap_api.return_schemas import ReturnBody, ReturnCancelBody

router = APIRouter(prefix="/api", tags=["returns"])
Json = dict[str, Any]
Language = Annotated[Literal["en", "es"], Query(description="Of the sentences.")]


@router.get("/farms/{farm_id}/returns", dependencies=[needs("manager", "auditor", "adviser")])
def list_returns(farm_id: FarmId, store: ServiceStore, now: Now, lang: Language = "en") -> Json:
    """Return the season's returns with what is left of each and its history in words."""
    return {"returns": return_telling.farm_returns(store, str(farm_id), language=lang, now=now)}


@router.post("/farms/{farm_id}/returns", status_code=201, dependencies=[needs("manager", "auditor")])
def post_return(
    farm_id: FarmId,
    body: ReturnBody,
    store: ServiceStore,
    now: Now,
    caller: FarmCaller,
    lang: Language = "en",
) -> Json:
    """Make a return over trees that are pruned; the same id again is answered with the return that it has."""
    made = returning.make_return(
        store, farm_id=str(farm_id), asked=body.asked(), by=caller.id, actor=caller.actor, now=now
    )
    return return_telling.return_json(store, made.id, language=lang, now=now)


@router.post("/returns/{return_id}/cancel", dependencies=[needs("manager", "auditor")])
def cancel_return(
    return_id: PathId,
    body: ReturnCancelBody,
    store: ServiceStore,
    now: Now,
    caller: FarmCaller,
    lang: Language = "en",
) -> Json:
    """Take a return back: tablets and map forget it, its history stays."""
    returning.cancel_return(
        store, return_id=str(return_id), reason=body.reason, by=caller.id, actor=caller.actor, now=now
    )
    return return_telling.return_json(store, str(return_id), language=lang, now=now)
