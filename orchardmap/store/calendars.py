"""Calendars of seasons, and people of crews by spans of days. What is saved replaces what was there."""

from collections.abc import Sequence
from dataclasses import asdict

from sqlalchemy import Connection, delete, insert, select

from orchardmap.model.calendar import CrewStrength, DayOff, SeasonCalendar
from orchardmap.store import calendar_tables as t
from orchardmap.store.tables import crews

__all__ = ["calendar", "save_calendar", "save_strengths", "strengths"]


def calendar(conn: Connection, season_id: str) -> SeasonCalendar | None:
    """Return the calendar of a season, None where nobody saved one."""
    c = t.season_calendars.c
    kept = conn.execute(select(t.season_calendars).where(c.season_id == season_id)).one_or_none()
    if kept is None:
        return None
    off = select(t.days_off.c.day, t.days_off.c.name).where(t.days_off.c.season_id == season_id)
    return SeasonCalendar(
        kept.weekdays,
        kept.hours_per_day,
        tuple(DayOff(*one) for one in conn.execute(off.order_by(t.days_off.c.day))),
        tuple(kept.lost_percent),
        kept.expected_pace,
        kept.respects_daylight,
    )


def save_calendar(conn: Connection, season_id: str, made: SeasonCalendar) -> None:
    """Keep a calendar instead of the one before."""
    for table in (t.season_calendars, t.days_off):
        conn.execute(delete(table).where(table.c.season_id == season_id))
    told = asdict(made) | {"season_id": season_id, "lost_percent": list(made.lost_percent)}
    off = told.pop("days_off")
    conn.execute(insert(t.season_calendars).values(**told))
    if off:
        conn.execute(insert(t.days_off), [one | {"season_id": season_id} for one in off])


def strengths(conn: Connection, farm_id: str) -> list[CrewStrength]:
    """Return the people of a farm's crews by spans of days, by crew and day."""
    s = t.strengths.c
    asked = select(s.crew_id, s.first, s.last, s.people).join(crews, crews.c.id == s.crew_id)
    ordered = asked.where(crews.c.farm_id == farm_id).order_by(crews.c.name, s.crew_id, s.first)
    return [CrewStrength(*one) for one in conn.execute(ordered)]


def save_strengths(conn: Connection, farm_id: str, made: Sequence[CrewStrength]) -> None:
    """Keep these spans of a farm's crews instead of all that were there."""
    own = select(crews.c.id).where(crews.c.farm_id == farm_id)
    conn.execute(delete(t.strengths).where(t.strengths.c.crew_id.in_(own)))
    if made:
        conn.execute(insert(t.strengths), [asdict(one) for one in made])
