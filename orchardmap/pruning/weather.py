"""Daily weather, as a table of a station or a forecast gives it."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import ArrayLike, NDArray

from orchardmap.errors import InputError
from orchardmap.model.weather import WeatherDay
from orchardmap.pruning import bounds

__all__ = ["DailyWeather", "daily_weather", "weather_of_days"]


@dataclass(frozen=True, slots=True, eq=False)
class DailyWeather:
    """One line a day, without a gap; made by `daily_weather`."""

    days: NDArray[np.datetime64]
    """Shape (n,), unit D, each the day after the one before."""
    tmin_c: NDArray[np.float64]
    """Shape (n,), degrees Celsius."""
    tmax_c: NDArray[np.float64]
    """Shape (n,), degrees Celsius, never below `tmin_c`."""
    rain_mm: NDArray[np.float64] | None
    """Shape (n,), millimetres; None where rain was not told."""


def daily_weather(
    days: ArrayLike | Sequence[date], tmin_c: ArrayLike, tmax_c: ArrayLike, rain_mm: ArrayLike | None = None
) -> DailyWeather:
    """Return daily weather, once it can be added up day by day.

    Parameters
    ----------
    days : array_like of date, shape (n,)
        In order, none left out and none twice; ``n >= 1``.
    tmin_c, tmax_c : array_like of float, shape (n,), degrees Celsius, -90 to 60
        Of each day.
    rain_mm : array_like of float, shape (n,), millimetres, 0 to 2,000, optional
        Of each day.

    Returns
    -------
    DailyWeather

    Raises
    ------
    InputError
        If a value is out of range, lengths differ, a maximum is below its minimum, or a day is missing, double or out
        of order; ``where`` names the day or the column.

    Examples
    --------
    >>> daily_weather(["2026-03-01", "2026-03-02"], [-1, 0], [4, 7]).tmax_c.tolist()
    [4.0, 7.0]
    """
    told = DailyWeather(
        np.atleast_1d(np.asarray(days, "datetime64[D]")),
        np.atleast_1d(bounds.air_temperature_c(tmin_c, "tmin_c")),
        np.atleast_1d(bounds.air_temperature_c(tmax_c, "tmax_c")),
        None if rain_mm is None else np.atleast_1d(bounds.rain_mm(rain_mm, "rain_mm")),
    )
    columns = [told.days, told.tmin_c, told.tmax_c, *([] if told.rain_mm is None else [told.rain_mm])]
    if any(column.shape != (len(told.days),) for column in columns) or len(told.days) == 0:
        raise InputError("Each day needs one value in every column, and one day at least.", where="days")
    steps = np.diff(told.days).astype(int)
    for at in np.flatnonzero(steps != 1)[:1]:
        day, following = told.days[at], told.days[at + 1]
        what = f"After it comes {following}."
        raise InputError(what, where=str(day), todo="Give every day once, in order, none left out.")
    for at in np.flatnonzero(told.tmax_c < told.tmin_c)[:1]:
        raise InputError("Its maximum is below its minimum.", where=str(told.days[at]))
    return told


def weather_of_days(told: Sequence[WeatherDay]) -> DailyWeather:
    """Return the daily weather of days one after the other.

    Parameters
    ----------
    told : sequence of WeatherDay
        In order, none left out and none twice; one at least.

    Returns
    -------
    DailyWeather
        Without rain unless every day tells it.

    Raises
    ------
    InputError
        As `daily_weather` does.

    Examples
    --------
    >>> weather_of_days([WeatherDay(date(2026, 3, 1), -1, 4)]).rain_mm is None
    True
    """
    rain = [one.rain_mm for one in told if one.rain_mm is not None]
    return daily_weather(
        [one.day for one in told],
        [one.tmin_c for one in told],
        [one.tmax_c for one in told],
        rain if len(rain) == len(told) else None,
    )
