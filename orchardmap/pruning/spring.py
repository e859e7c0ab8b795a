"""Green tip in the spring of a season, from a table of weather that may have gaps."""

from collections.abc import Sequence
from datetime import date, timedelta

from orchardmap.model.weather import WeatherDay
from orchardmap.pruning.bud_break import GreenTip, green_tip
from orchardmap.pruning.weather import DailyWeather, weather_of_days

__all__ = ["spring_green_tip"]

_AFTER_SEASON = timedelta(days=60)
"""A season that must be finished longer before 1 March has nothing to do with that spring."""
_LATE_OPENING = timedelta(days=60)
"""A season that opens so much later than 1 March is still that spring's: winters are long in some places."""


def spring_green_tip(
    opens_on: date, must_finish_on: date, weather: Sequence[WeatherDay], *, is_southern: bool = False
) -> tuple[GreenTip, DailyWeather] | None:
    """Return when green tip is to be expected in the spring of a season.

    Parameters
    ----------
    opens_on, must_finish_on : date
        Of the season. Its spring is the first 1 March from two months before its opening on, unless the season must be
        finished long before: then it has none.
    weather : sequence of WeatherDay
        In order; days may be missing.
    is_southern : bool
        The farm lies south of the equator, for which no published sum is known here: it is given none.

    Returns
    -------
    tuple of GreenTip and DailyWeather, or None
        With the days that it was reckoned from: without a gap, and with 1 March among them. None where there are no such
        days.
    """
    year = opens_on.year
    start = next(day for day in (date(year, 3, 1), date(year + 1, 3, 1)) if day >= opens_on - _LATE_OPENING)
    run = _run_with(weather, start)
    if is_southern or start > must_finish_on + _AFTER_SEASON or not run:
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
