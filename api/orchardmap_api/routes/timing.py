"""When to cut: the weather that a farm loads, and the notices that follow from it."""

from typing import Annotated, Any

from fastapi import APIRouter, Body

from orchardmap.usecases import timing, weather
from orchardmap.usecases.briefing import WRITERS
from orchardmap_api.access import READERS, FarmCaller, needs
from orchardmap_api.dependencies import AskedDay, FarmId, Now, ServiceStore

router = APIRouter(prefix="/api/farms/{farm_id}", tags=["timing"])
Json = dict[str, Any]
WeatherTable = Annotated[
    bytes,
    Body(
        media_type="text/csv",
        description="A line for each day: date,tmin_c,tmax_c or date,tmin_f,tmax_f, with rain_mm or rain_in if known.",
    ),
]


@router.get("/weather", dependencies=[needs(*READERS)])
def read_weather(farm_id: FarmId, store: ServiceStore) -> Json:
    """Return the weather that was loaded, day by day, with its gaps."""
    return weather.loaded_weather(store, str(farm_id))


@router.put("/weather", dependencies=[needs(*WRITERS)])
def load_weather(
    farm_id: FarmId, table: WeatherTable, store: ServiceStore, caller: FarmCaller, now: Now
) -> Json:
    """Keep the days of a CSV file, all or none; other days that are kept stay."""
    held = weather.load_weather(
        store, farm_id=str(farm_id), content=table, name="table", actor=caller.actor, now=now
    )
    return {"days": held}


@router.delete("/weather", status_code=204, dependencies=[needs(*WRITERS)])
def forget_weather(farm_id: FarmId, store: ServiceStore, caller: FarmCaller, now: Now) -> None:
    """Forget every day that was loaded."""
    weather.forget_weather(store, farm_id=str(farm_id), actor=caller.actor, now=now)


@router.get("/timing", dependencies=[needs(*READERS)])
def read_timing(farm_id: FarmId, store: ServiceStore, now: Now, day: AskedDay = None) -> Json:
    """Return notices on when to cut, the most urgent first, as of a day."""
    return timing.timing_notices(store, str(farm_id), day=day, now=now)
