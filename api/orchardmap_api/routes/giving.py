"""Giving blocks out: queues of crews, a proposal for them, and what is said of blocks for that."""

from dataclasses import asdict
from typing import Annotated, Any, Literal

from fastapi import APIRouter, Query

from orchardmap.usecases import giving_out, queue_board
from orchardmap.usecases.plan_forecast import plan_forecast
from orchardmap_api.access import READERS, FarmCaller, needs
from orchardmap_api.dependencies import FarmId, Now, PathId, ServiceStore
from orchardmap_api.giving_schemas import QueuesBody, TermsBody

router = APIRouter(prefix="/api", tags=["planning"])
Json = dict[str, Any]
Language = Annotated[Literal["en", "es"], Query(description="Of the sentences.")]


@router.get("/farms/{farm_id}/queues", dependencies=[needs(*READERS)])
def read_queues(farm_id: FarmId, store: ServiceStore, now: Now) -> Json:
    """Return which crew prunes which block next; blocks that are done are in no queue."""
    return queue_board.read_queues(store, str(farm_id), now=now)


@router.put("/farms/{farm_id}/queues", dependencies=[needs("manager")])
def save_queues(farm_id: FarmId, body: QueuesBody, store: ServiceStore, caller: FarmCaller, now: Now) -> Json:
    """Give blocks out; 409 where somebody else did so since the revision that is sent."""
    giving_out.save_queues(store, farm_id=str(farm_id), wanted=body.wanted(), actor=caller.actor, now=now)
    return queue_board.read_queues(store, str(farm_id), now=now)


@router.post("/farms/{farm_id}/queue-proposals", dependencies=[needs("manager")])
def propose_queues(farm_id: FarmId, store: ServiceStore, now: Now, lang: Language = "en") -> Json:
    """Return a proposal with the reasons of each block in words; nothing is stored."""
    return queue_board.proposed_queues(store, str(farm_id), language=lang, now=now)


@router.post("/farms/{farm_id}/queue-forecasts", dependencies=[needs("manager")])
def forecast_queues(farm_id: FarmId, body: QueuesBody, store: ServiceStore, now: Now) -> Json:
    """Return when the blocks would be done if these queues were given out; nothing is stored."""
    return plan_forecast(store, str(farm_id), body.wanted(), now=now)


@router.put("/blocks/{block_id}/terms", dependencies=[needs("manager")])
def set_terms(block_id: PathId, body: TermsBody, store: ServiceStore, caller: FarmCaller, now: Now) -> Json:
    """Say by which day a block must be finished this season, and whether a platform goes in there."""
    terms = body.terms()
    made = giving_out.set_terms(store, block_id=str(block_id), terms=terms, actor=caller.actor, now=now)
    return asdict(made)
