"""The weather that a farm loaded: a day loaded again replaces what was told of it."""

from collections.abc import Sequence
from dataclasses import asdict
from datetime import datetime

from sqlalchemy import Connection, delete, insert, select

from orchardmap.model.weather import WeatherDay
from orchardmap.store.row_tables import chunks
from orchardmap.store.weather_tables import farm_weather

__all__ = ["drop_weather", "keep_weather", "weather_days"]

_t = farm_weather.c


def keep_weather(conn: Connection, farm_id: str, told: Sequence[WeatherDay], *, now: datetime) -> None:
    """Keep days, each once; those kept already are replaced, all others stay."""
    for chunk in chunks(told):
        days = [one.day for one in chunk]
        conn.execute(delete(farm_weather).where(_t.farm_id == farm_id, _t.day.in_(days)))
        values = [asdict(one) | {"farm_id": farm_id, "loaded_at": now} for one in chunk]
        conn.execute(insert(farm_weather), values)


def drop_weather(conn: Connection, farm_id: str) -> int:
    """Forget every day of a farm; return how many there were."""
    return conn.execute(delete(farm_weather).where(_t.farm_id == farm_id)).rowcount


def weather_days(conn: Connection, farm_id: str) -> list[tuple[WeatherDay, datetime]]:
    """Return the days of a farm in order, each with the moment it was loaded."""
    asked = select(_t.day, _t.tmin_c, _t.tmax_c, _t.rain_mm, _t.loaded_at).where(_t.farm_id == farm_id)
    return [(WeatherDay(*one[:4]), one[4]) for one in conn.execute(asked.order_by(_t.day))]
