"""The invented weather of the demo's season: mild and wet, with one hard frost two days after a day of work."""

from collections.abc import Collection
from datetime import date, timedelta

import numpy as np

from orchardmap.demo.season import opens_on

__all__ = ["weather_csv"]

FORECAST_DAYS = 9
RAIN_CHANCE = 0.35
FROST_C = -18.6
"""Colder than that country mostly is, so that the notice is seen."""
_FROST_AFTER = timedelta(days=2)
_FROST_BEFORE_TODAY = timedelta(days=3)


def weather_csv(worked: Collection[date], *, today: date, rng: np.random.Generator) -> bytes:
    """Return a table of weather as somebody would load it: measured up to today, forecast after.

    Parameters
    ----------
    worked : collection of date
        Days on which somebody pruned.
    today : date
        The day that the demo is looked at.
    rng : Generator
        Decides the weather.

    Returns
    -------
    bytes
        CSV with ``date,tmin_c,tmax_c,rain_mm``, from the day the season opens, without a gap. Its hard frost comes two days
        after the last day of work that leaves it three days before ``today``; none where nobody worked by then. It rains
        tomorrow, and on most days of the forecast it does not freeze.
    """
    first = opens_on(today)
    days = [first + timedelta(days=k) for k in range((today - first).days + FORECAST_DAYS + 1)]
    low_c = rng.normal(1.5, 2.5, len(days)).clip(-6.0, 7.0)
    spread_c = rng.uniform(3.0, 8.0, len(days))
    rain_mm = np.where(rng.random(len(days)) < RAIN_CHANCE, rng.gamma(1.5, 3.0, len(days)) + 0.2, 0.0)
    rain_mm[days.index(today + timedelta(days=1))] = 4.6
    frost = max(
        (day + _FROST_AFTER for day in worked if day + _FROST_AFTER <= today - _FROST_BEFORE_TODAY),
        default=None,
    )
    lines = ["date,tmin_c,tmax_c,rain_mm"]
    for day, low, spread, rain in zip(days, low_c, spread_c, rain_mm, strict=True):
        coldest, fallen = (FROST_C, 0.0) if day == frost else (low, rain)
        lines.append(f"{day},{coldest:.1f},{coldest + spread:.1f},{fallen:.1f}")
    return "\n".join([*lines, ""]).encode()
