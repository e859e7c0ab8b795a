"""A season in one answer: how far it is, when it may be finished, who prunes how fast, what the checks say."""

from collections import Counter, defaultdict
from datetime import date, datetime
from typing import Any

from orchardmap.store.session import Store
from orchardmap.usecases.forecasting import forecast
from orchardmap.usecases.glance import overview
from orchardmap.usecases.history import progress
from orchardmap.usecases.lot_reading import farm_lots
from orchardmap.usecases.moments import moment, refuse_day_to_come
from orchardmap.usecases.pay_cost import cost_json
from orchardmap.usecases.season_records import SeasonRecords, season_records

__all__ = ["season_report"]

Json = dict[str, Any]


def season_report(store: Store, farm_id: str, *, day: date | None, now: datetime) -> Json:
    """Return what a manager reads of a season in the morning, as of a day (None: today).

    Parameters
    ----------
    store : Store
        Open for reading.
    farm_id : str
        The farm.
    day : date or None
        Of a day that is over all but ``lots`` and ``cost`` is what it was then; those are told as they are now, or not at all.
    now : datetime with time zone
        The server's clock.

    Returns
    -------
    dict
        ``figures`` as the overview has them, ``forecast`` as `orchardmap.usecases.forecasting.forecast` (paces, blocks and
        crews that left with names besides), ``crews`` with trees credited, the people that the forecast reckons with and
        person-hours, ``lots`` by verdict, ``cost`` as `orchardmap.usecases.pay_cost.cost_json` tells it.

    Raises
    ------
    UnknownError
        If no farm has that id.
    InputError
        If that day has not come yet.
    """
    glance = overview(store, farm_id, day=day, now=now)
    done = progress(store, farm_id, day=day, now=now)
    ahead = forecast(store, farm_id, day=day, now=now)
    with store.read() as conn:
        at = moment(conn, farm_id, day, now)
        refuse_day_to_come(at)
        records = season_records(conn, at.farm, at.season) if at.season else None
    crew_names = {one["id"]: one["name"] for one in done["crews"]}
    variety_names = {one["id"]: one["name"] for one in done["varieties"]}
    blocks = {one["id"]: one for one in glance["blocks"]}
    hours = _hours_of_crews(records, at.day)
    people = {one["crew_id"]: one["people"] for one in ahead["crews"]}
    is_now = at.until is None
    lots = farm_lots(store, farm_id, language="en", now=now)["lots"] if is_now else []
    return {
        "farm": at.farm.name,
        "day": at.day.isoformat(),
        "season": at.season.name if at.season else None,
        "figures": glance["figures"],
        "forecast": ahead
        | {
            "paces": [
                one
                | {"crew": crew_names[one["crew_id"]], "variety": variety_names.get(one["variety_id"], "")}
                for one in ahead["paces"]
            ],
            "unsaid_today": [crew_names[one] for one in ahead["unsaid_today"]],
            "gone": [one | {"crew": crew_names[one["crew_id"]]} for one in ahead["gone"]],
            "blocks": [one | _named(one, blocks[one["block_id"]], crew_names) for one in ahead["blocks"]],
        },
        "crews": [
            one | {"people": people.get(one["id"]), "person_hours": hours.get(one["id"], 0.0)}
            for one in done["crews"]
        ],
        "held": done["held"],
        "lots": dict(Counter(one["verdict"] for one in lots if one["cancelled"] is None)) if is_now else None,
        "cost": cost_json(store, farm_id, now=now) if is_now else None,
    }


def _hours_of_crews(records: SeasonRecords | None, until: date) -> dict[str, float]:
    hours: dict[str, float] = defaultdict(float)
    for one in records.hours if records else ():
        if one.day <= until:
            hours[one.crew] += one.person_hours
    return hours


def _named(finish: Json, block: Json, crew_names: dict[str, str]) -> Json:
    return {
        "block": block["code"],
        "crew": crew_names.get(finish["crew_id"], ""),
        "trees_left": block["trees"] - block["pruned"],
    }
