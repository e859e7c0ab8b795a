"""Who is here: farms, what every screen needs of one, and whether the store can serve."""

from collections import Counter
from collections.abc import Collection
from dataclasses import asdict
from datetime import datetime
from typing import Any

from orchardmap.errors import UnknownError
from orchardmap.model.orchard import Farm, Variety
from orchardmap.model.season import Season
from orchardmap.store import farm as farm_store
from orchardmap.store import health, log
from orchardmap.store.session import Store
from orchardmap.usecases.moments import moment
from orchardmap.work.intake import SET_ASIDE

__all__ = ["all_farms", "chosen_farm", "farm_pack", "readiness_faults", "remember", "remembered", "set_aside"]

Json = dict[str, Any]


def farm_pack(store: Store, farm_id: str, *, people_of: Collection[str] | None = None, now: datetime) -> Json:
    """Return what every screen needs to know of a farm: season, crews, people of some roles (all when left out), varieties."""
    with store.read() as conn:
        at = moment(conn, farm_id, None, now)
        people = farm_store.people(conn, farm_id)
        size = Counter(person.crew_id for person in people)
        seasons = [_season(season) for season in farm_store.seasons(conn, farm_id)]
        crews = [
            {"id": c.id, "name": c.name, "foreman_id": c.foreman_id, "method": c.method, "people": size[c.id]}
            for c in farm_store.crews(conn, farm_id)
        ]
        varieties = [_variety(variety) for variety in farm_store.varieties(conn, farm_id)]
    return {
        "id": at.farm.id,
        "name": at.farm.name,
        "time_zone": at.farm.time_zone,
        "today": at.today.isoformat(),
        "season": _season(at.season) if at.season else None,
        "seasons": seasons,
        "crews": crews,
        "people": [
            {"id": p.id, "name": p.name, "role": p.role, "crew_id": p.crew_id}
            for p in people
            if people_of is None or p.role in people_of
        ],
        "varieties": varieties,
    }


def _variety(variety: Variety) -> Json:
    told = asdict(variety)
    del told["farm_id"]
    return told


def _season(season: Season) -> Json:
    return {
        "id": season.id,
        "name": season.name,
        "opens_on": season.opens_on.isoformat(),
        "must_finish_on": season.must_finish_on.isoformat(),
        "closed": season.closed,
    }


def all_farms(store: Store) -> list[Farm]:
    """Return all farms by name."""
    with store.read() as conn:
        return farm_store.farms(conn)


def remembered(store: Store, name: str) -> str | None:
    """Return one of the database's own settings."""
    with store.read() as conn:
        return farm_store.setting(conn, name)


def remember(store: Store, name: str, value: str) -> None:
    """Set one of the database's own settings."""
    with store.write() as conn:
        farm_store.set_setting(conn, name, value)


def readiness_faults(store: Store) -> list[str]:
    """Return what keeps the store from serving; an empty list when nothing does."""
    return health.faults(store)


def chosen_farm(store: Store, name: str) -> Farm:
    """Return the farm of that name, or the only one where no name is given.

    Raises
    ------
    UnknownError
        If no farm has that name, or there is none, or several and none was named.
    """
    known = all_farms(store)
    found = [farm for farm in known if not name or farm.name == name]
    if len(found) == 1:
        return found[0]
    if not known:
        raise UnknownError(
            "there is no farm yet", todo="Make one first: orchardmap farm NAME, or Set-up in the browser."
        )
    names = ", ".join(sorted(farm.name for farm in known))[:200]
    if name:
        raise UnknownError("no such farm", where=name, todo=f"Farms here: {names}.")
    raise UnknownError(f"there are {len(known)} farms here: {names}", todo='Name one: --farm "NAME".')


def set_aside(store: Store, farm_id: str) -> list[Json]:
    """Return every mark, withdrawal and check that is set aside, newest first, with the reason in words."""
    with store.read() as conn:
        farm_store.farm(conn, farm_id)
        found = log.set_aside_records(conn, farm_id)
    return [
        {
            "kind": kind,
            "id": record.id,
            "reason": SET_ASIDE[record.set_aside],
            "block_id": getattr(record, "block_id", None),
            "row": getattr(record, "row", None),
            "server_at": record.server_at.isoformat(),
        }
        for kind, record in found
    ]
