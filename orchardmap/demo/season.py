"""The invented season: when it opens, which days are worked, how many hours each one has."""

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import numpy as np

from orchardmap.demo.people import TIME_ZONE

WEEKS_BEFORE = 8
WEEKS_AFTER = 8
HOURS_A_DAY = 5.8  # at the trees, in winter light, walking and breaks off
CLOCK_PER_HOUR = 1.3  # breaks and walking between the hours at the trees
CLOCK_HOURS_A_DAY = round(4.0 * HOURS_A_DAY * CLOCK_PER_HOUR) / 4.0  # as a foreman writes them down
LOST_DAY_CHANCE = 0.15  # rain or hard frost all day
SHORT_DAY_CHANCE = 0.20  # rain from noon
HOLIDAYS = {(12, 25): "Christmas Day", (12, 26): "Boxing Day", (1, 1): "New Year's Day"}

ZONE = ZoneInfo(TIME_ZONE)


@dataclass(frozen=True, slots=True)
class WorkDay:
    """A day on which somebody pruned."""

    day: date
    hours: float


def opens_on(today: date) -> date:
    """Return the Monday on or before the day eight weeks ago."""
    start = today - timedelta(weeks=WEEKS_BEFORE)
    return start - timedelta(days=start.weekday())


def must_finish_on(today: date) -> date:
    """Return the Friday on or after the day eight weeks ahead."""
    end = today + timedelta(weeks=WEEKS_AFTER)
    return end + timedelta(days=(4 - end.weekday()) % 7)


def season_name(today: date) -> str:
    """Return what the season is called: by its year, or by both years that it touches.

    >>> season_name(date(2026, 12, 1)), season_name(date(2027, 6, 1))
    ('Winter 2026/27', 'Season 2027')
    """
    first, last = opens_on(today).year, must_finish_on(today).year
    return f"Season {first}" if first == last else f"Winter {first}/{last % 100:02d}"


def work_days(today: date, rng: np.random.Generator) -> list[WorkDay]:
    """Return the days worked from the opening to today: no weekend, no holiday, no day lost to weather.

    Parameters
    ----------
    today : date
        The last day that can be worked.
    rng : Generator
        Decides the weather.

    Returns
    -------
    list of WorkDay
        In order; a day with rain from noon has half its hours.
    """
    return worked_between(opens_on(today), today, rng)


def worked_between(first: date, last: date, rng: np.random.Generator) -> list[WorkDay]:
    """Return the same from one day to another, both among them."""
    days = []
    day = first
    while day <= last:
        weather = rng.random()
        works = day.weekday() < 5 and (day.month, day.day) not in HOLIDAYS
        if works and weather >= LOST_DAY_CHANCE:
            short = weather < LOST_DAY_CHANCE + SHORT_DAY_CHANCE
            days.append(WorkDay(day, HOURS_A_DAY / 2 if short else HOURS_A_DAY))
        day += timedelta(days=1)
    return days


def moment(day: date, hours: float) -> datetime:
    """Return the moment so many hours after eight in the morning, farm time.

    Parameters
    ----------
    day : date
        A day of the farm's time zone.
    hours : float, hours, 0 to 15

    Returns
    -------
    datetime
        With the farm's time zone, to the second.
    """
    return datetime.combine(day, time(8), ZONE) + timedelta(seconds=round(hours * 3600))
