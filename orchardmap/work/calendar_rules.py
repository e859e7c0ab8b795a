"""What a working calendar and the people of crews must be. Pure."""

from collections.abc import Sequence
from datetime import date, timedelta
from itertools import pairwise

from orchardmap.errors import InputError
from orchardmap.model.calendar import OPEN_END, CrewStrength, SeasonCalendar
from orchardmap.model.season import Season

__all__ = ["MOST_PEOPLE", "refuse_odd_calendar", "refuse_odd_strengths"]

MOST_PEOPLE = 1_000
"""Of one crew: more is a slip."""
_MOST_PACE = 1_000.0
_MOST_LOST_PERCENT = 95.0
_LATE = timedelta(days=366)
"""A season may run past its day; beyond a year it is a slip."""


def refuse_odd_calendar(calendar: SeasonCalendar, season: Season) -> None:
    """Raise if nobody can work by a calendar, or it holds what cannot be meant.

    Raises
    ------
    InputError
        ``where`` names the field.
    """
    if len(calendar.weekdays) != 7 or set(calendar.weekdays) - {"0", "1"}:
        raise InputError(
            f"{calendar.weekdays[:20]!r} does not say which days are worked",
            where="weekdays",
            todo="Give seven times 0 or 1, Monday first.",
        )
    if "1" not in calendar.weekdays:
        raise InputError("no day of the week is worked", where="weekdays", todo="Choose at least one.")
    if not 0 < calendar.hours_per_day <= 24:
        raise InputError("a day has more than 0 and at most 24 hours", where="hours_per_day")
    if len(calendar.lost_percent) != 12:
        raise InputError("it must hold twelve numbers, January first", where="lost_percent")
    for month, lost in enumerate(calendar.lost_percent, 1):
        if not 0 <= lost <= _MOST_LOST_PERCENT:
            raise InputError(
                f"month {month} loses {lost:g} % of its days",
                where="lost_percent",
                todo=f"Give 0 to {_MOST_LOST_PERCENT:g}; enter days off where nobody works at all.",
            )
    if calendar.expected_pace is not None and not 0 < calendar.expected_pace <= _MOST_PACE:
        raise InputError(
            f"it must be above 0 and at most {_MOST_PACE:g} trees per person-hour", where="expected_pace"
        )
    _refuse_odd_days_off([one.day for one in calendar.days_off], season)


def _refuse_odd_days_off(days: Sequence[date], season: Season) -> None:
    for one in days:
        if not season.opens_on <= one <= season.must_finish_on + _LATE:
            raise InputError(
                f"{one} lies outside the season",
                where="days_off",
                todo=f"It opens on {season.opens_on} and must be finished on {season.must_finish_on}.",
            )
    for one, other in pairwise(sorted(days)):
        if one == other:
            raise InputError(f"{one} stands there twice", where="days_off", todo="Keep one of them.")


def refuse_odd_strengths(strengths: Sequence[CrewStrength]) -> None:
    """Raise if a span ends before it starts, two spans of a crew meet, or a number of people cannot be meant.

    Raises
    ------
    InputError
        ``where`` names the first day of the span.
    """
    for one in strengths:
        if one.last < one.first:
            raise InputError(
                f"it ends on {one.last}, before it starts",
                where=f"{one.first}",
                todo="Give the same day or a later one.",
            )
        if not 0 <= one.people <= MOST_PEOPLE:
            raise InputError(
                f"{one.people} people cannot be", where=f"{one.first}", todo=f"Give 0 to {MOST_PEOPLE}."
            )
    ordered = sorted(strengths, key=lambda one: (one.crew_id, one.first, one.last))
    for one, other in pairwise(ordered):
        if one.crew_id == other.crew_id and other.first <= one.last:
            until = "the work is done" if one.last == OPEN_END else one.last
            raise InputError(
                f"two spans of one crew meet: one lasts until {until}",
                where=f"{other.first}",
                todo="End the first one the day before the other starts.",
            )
