"""Green tip in the spring of a season, from a table of weather that may have gaps."""

from collections.abc import Sequence
from datetime import date, timedelta

from orchardmap.model.weather import WeatherDay
from orchardmap.pruning.bud_break import GreenTip, green_tip
from orchardmap.pruning.weather import DailyWeather, weather_of_days

__all__ = ["spring_green_tip"]

_AFTER_SEASON = timedelta(days=60)
"""A season that must be finished longer before 1 March has nothing to do with that spring."""


def spring_green_tip(
    opens_on: date, must_finish_on: date, weather: Sequence[WeatherDay]
) -> tuple[GreenTip, DailyWeather] | None:
    """Return when green tip is to be expected in the spring of a season.

    Parameters
    ----------
    opens_on, must_finish_on : date
        Of the season. Its spring is the first 1 March on or after its opening, unless it must be finished long before:
        then it has none, as south of the equator, for which no published sum is known here.
    weather : sequence of WeatherDay
        In order; days may be missing.

    Returns
    -------
    tuple of GreenTip and DailyWeather, or None
        With the days that it was reckoned from: without a gap, and with 1 March among them. None where there are no such
        days.
    """
    year = opens_on.year
    start = next(day for day in (date(year, 3, 1), date(year + 1, 3, 1)) if day >= opens_on)
    run = _run_with(weather, start)
    if start > must_finish_on + _AFTER_SEASON or not run:
        return None
    days = weather_of_days(run)
    return green_tip(days, start=start), days


def _run_with(weather: Sequence[WeatherDay], day: date) -> list[WeatherDay]:
    """Return the longest run of days one after the other that holds a day; none where it is not told."""
    run: list[WeatherDay] = []
    for one in weather:
        if run and one.day - run[-1].day != timedelta(days=1):
            if run[-1].day >= day:
                break
            run = []
        run.append(one)
    return run if run and run[0].day <= day <= run[-1].day else []
