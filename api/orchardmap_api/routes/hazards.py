"""Power lines over and beside a farm."""

from typing import Any

from fastapi import APIRouter

from orchardmap.geodata.lines import line_of_geojson
from orchardmap.usecases import hazard_lines
from orchardmap_api.access import READERS, FarmCaller, needs
from orchardmap_api.dependencies import FarmId, Now, PathId, ServiceStore
from orchardmap_api.schemas import HazardLineBody

router = APIRouter(prefix="/api/farms/{farm_id}/hazard-lines", tags=["hazards"])
Json = dict[str, Any]


@router.get("", dependencies=[needs(*READERS)])
def list_lines(farm_id: FarmId, store: ServiceStore) -> Json:
    """Return the farm's power lines, each with the distance to keep from it."""
    return {"lines": hazard_lines.lines_json(store, str(farm_id))}


@router.post("", status_code=201, dependencies=[needs("manager")])
def add_line(
    farm_id: FarmId, body: HazardLineBody, store: ServiceStore, caller: FarmCaller, now: Now
) -> Json:
    """Add a power line."""
    made = hazard_lines.add_line(
        store,
        farm_id=str(farm_id),
        line=hazard_lines.NewLine(body.name, body.kv, line_of_geojson(body.geojson)),
        actor=caller.actor,
        now=now,
    )
    return {"id": made.id}


@router.delete("/{line_id}", status_code=204, dependencies=[needs("manager")])
def remove_line(farm_id: FarmId, line_id: PathId, store: ServiceStore, caller: FarmCaller, now: Now) -> None:
    """Take a power line away."""
    hazard_lines.remove_line(store, farm_id=str(farm_id), line_id=str(line_id), actor=caller.actor, now=now)
