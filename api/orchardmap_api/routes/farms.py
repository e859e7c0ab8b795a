"""Farms, and what is named once per farm."""

from dataclasses import asdict
from typing import Annotated, Any
from uuid import UUID

from fastapi import APIRouter, Query

from orchardmap.pruning.farm_settings import settings_json
from orchardmap.usecases import (
    correcting,
    farm_setting,
    glance,
    ground_editing,
    history,
    planting,
    reporting,
    season_days,
    side_by_side,
    whoami,
)
from orchardmap.usecases.briefing import WRITERS
from orchardmap.usecases.planting import By
from orchardmap.usecases.pruned_now import pruned_now
from orchardmap_api.access import READERS, FarmCaller, NamedRoles, known, makes_farms, needs
from orchardmap_api.dependencies import AskedDay, FarmId, Now, PathId, ServiceStore
from orchardmap_api.schemas import (
    CrewBody,
    CrewChangeBody,
    FarmBody,
    FarmChangeBody,
    NameBody,
    PersonBody,
    SeasonBody,
    SeasonChangeBody,
    SettingsBody,
    VarietyBody,
    VarietyChangeBody,
)

router = APIRouter(prefix="/api/farms", tags=["farms"])
Json = dict[str, Any]


@router.get("", dependencies=[known])
def list_farms(store: ServiceStore, caller: FarmCaller, now: Now) -> Json:
    """Return the farms that whoever asks has a role on."""
    return {"farms": whoami.farms_json(store, caller, now=now)}


@router.get("/side-by-side", dependencies=[known])
def read_side_by_side(store: ServiceStore, caller: FarmCaller, now: Now) -> Json:
    """Return what can be compared of the farms that whoever asks manages or advises."""
    return side_by_side.side_by_side(store, caller, now=now)


@router.post("", status_code=201, dependencies=[makes_farms])
def create_farm(body: FarmBody, store: ServiceStore, caller: FarmCaller, now: Now) -> Json:
    """Make a farm; whoever makes it manages it."""
    made = planting.create_farm(
        store, name=body.name, time_zone=body.time_zone, now=now, manager_id=caller.id, actor=caller.actor
    )
    return asdict(made)


@router.get("/{farm_id}", dependencies=[needs(*READERS)])
def read_farm(farm_id: FarmId, store: ServiceStore, names: NamedRoles, now: Now) -> Json:
    """Return a farm with its season, crews, varieties, and the people that the caller may know by name."""
    return reporting.farm_pack(store, str(farm_id), people_of=names, now=now)


@router.patch("/{farm_id}", dependencies=[needs("manager")])
def correct_farm(
    farm_id: FarmId, body: FarmChangeBody, store: ServiceStore, caller: FarmCaller, now: Now
) -> Json:
    """Correct a farm's name and time zone."""
    changes, by = body.model_dump(exclude_none=True), By(caller.actor, now)
    return asdict(correcting.correct_farm(store, farm_id=str(farm_id), changes=changes, by=by))


@router.post("/{farm_id}/seasons", status_code=201, dependencies=[needs("manager")])
def add_season(farm_id: FarmId, body: SeasonBody, store: ServiceStore, caller: FarmCaller, now: Now) -> Json:
    """Add a season."""
    return asdict(
        planting.add_season(store, farm_id=str(farm_id), **body.model_dump(), by=By(caller.actor, now))
    )


@router.patch("/{farm_id}/seasons/{season_id}", dependencies=[needs("manager")])
def correct_season(
    farm_id: FarmId,
    season_id: PathId,
    body: SeasonChangeBody,
    store: ServiceStore,
    caller: FarmCaller,
    now: Now,
) -> Json:
    """Correct a season's name and days."""
    changes, by = body.model_dump(exclude_none=True), By(caller.actor, now)
    made = correcting.correct_season(
        store, farm_id=str(farm_id), season_id=str(season_id), changes=changes, by=by
    )
    return asdict(made)


@router.patch("/{farm_id}/crews/{crew_id}", dependencies=[needs("manager")])
def correct_crew(
    farm_id: FarmId, crew_id: PathId, body: CrewChangeBody, store: ServiceStore, caller: FarmCaller, now: Now
) -> Json:
    """Correct a crew's name and how it prunes."""
    changes, by = body.model_dump(exclude_none=True), By(caller.actor, now)
    return asdict(
        correcting.correct_crew(store, farm_id=str(farm_id), crew_id=str(crew_id), changes=changes, by=by)
    )


@router.patch("/{farm_id}/people/{person_id}", dependencies=[needs("manager")])
def rename_person(
    farm_id: FarmId, person_id: PathId, body: NameBody, store: ServiceStore, caller: FarmCaller, now: Now
) -> Json:
    """Correct a person's name."""
    by = By(caller.actor, now)
    return asdict(
        correcting.rename_person(store, farm_id=str(farm_id), person_id=str(person_id), name=body.name, by=by)
    )


@router.post("/{farm_id}/crews", status_code=201, dependencies=[needs("manager")])
def add_crew(farm_id: FarmId, body: CrewBody, store: ServiceStore, caller: FarmCaller, now: Now) -> Json:
    """Add a crew."""
    return asdict(
        planting.add_crew(store, farm_id=str(farm_id), **body.model_dump(), by=By(caller.actor, now))
    )


@router.post("/{farm_id}/people", status_code=201, dependencies=[needs("manager")])
def add_person(farm_id: FarmId, body: PersonBody, store: ServiceStore, caller: FarmCaller, now: Now) -> Json:
    """Add a person."""
    return asdict(
        planting.add_person(store, farm_id=str(farm_id), **body.model_dump(), by=By(caller.actor, now))
    )


@router.post("/{farm_id}/varieties", status_code=201, dependencies=[needs(*WRITERS)])
def add_variety(
    farm_id: FarmId, body: VarietyBody, store: ServiceStore, caller: FarmCaller, now: Now
) -> Json:
    """Add a variety."""
    return asdict(
        planting.add_variety(store, farm_id=str(farm_id), **body.model_dump(), by=By(caller.actor, now))
    )


@router.patch("/{farm_id}/varieties/{variety_id}", dependencies=[needs(*WRITERS)])
def edit_variety(
    farm_id: FarmId,
    variety_id: PathId,
    body: VarietyChangeBody,
    store: ServiceStore,
    caller: FarmCaller,
    now: Now,
) -> Json:
    """Say anew what a variety is called, where it fruits and what it leans to."""
    changes = body.model_dump(exclude_none=True)
    made = ground_editing.edit_variety(
        store,
        farm_id=str(farm_id),
        variety_id=str(variety_id),
        changes=changes,
        actor=caller.actor,
        now=now,
    )
    return asdict(made)


@router.get("/{farm_id}/settings", dependencies=[needs(*WRITERS)])
def read_settings(farm_id: FarmId, store: ServiceStore) -> Json:
    """Return what the farm goes by in its advice: each setting with its bounds, unit, first guess and source."""
    return {"settings": settings_json(farm_setting.read_settings(store, str(farm_id)))}


@router.put("/{farm_id}/settings", dependencies=[needs(*WRITERS)])
def save_settings(
    farm_id: FarmId, body: SettingsBody, store: ServiceStore, caller: FarmCaller, now: Now
) -> Json:
    """Set what the farm goes by, by the names that reading tells; what is left out stays as it is."""
    made = farm_setting.save_settings(store, farm_id=str(farm_id), changes=body, actor=caller.actor, now=now)
    return {"settings": settings_json(made)}


@router.get("/{farm_id}/overview", dependencies=[needs(*READERS)])
def read_overview(farm_id: FarmId, store: ServiceStore, now: Now, day: AskedDay = None) -> Json:
    """Return the farm at a glance, as of a day."""
    return glance.overview(store, str(farm_id), day=day, now=now)


@router.get("/{farm_id}/pruned-now", dependencies=[needs(*READERS)])
def read_pruned_now(farm_id: FarmId, store: ServiceStore, now: Now, day: AskedDay = None) -> Json:
    """Return pruned trees, overlap trees and finished rows of each block where work was done, as of a day."""
    return pruned_now(store, str(farm_id), day=day, now=now)


@router.get("/{farm_id}/progress", dependencies=[needs(*READERS)])
def read_progress(farm_id: FarmId, store: ServiceStore, now: Now, day: AskedDay = None) -> Json:
    """Return progress day by day, and by block, variety and crew, as of a day."""
    return history.progress(store, str(farm_id), day=day, now=now)


@router.get("/{farm_id}/season-days", dependencies=[needs(*READERS)])
def read_season_days(
    farm_id: FarmId,
    store: ServiceStore,
    now: Now,
    season: Annotated[
        UUID | None, Query(description="Id of the season; that of today when left out.")
    ] = None,
) -> Json:
    """Return the trees first pruned on each day of a season, by block, and by block and crew."""
    return season_days.season_days(store, str(farm_id), season_id=str(season) if season else None, now=now)


@router.get("/{farm_id}/changes", dependencies=[needs(*READERS)])
def read_changes(
    farm_id: FarmId,
    store: ServiceStore,
    now: Now,
    after: Annotated[int, Query(ge=0, le=2**62)] = 0,
    limit: Annotated[int, Query(ge=1, le=1000)] = 500,
) -> Json:
    """Return the numbered changes above a cursor."""
    found = history.changes(store, str(farm_id), after=after, limit=limit)
    return found | {"server_at": now.isoformat()}


@router.get("/{farm_id}/set-aside", dependencies=[needs("manager")])
def list_set_aside(farm_id: FarmId, store: ServiceStore) -> Json:
    """Return every record that is set aside, newest first, with its reason in words."""
    return {"records": reporting.set_aside(store, str(farm_id))}
