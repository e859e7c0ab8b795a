"""Lots: trees judged together by a draw of some of them."""

import secrets
from typing import Annotated, Any

from fastapi import APIRouter, Query

from orchardmap.usecases import lot_drawing, lot_packs, lot_planning, lot_reading
from orchardmap_api.access import AnswersForFarm, FarmCaller, needs
from orchardmap_api.dependencies import FarmId, Now, PathId, ServiceStore
from orchardmap_api.lot_schemas import CancelBody, LotBody, LotWishBody

router = APIRouter(prefix="/api", tags=["lots"])
Json = dict[str, Any]
Language = Annotated[str, Query(alias="lang", max_length=3, description="Of the sentences.")]


@router.get("/farms/{farm_id}/lots", dependencies=[needs("manager", "auditor", "adviser")])
def list_lots(farm_id: FarmId, store: ServiceStore, now: Now, language: Language = "en") -> Json:
    """Return the season's lots, what is remembered of each crew's, and how many pruned trees are in none."""
    return lot_reading.farm_lots(store, str(farm_id), language=language, now=now)


@router.post("/farms/{farm_id}/lots/plan", dependencies=[needs("manager", "auditor")])
def plan_lot(
    farm_id: FarmId, body: LotWishBody, store: ServiceStore, now: Now, language: Language = "en"
) -> Json:
    """Return what a lot would be if it were drawn now; nothing is written."""
    return lot_planning.planned_lot(store, str(farm_id), body.wish(), language=language, now=now)


@router.post("/farms/{farm_id}/lots", status_code=201, dependencies=[needs("manager", "auditor")])
def draw_lot(
    farm_id: FarmId,
    body: LotBody,
    store: ServiceStore,
    caller: FarmCaller,
    now: Now,
    language: Language = "en",
) -> Json:
    """Draw the trees of a lot; the same id again gives the lot that is there."""
    made = lot_drawing.draw_lot(
        store,
        farm_id=str(farm_id),
        asked=lot_drawing.NewLot(str(body.id), body.wish(), secrets.randbelow(2**31)),
        by=caller.account.id if caller.account else None,
        actor=caller.actor,
        now=now,
    )
    return lot_reading.full_lot(store, made.id, language=language, now=now)


@router.get("/lots/{lot_id}", dependencies=[needs("manager", "auditor", "adviser")])
def read_lot(lot_id: PathId, store: ServiceStore, now: Now, language: Language = "en") -> Json:
    """Return a lot with its trees, what was found on each, and what that says of all of them."""
    return lot_reading.full_lot(store, str(lot_id), language=language, now=now)


@router.post("/lots/{lot_id}/cancel", status_code=204, dependencies=[needs("manager", "auditor")])
def cancel_lot(
    lot_id: PathId,
    body: CancelBody,
    store: ServiceStore,
    caller: FarmCaller,
    answers: AnswersForFarm,
    now: Now,
) -> None:
    """Take a lot back: its trees are free for another one. Once a tree of it was looked at, only a manager may."""
    lot_drawing.cancel_lot(
        store,
        str(lot_id),
        reason=body.reason,
        who=lot_drawing.Canceller(caller.account.id if caller.account else None, caller.actor, answers),
        now=now,
    )


@router.get("/blocks/{block_id}/lots", dependencies=[needs("manager", "auditor", "adviser")])
def list_block_lots(block_id: PathId, store: ServiceStore, now: Now) -> Json:
    """Return the lots of a block that are to be checked, those decided lately, and which were cancelled; who prunes does not see which trees are drawn."""
    return lot_packs.block_lots(store, str(block_id), now=now)
