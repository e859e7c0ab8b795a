"""What of the day asks for a manager: crews that nothing was heard from, closures that begin or end, blocks pruned without a brief."""

from collections.abc import Sequence
from datetime import date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from orchardmap.model.calendar import SeasonCalendar
from orchardmap.model.code_order import code_order
from orchardmap.model.season import Closure
from orchardmap.planning.season_end import ended_on
from orchardmap.store import closures, orchard
from orchardmap.store.session import Connection, Store
from orchardmap.usecases.brief_reading import held_briefs
from orchardmap.usecases.moments import Moment, moment
from orchardmap.usecases.season_ahead import work_calendar
from orchardmap.usecases.season_records import SeasonRecords, season_records

__all__ = ["needs_today"]

Json = dict[str, Any]
AHEAD = timedelta(days=7)
"""Closures are told so long before they begin or end."""
_HEARD_BY = time(12)
"""In the morning nobody has anything to send yet."""
_LATELY = 5
"""A crew that worked on one of the farm's last so many days is expected; one that did not has left."""


def needs_today(store: Store, farm_id: str, *, now: datetime) -> Json:
    """Return the crews that nothing was heard from today, the closures that begin or end within a week, and blocks without a brief.

    Parameters
    ----------
    store : Store
        Open for reading.
    farm_id : str
        The farm.
    now : datetime with time zone
        The server's clock.

    Returns
    -------
    dict
        ``unbriefed`` are blocks in which pruning is under way and for which no published brief holds, by code. ``silent`` is empty before noon, on days that the calendar leaves free, once every tree is pruned or the season is over, and for crews of which a
        span says that they are away; ``closures`` stand in the order of what happens next.
    """
    with store.read() as conn:
        at = moment(conn, farm_id, None, now)
        records = season_records(conn, at.farm, at.season) if at.season else None
        blocks = {block.id: block.code for block in orchard.blocks(conn, farm_id)}
        known = closures.closures(conn, list(blocks))
        unbriefed = _unbriefed(conn, at, records) if records and not _is_over(records, at.today) else []
    return {
        "day": at.today.isoformat(),
        "silent": _silent(records, at) if records else [],
        "closures": _turning(known, blocks, at),
        "unbriefed": unbriefed,
    }


def _unbriefed(conn: Connection, at: Moment, records: SeasonRecords) -> list[Json]:
    """Return the blocks that are begun and not done, in a season that goes on, though nobody has published what their crews are to cut."""
    done = records.pruned_by(at.today)
    begun = [one for one in records.blocks if 0 < done[one.id] < records.trees.get(one.id, 0)]
    held = held_briefs(conn, at, {one.id: one.variety_id for one in begun})
    return [
        {"block_id": one.id, "block_code": one.code, "variety_id": one.variety_id}
        for one in begun
        if one.id not in held
    ]


def _silent(records: SeasonRecords, at: Moment) -> list[Json]:
    today = at.today
    if (
        at.now.astimezone(records.zone).time() < _HEARD_BY
        or not _is_worked(records, today)
        or _is_over(records, today)
    ):
        return []
    worked = {day: {crew for _, crew in of} for day, of in records.by_crew.items()}
    lately = sorted((day for day in worked if day < today), reverse=True)[:_LATELY]
    heard = worked.get(today, set()) | {one.crew for one in records.hours if one.day == today}
    away = {one.crew_id for one in records.strengths if one.people == 0 and one.first <= today <= one.last}
    last = {crew: day for day in reversed(lately) for crew in worked[day]}
    return [
        {
            "crew_id": crew.id,
            "last_day": last[crew.id].isoformat(),
            "blocks": list(records.queues.by_crew.get(crew.id, ())),
        }
        for crew in records.crews
        if crew.id in last.keys() - heard - away
    ]


def _is_over(records: SeasonRecords, today: date) -> bool:
    """Tell whether nobody is waited for any more: nothing is left to prune, or the season ended."""
    left = sum(records.trees.values()) - records.pruned_by(today).total()
    last = max((day for day in records.by_crew if day <= today), default=None)
    return left <= 0 or ended_on(records.season, today, last_worked=last, trees_left=left) is not None


def _is_worked(records: SeasonRecords, day: date) -> bool:
    (first,) = work_calendar(records.calendar or SeasonCalendar(), None).days(day, 1).tolist()
    return bool(first == day)


def _turning(known: Sequence[Closure], codes: dict[str, str], at: Moment) -> list[Json]:
    """Return the closures of which an end lies ahead and not far."""
    zone = ZoneInfo(at.farm.time_zone)
    found = [
        (moment, turn, one)
        for one in known
        for turn, moment in (("begins", one.starts_at), ("ends", one.ends_at))
        if at.now <= moment <= at.now + AHEAD and one.starts_at < one.ends_at
    ]
    return [
        {
            "block_id": one.block_id,
            "block_code": codes[one.block_id],
            "turn": turn,
            "at": moment.astimezone(zone).isoformat(timespec="minutes"),
            "reason": one.reason,
        }
        for moment, turn, one in sorted(found, key=lambda it: (it[0], code_order(codes[it[2].block_id])))
    ]
