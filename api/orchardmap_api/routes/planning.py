"""When a farm works and with how many people, and when it will be finished."""

from typing import Annotated, Any
from uuid import UUID

from fastapi import APIRouter, Query

from orchardmap.usecases import forecasting, working_time
from orchardmap.usecases.needs_today import needs_today
from orchardmap.usecases.part_forecast import part_forecast
from orchardmap.usecases.what_if import what_if
from orchardmap_api.access import READERS, FarmCaller, needs
from orchardmap_api.dependencies import AskedDay, FarmId, Now, ServiceStore
from orchardmap_api.planning_schemas import CalendarBody, StrengthsBody, WhatIfBody

router = APIRouter(prefix="/api/farms/{farm_id}", tags=["planning"])
Json = dict[str, Any]


@router.get("/calendar", dependencies=[needs(*READERS)])
def read_calendar(farm_id: FarmId, store: ServiceStore, now: Now, day: AskedDay = None) -> Json:
    """Return the working calendar of a season; first guesses where nobody saved one."""
    return working_time.read_calendar(store, str(farm_id), day=day, now=now)


@router.put("/calendar", dependencies=[needs("manager")])
def save_calendar(
    farm_id: FarmId, body: CalendarBody, store: ServiceStore, caller: FarmCaller, now: Now
) -> Json:
    """Keep the working calendar of a season."""
    return working_time.save_calendar(
        store,
        farm_id=str(farm_id),
        season_id=str(body.season_id),
        calendar=body.calendar(),
        actor=caller.actor,
        now=now,
    )


@router.get("/strengths", dependencies=[needs(*READERS)])
def read_strengths(farm_id: FarmId, store: ServiceStore) -> Json:
    """Return the people of crews by spans of days."""
    return {"strengths": working_time.read_strengths(store, str(farm_id))}


@router.put("/strengths", dependencies=[needs("manager")])
def save_strengths(
    farm_id: FarmId, body: StrengthsBody, store: ServiceStore, caller: FarmCaller, now: Now
) -> Json:
    """Keep these spans instead of all that were there."""
    found = working_time.save_strengths(
        store,
        farm_id=str(farm_id),
        strengths=[one.strength() for one in body.strengths],
        actor=caller.actor,
        now=now,
    )
    return {"strengths": found}


@router.get("/forecast", dependencies=[needs(*READERS)])
def read_forecast(farm_id: FarmId, store: ServiceStore, now: Now, day: AskedDay = None) -> Json:
    """Return when the season may be finished, how surely, and how many people it is short of, as of a day."""
    return forecasting.forecast(store, str(farm_id), day=day, now=now)


@router.get("/part-forecast", dependencies=[needs(*READERS)])
def read_part_forecast(
    farm_id: FarmId,
    store: ServiceStore,
    now: Now,
    day: AskedDay = None,
    variety: Annotated[UUID | None, Query(description="Id of a variety: its blocks.")] = None,
    crew: Annotated[UUID | None, Query(description="Id of a crew: the blocks that it was given.")] = None,
) -> Json:
    """Return when some blocks may be finished, in the season of all, as of a day."""
    part = {"variety_id": str(variety) if variety else None, "crew_id": str(crew) if crew else None}
    return part_forecast(store, str(farm_id), day=day, now=now, **part)


@router.get("/needs-today", dependencies=[needs("manager")])
def read_needs_today(farm_id: FarmId, store: ServiceStore, now: Now) -> Json:
    """Return the crews that nothing was heard from today, and the closures that begin or end within a week."""
    return needs_today(store, str(farm_id), now=now)


@router.post("/what-if", dependencies=[needs("manager", "adviser")])
def ask_what_if(farm_id: FarmId, body: WhatIfBody, store: ServiceStore, now: Now) -> Json:
    """Return the forecast as things stand and in each of some cases; nothing is stored."""
    return what_if(store, str(farm_id), [one.case() for one in body.cases], certainty=body.certainty, now=now)
