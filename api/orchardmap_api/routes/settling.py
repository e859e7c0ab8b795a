"""What waits for a manager, and the manager's word on it."""

from dataclasses import asdict
from typing import Any

from fastapi import APIRouter, Response

from orchardmap.usecases import matters, settling
from orchardmap_api.access import FarmSender, needs
from orchardmap_api.dependencies import FarmId, Now, ServiceStore
from orchardmap_api.settling_schemas import SettlementBody

router = APIRouter(prefix="/api/farms/{farm_id}", tags=["settling"])
Json = dict[str, Any]


@router.get("/matters", dependencies=[needs("manager")])
def read_matters(farm_id: FarmId, store: ServiceStore, now: Now) -> Json:
    """Return overlaps, records set aside and crew-days entered twice that wait for a manager."""
    return matters.matters(store, str(farm_id), now=now)


@router.post("/settlements", status_code=201, dependencies=[needs("manager", confirmed=True)])
def post_settlement(
    farm_id: FarmId,
    body: SettlementBody,
    store: ServiceStore,
    now: Now,
    sender: FarmSender,
    response: Response,
) -> Json:
    """Append a settlement; the same one again is answered 200 with the number it has."""
    told = asdict(
        settling.settle(store, farm_id=str(farm_id), said=body.said(), settled_by=sender.id, now=now)
    )
    response.status_code = 201 if told.pop("is_new") else 200
    return told
