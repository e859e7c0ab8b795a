"""When a farm works: the calendar of a season, and how many people each crew has."""

from dataclasses import dataclass
from datetime import date

__all__ = ["OPEN_END", "CrewStrength", "DayOff", "SeasonCalendar"]

OPEN_END = date.max
"""The last day of people who stay until the work is done, whenever that is."""


@dataclass(frozen=True, slots=True)
class DayOff:
    """A day on which nobody works, though that day of the week is worked."""

    day: date
    name: str


@dataclass(frozen=True, slots=True)
class SeasonCalendar:
    """The working calendar of a season, with what holds where nobody said anything else."""

    weekdays: str = "1111100"
    """Monday to Sunday, 1 for a day that is worked."""
    hours_per_day: float = 8.0
    days_off: tuple[DayOff, ...] = ()
    """In order."""
    lost_percent: tuple[float, ...] = (10.0,) * 12
    """Of working days, January to December, that weather takes: common practice."""
    expected_pace: float | None = None
    """Trees per person-hour, as the farm expects; None where nobody said: nothing is forecast then."""
    respects_daylight: bool = True
    """No day is longer than its daylight allows."""


@dataclass(frozen=True, slots=True)
class CrewStrength:
    """People of a crew from one day to another, both among them."""

    crew_id: str
    first: date
    last: date
    """`OPEN_END` where they stay until the work is done."""
    people: int
    """0 for a crew that is away."""
