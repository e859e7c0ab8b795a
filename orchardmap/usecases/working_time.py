"""When a farm works, and with how many people: the calendar of a season, and its crews by spans of days."""

from collections.abc import Sequence
from dataclasses import asdict, replace
from datetime import date, datetime
from typing import Any

from orchardmap.errors import UnknownError
from orchardmap.model.calendar import OPEN_END, CrewStrength, DayOff, SeasonCalendar
from orchardmap.store import audit, calendars, log
from orchardmap.store import farm as farm_store
from orchardmap.store.session import Store
from orchardmap.usecases.moments import moment
from orchardmap.work.calendar_rules import refuse_odd_calendar, refuse_odd_strengths

__all__ = ["read_calendar", "read_strengths", "save_calendar", "save_strengths"]

Json = dict[str, Any]


def read_calendar(store: Store, farm_id: str, *, day: date | None = None, now: datetime) -> Json:
    """Return the working calendar of the season that a day (None: today) belongs to.

    Parameters
    ----------
    store : Store
        Open for reading.
    farm_id : str
        The farm.
    day : date or None
        Of the season that is asked about.
    now : datetime with time zone
        The server's clock.

    Returns
    -------
    dict
        ``is_set`` is False where nobody saved one: all else is a first guess then, and no pace is expected.

    Raises
    ------
    UnknownError
        If no farm has that id, or it has no season yet.
    """
    with store.read() as conn:
        season = moment(conn, farm_id, day, now).season
        if season is None:
            raise UnknownError(
                "the farm has no season yet", todo="Add one first: a calendar is that of a season."
            )
        kept = calendars.calendar(conn, season.id)
    return _calendar_json(season.id, kept or SeasonCalendar()) | {"is_set": kept is not None}


def _calendar_json(season_id: str, calendar: SeasonCalendar) -> Json:
    off = [{"day": one.day.isoformat(), "name": one.name} for one in calendar.days_off]
    return asdict(calendar) | {
        "season_id": season_id,
        "days_off": off,
        "lost_percent": list(calendar.lost_percent),
    }


def save_calendar(
    store: Store,
    *,
    farm_id: str,
    season_id: str,
    calendar: SeasonCalendar,
    actor: str = "shell",
    now: datetime,
) -> Json:
    """Keep the working calendar of a season instead of the one before.

    Parameters
    ----------
    store : Store
        Open for writing.
    farm_id, season_id : str
        The season.
    calendar : SeasonCalendar
        Days off in any order; a name may be empty.
    actor : str
        As the audit log names who says so.
    now : datetime with time zone
        The server's clock.

    Returns
    -------
    dict
        As `read_calendar` tells it.

    Raises
    ------
    UnknownError
        If the farm has no such season.
    InputError
        If nobody can work by it, or a day off lies outside the season or is named twice; nothing is changed then.
    """
    off = sorted(calendar.days_off, key=lambda one: one.day)
    tidy = replace(calendar, days_off=tuple(DayOff(one.day, " ".join(one.name.split())) for one in off))
    with store.write() as conn:
        log.lock_farm(conn, farm_id)
        season = next((one for one in farm_store.seasons(conn, farm_id) if one.id == season_id), None)
        if season is None:
            raise UnknownError("no such season on this farm", where=season_id)
        refuse_odd_calendar(tidy, season)
        if tidy != calendars.calendar(conn, season_id):
            calendars.save_calendar(conn, season_id, tidy)
            log.append_changes(conn, farm_id, [log.Change("calendar", season_id)])
            said: dict[str, str | int | None] = {
                "weekdays": tidy.weekdays,
                "hours_per_day": str(tidy.hours_per_day),
                "days_off": len(tidy.days_off),
                "expected_pace": None if tidy.expected_pace is None else str(tidy.expected_pace),
            }
            audit.note(
                conn, "calendar_saved", at=now, actor=actor, subject=season_id, farm_id=farm_id, **said
            )
    return _calendar_json(season_id, tidy) | {"is_set": True}


def read_strengths(store: Store, farm_id: str) -> list[Json]:
    """Return the people of a farm's crews by spans of days, by crew and day.

    On other days a crew has as many people as came on the fullest of its last five crew-days. ``last`` is null of those who stay
    until the work is done.

    Raises
    ------
    UnknownError
        If no farm has that id.
    """
    with store.read() as conn:
        farm_store.farm(conn, farm_id)
        found = calendars.strengths(conn, farm_id)
    return [
        asdict(one)
        | {
            "first": one.first.isoformat(),
            "last": None if one.last == OPEN_END else one.last.isoformat(),
        }
        for one in found
    ]


def save_strengths(
    store: Store,
    *,
    farm_id: str,
    strengths: Sequence[CrewStrength],
    actor: str = "shell",
    now: datetime,
) -> list[Json]:
    """Keep these spans of a farm's crews instead of all that were there.

    Parameters
    ----------
    store : Store
        Open for writing.
    farm_id : str
        The farm.
    strengths : sequence of CrewStrength
        In any order; spans of one crew never meet.
    actor : str
        As the audit log names who says so.
    now : datetime with time zone
        The server's clock.

    Returns
    -------
    list of dict
        As `read_strengths` tells them.

    Raises
    ------
    UnknownError
        If no farm has that id, or a crew is not one of the farm's; nothing is changed then.
    InputError
        If a span ends before it starts, two of a crew meet, or a number of people cannot be; nothing is changed then.
    """
    refuse_odd_strengths(strengths)
    with store.write() as conn:
        log.lock_farm(conn, farm_id)
        crews = {crew.id for crew in farm_store.crews(conn, farm_id)}
        for one in strengths:
            if one.crew_id not in crews:
                raise UnknownError("no such crew on this farm", where=one.crew_id)
        if set(strengths) != set(calendars.strengths(conn, farm_id)):
            calendars.save_strengths(conn, farm_id, strengths)
            log.append_changes(conn, farm_id, [log.Change("strengths", farm_id)])
            audit.note(conn, "strengths_saved", at=now, actor=actor, farm_id=farm_id, spans=len(strengths))
    return read_strengths(store, farm_id)
