"""`orchardmap calc timing`: all that a table of daily weather says about when to cut."""

from datetime import date
from typing import Any

import numpy as np
from numpy.typing import NDArray

from orchardmap.pruning.bud_break import GREEN_TIP_F_DAYS, green_tip
from orchardmap.pruning.heat import growing_degree_hours, hourly_temperatures_c, utah_chill_units
from orchardmap.pruning.timing import HARD_FROST_C, frost_risk, is_wet_on_canker
from orchardmap.pruning.weather import DailyWeather

__all__ = ["timing_answer"]


def timing_answer(
    weather: DailyWeather, *, start: date | None = None, green_tip_f_days: float = GREEN_TIP_F_DAYS
) -> dict[str, Any]:
    """Return green tip, chill, heat, and the days on which cuts are at risk.

    Parameters
    ----------
    weather : DailyWeather
        Past and forecast days.
    start : date, optional
        First day that counts toward green tip; left out, 1 March of the last day's year.
    green_tip_f_days : float, Fahrenheit degree days above 43 F
        Sum at green tip.

    Returns
    -------
    dict
        Days as ISO dates, None where the table does not tell; sums to one decimal. ``green_tip`` is None where no start
        was given and the table does not hold 1 March; ``wet_days`` where it has no rain.

    Raises
    ------
    InputError
        If the table does not hold the start that was given, or the sum is too small.

    Examples
    --------
    >>> from orchardmap.pruning.weather import daily_weather
    >>> told = timing_answer(daily_weather(["2026-01-20", "2026-01-21"], [-8, -19], [-1, -9]))
    >>> told["green_tip"], told["frost_days"], told["frost_risk"]["high"]
    (None, ['2026-01-21'], ['2026-01-20', '2026-01-21'])
    """
    days, hours_c = weather.days, hourly_temperatures_c(weather.tmin_c, weather.tmax_c)
    risk = frost_risk(days, weather)
    return {
        "first_day": str(days[0]),
        "last_day": str(days[-1]),
        "green_tip": _green_tip(weather, start, green_tip_f_days),
        "chill_units": round(float(utah_chill_units(hours_c).sum()), 1),
        "growing_degree_hours": round(float(growing_degree_hours(hours_c).sum()), 1),
        "frost_days": _listed(days[weather.tmin_c <= HARD_FROST_C]),
        "frost_risk": {level: _listed(days[risk == level]) for level in ("high", "falling")},
        "wet_days": None if weather.rain_mm is None else _listed(days[is_wet_on_canker(days, True, weather)]),
    }


def _green_tip(weather: DailyWeather, start: date | None, f_days: float) -> dict[str, Any] | None:
    last = weather.days[-1].astype(object)
    first_of_march = date(last.year, 3, 1)
    if start is None and np.datetime64(first_of_march) not in weather.days:
        return None
    told = green_tip(weather, start=start or first_of_march, green_tip_f_days=f_days)
    days = ("estimate", "earliest", "latest", "published_earliest", "published_latest")
    return {"degree_days_f": round(told.f_days, 1)} | {
        key: day.isoformat() if (day := getattr(told, key)) else None for key in days
    }


def _listed(days: NDArray[np.datetime64]) -> list[str]:
    return [str(day) for day in days]
