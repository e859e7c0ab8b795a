"""Load a table of daily weather, tell what of it is kept, and forget it. No weather is fetched from anywhere."""

from collections.abc import Sequence
from datetime import date, datetime, timedelta
from itertools import pairwise
from typing import Any
from zoneinfo import ZoneInfo

from orchardmap.errors import InputError
from orchardmap.geodata.weather_table import weather_days
from orchardmap.model.weather import WeatherDay
from orchardmap.store import audit, log, orchard
from orchardmap.store import farm as farm_store
from orchardmap.store import weather as weather_store
from orchardmap.store.session import Connection, Store

__all__ = ["forecast_days", "forget_weather", "load_weather", "loaded_weather"]

Json = dict[str, Any]
FIRST_DAY = date(1900, 1, 1)
FARTHEST = timedelta(days=366)
"""Somebody may load what is usual for the rest of a season; beyond a year it is a slip."""


def load_weather(
    store: Store, *, farm_id: str, content: bytes, name: str, actor: str = "shell", now: datetime
) -> int:
    """Keep the days of a CSV file, all or none; days kept before are replaced where the file holds them.

    Parameters
    ----------
    store : Store
        Open for writing.
    farm_id : str
        The farm.
    content : bytes
        As `orchardmap.geodata.weather_table.weather_days` reads it; days may be left out.
    name : str
        Of the file, for errors.
    actor : str
        As the audit log names who loads it.
    now : datetime with time zone
        The server's clock.

    Returns
    -------
    int
        How many days the file held.

    Raises
    ------
    UnknownError
        If no farm has that id.
    InputError
        If the file is not such a table, ``where`` names line and column; or if a day lies centuries back or more than a
        year ahead. Nothing is kept then.
    """
    told = weather_days(content, name=name)
    with store.write() as conn:
        log.lock_farm(conn, farm_id)
        today = now.astimezone(ZoneInfo(farm_store.farm(conn, farm_id).time_zone)).date()
        _refuse_odd_years(told, today, name)
        weather_store.keep_weather(conn, farm_id, told, now=now)
        _tell(conn, farm_id)
        audit.note(conn, "weather_loaded", at=now, actor=actor, farm_id=farm_id, days=len(told))
    return len(told)


def _refuse_odd_years(told: Sequence[WeatherDay], today: date, name: str) -> None:
    for one in told:
        if not FIRST_DAY <= one.day <= today + FARTHEST:
            raise InputError(
                f"{one.day} cannot be meant: neither a station nor a forecast tells of it.",
                where=f"{name}, date",
                todo="Look at its year.",
            )


def forget_weather(store: Store, *, farm_id: str, actor: str = "shell", now: datetime) -> None:
    """Forget every day that was loaded.

    Raises
    ------
    UnknownError
        If no farm has that id.
    """
    with store.write() as conn:
        log.lock_farm(conn, farm_id)
        dropped = weather_store.drop_weather(conn, farm_id)
        _tell(conn, farm_id)
        audit.note(conn, "weather_forgotten", at=now, actor=actor, farm_id=farm_id, days=dropped)


def loaded_weather(store: Store, farm_id: str) -> Json:
    """Return what is loaded, day by day, with its gaps.

    Parameters
    ----------
    store : Store
        Open for reading.
    farm_id : str
        The farm.

    Returns
    -------
    dict
        ``first_day``, ``last_day`` and ``loaded_at`` are None where nothing is loaded; ``gaps`` holds the first and the last day
        of each; ``days`` tells of each whether it is kept as it was forecast: loaded before it was over.

    Raises
    ------
    UnknownError
        If no farm has that id.
    """
    with store.read() as conn:
        zone = ZoneInfo(farm_store.farm(conn, farm_id).time_zone)
        kept = weather_store.weather_days(conn, farm_id)
    guessed = forecast_days(kept, zone)
    days = [one.day for one, _ in kept]
    return {
        "first_day": days[0].isoformat() if days else None,
        "last_day": days[-1].isoformat() if days else None,
        "loaded_at": max(at for _, at in kept).isoformat() if kept else None,
        "gaps": [[first.isoformat(), last.isoformat()] for first, last in _gaps(days)],
        "days": [_day_json(one, one.day in guessed) for one, _ in kept],
    }


def forecast_days(kept: Sequence[tuple[WeatherDay, datetime]], zone: ZoneInfo) -> frozenset[date]:
    """Return the days that were loaded before they were over in the farm's zone: nobody can have measured them."""
    return frozenset(one.day for one, at in kept if at.astimezone(zone).date() <= one.day)


def _tell(conn: Connection, farm_id: str) -> None:
    """Let tablets fetch every block again: what its crew is told of the weather to come hangs on it."""
    block_ids: list[str | None] = [block.id for block in orchard.blocks(conn, farm_id)]
    log.append_changes(
        conn, farm_id, [log.Change("weather", farm_id, block_id) for block_id in block_ids or [None]]
    )


def _gaps(days: list[date]) -> list[tuple[date, date]]:
    one = timedelta(days=1)
    return [(a + one, b - one) for a, b in pairwise(days) if b - a > one]


def _day_json(told: WeatherDay, is_forecast: bool) -> Json:
    return {
        "day": told.day.isoformat(),
        "tmin_c": told.tmin_c,
        "tmax_c": told.tmax_c,
        "rain_mm": told.rain_mm,
        "is_forecast": is_forecast,
    }
