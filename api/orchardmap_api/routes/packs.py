"""What tablets take along into the rows."""

from typing import Annotated, Any
from uuid import UUID

from fastapi import APIRouter, Query

from orchardmap.usecases import packs
from orchardmap_api.access import READERS, FarmSender, needs
from orchardmap_api.dependencies import FarmId, Now, PathId, ServiceStore

router = APIRouter(prefix="/api", tags=["packs"])
Json = dict[str, Any]
AskedBlocks = Annotated[list[UUID], Query(max_length=100, description="Ids of blocks; repeat the name.")]


@router.get("/farms/{farm_id}/packs", dependencies=[needs(*READERS)])
def read_packs(
    farm_id: FarmId, store: ServiceStore, now: Now, block: AskedBlocks, sender: FarmSender
) -> Json:
    """Return blocks with all that is needed to work in them without a signal; who prunes is not told which trees are drawn."""
    wanted = [str(one) for one in block]
    return packs.packs(store, str(farm_id), wanted, with_lots=sender.crew_id is None, now=now)


@router.get("/blocks/{block_id}/log", dependencies=[needs(*READERS)])
def read_log(block_id: PathId, store: ServiceStore, now: Now) -> Json:
    """Return the marks that stand and the settlements of a block this season."""
    return packs.block_log(store, str(block_id), now=now)
