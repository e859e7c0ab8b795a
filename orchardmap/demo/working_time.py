"""When the invented farm works, and with how many people."""

from collections.abc import Sequence
from datetime import date, datetime, timedelta

from orchardmap.demo.season import CLOCK_HOURS_A_DAY, HOLIDAYS, LOST_DAY_CHANCE
from orchardmap.demo.work import CrewAtWork
from orchardmap.model.calendar import CrewStrength, DayOff, SeasonCalendar
from orchardmap.model.season import Season
from orchardmap.store.session import Store
from orchardmap.usecases import working_time

__all__ = ["say_when_it_works"]

EXPECTED_PACE = 10.0
"""Invented: trees of a person-hour that the manager counted on before the season, a little more than it came to."""
_LATE = timedelta(weeks=12)
"""Nobody goes home on the day that it must be finished."""


def say_when_it_works(store: Store, season: Season, crews: Sequence[CrewAtWork], *, now: datetime) -> None:
    """Save the season's calendar, and the people of each crew from its opening on."""
    ends = season.must_finish_on + _LATE
    calendar = SeasonCalendar(
        hours_per_day=CLOCK_HOURS_A_DAY,
        days_off=tuple(_days_off(season.opens_on, ends)),
        lost_percent=(100.0 * LOST_DAY_CHANCE,) * 12,
        expected_pace=EXPECTED_PACE,
        # the invention's day is as long in December as in April
        respects_daylight=False,
    )
    working_time.save_calendar(store, farm_id=season.farm_id, season_id=season.id, calendar=calendar, now=now)
    strengths = [
        CrewStrength(crew.crew_id, season.opens_on, ends, 1 + len(crew.gang.workers)) for crew in crews
    ]
    working_time.save_strengths(store, farm_id=season.farm_id, strengths=strengths, now=now)


def _days_off(first: date, last: date) -> list[DayOff]:
    return [
        DayOff(day, name)
        for year in range(first.year, last.year + 1)
        for (month, number), name in HOLIDAYS.items()
        if first <= (day := date(year, month, number)) <= last
    ]
