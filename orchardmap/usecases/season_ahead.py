"""From the records of a season, by an evening, to what a forecast starts from."""

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, time, timedelta
from functools import cache

import numpy as np

from orchardmap.model.calendar import SeasonCalendar
from orchardmap.planning.pace import PaceDay, PacePrior, Work
from orchardmap.planning.pace_days import FullHours, pace_days
from orchardmap.planning.queues import QueueBlock
from orchardmap.planning.season import Season, Strength
from orchardmap.planning.work_calendar import WorkCalendar
from orchardmap.usecases.crew_sizes import sizes, usual_people
from orchardmap.usecases.season_records import SeasonRecords

__all__ = [
    "Ahead",
    "closed_days",
    "last_evening",
    "paced",
    "season_ahead",
    "strengths",
    "unsaid_today",
    "work_calendar",
]

ONE_DAY = timedelta(days=1)
_NOON = time(12)


@dataclass(frozen=True, slots=True)
class Ahead:
    """What a forecast starts from on an evening, or what must be said before there is one."""

    evening: date
    """The last day whose work is in it."""
    missing: tuple[str, ...]
    """``blocks``, ``expected_pace``, ``crews``; empty where a forecast can be made."""
    season: Season | None
    queue: tuple[QueueBlock, ...]
    """Blocks with trees left, in the order in which they are worked."""
    people: Mapping[str, float] = field(default_factory=dict)
    """Of each crew that is reckoned with, on days of which no span speaks; known whether or not a forecast can be made."""
    methods: Mapping[str, str] = field(default_factory=dict)
    """How each crew prunes."""


def work_calendar(calendar: SeasonCalendar, latitude_deg: float | None) -> WorkCalendar:
    """Return a season's calendar as the forecast reckons with it."""
    return WorkCalendar(
        calendar.weekdays,
        frozenset(one.day for one in calendar.days_off),
        calendar.hours_per_day,
        tuple(lost / 100.0 for lost in calendar.lost_percent),
        latitude_deg if calendar.respects_daylight else None,
    )


def last_evening(records: SeasonRecords, day: date, today: date) -> date:
    """Return the last day whose work a forecast of a day holds.

    A day that is over is in it. Today is over once every crew that marked trees, or has people today, has said its crew-day; until
    then half a day's trees would stand there for a whole one, and the forecast would waver from hour to hour, or fall back with a
    crew's first mark. With the last tree of the season it is over in any case.
    """
    if day < today:
        return day
    if records.pruned_by(today).total() >= sum(records.trees.values()):
        return today
    is_said = any(one.day == today for one in records.hours)
    return today if is_said and not unsaid_today(records, today) else today - ONE_DAY


def unsaid_today(records: SeasonRecords, today: date) -> list[str]:
    """Return the crews whose crew-day of today is waited for, once there is any work of today: while there is one, today is not over.

    These are the crews that marked trees today, and those that have people today by what is known since the evening before.
    """
    said = {one.crew for one in records.hours if one.day == today}
    marked = {work.crew for work in records.credited.get(today, {})}
    return sorted((marked | _expected(records, today)) - said) if said | marked else []


def _expected(records: SeasonRecords, today: date) -> set[str]:
    """Return the crews that have people on a day, where it is one that is worked."""
    working = work_calendar(records.calendar or SeasonCalendar(), None)
    if working.days(today, 1).tolist() != [today]:
        return set()
    people = usual_people(records, today - ONE_DAY)
    people |= {one.crew_id: one.people for one in records.strengths if one.first <= today <= one.last}
    return {crew for crew, n in people.items() if n > 0}


def season_ahead(records: SeasonRecords, evening: date, said_by: date | None = None) -> Ahead:
    """Return what a forecast starts from when a day's work is done.

    Parameters
    ----------
    records : SeasonRecords
        To whatever day they go.
    evening : date
        What was done later is left out; the calendar and people of crews are those said by now.
    said_by : date or None
        The day up to which crew-days tell who came, where that is later than the evening: a crew that said today who was there has
        these people, though today is not over for another crew.

    Returns
    -------
    Ahead
        A crew has the people of the span that is said for the day. Elsewhere it has as many as came on the fullest of its last
        five crew-days: somebody who is ill today is a day's absence, whoever stays away for good is noticed within a
        week, and so is a whole crew. It prunes as on its last crew-day. A crew of which neither is known is not reckoned with.
    """
    calendar = records.calendar or SeasonCalendar()
    people, methods = _crews(records, max(evening, said_by or evening))
    missing = tuple(
        name
        for name, is_missing in (
            ("blocks", not any(records.trees.values())),
            ("expected_pace", calendar.expected_pace is None),
            ("crews", not people),
        )
        if is_missing
    )
    if missing or calendar.expected_pace is None:
        return Ahead(evening, missing, None, (), people, methods)
    prior = PacePrior(calendar.expected_pace)
    working = work_calendar(calendar, records.latitude_deg)
    usual = _usual_method(people, methods)
    queue = _queue(records, evening, people, usual)
    remaining: dict[Work, float] = defaultdict(float)
    for one in queue:
        remaining[one.work] += one.trees
    season = Season(
        first=max(evening + ONE_DAY, records.season.opens_on),
        calendar=working,
        people=people,
        history=paced(records, evening, prior),
        remaining=dict(remaining),
        prior=prior,
        strengths=strengths(records),
        methods=methods,
        worked=sorted({
            (day, work.crew) for day, of in records.credited.items() if day <= evening for work in of
        }),
    )
    return Ahead(evening, (), season, queue, people, methods)


def strengths(records: SeasonRecords) -> list[Strength]:
    """Return the spans of people as a forecast reckons with them."""
    return [Strength(one.crew_id, one.first, one.last, one.people) for one in records.strengths]


def paced(records: SeasonRecords, evening: date, prior: PacePrior) -> Sequence[PaceDay]:
    """Return the days of each crew whose trees and hours are both known, up to an evening."""
    working = work_calendar(records.calendar or SeasonCalendar(), records.latitude_deg)
    trees = {day: of for day, of in records.credited.items() if day <= evening}
    hours = [one for one in records.hours if one.day <= evening]
    return pace_days(trees, hours, prior, _full_hours(records, working))


def _crews(records: SeasonRecords, evening: date) -> tuple[dict[str, float], dict[str, str]]:
    """Return the people of each crew on days of which nothing is said, and how it prunes."""
    methods = {crew.id: str(crew.method) for crew in records.crews}
    people = usual_people(records, evening)
    by_then = [one for one in records.hours if one.day <= evening]
    # of the last day the method of most hours; so the last one set stands
    for one in sorted(by_then, key=lambda one: (one.day, one.person_hours, one.method)):
        methods[one.crew] = one.method
    for span in records.strengths:
        if span.last > evening and span.people:
            people.setdefault(span.crew_id, 0.0)
    return people, methods


def _usual_method(people: Mapping[str, float], methods: Mapping[str, str]) -> str:
    """Return how most people prune: so a crew is thought to that comes and says nothing of it."""
    found: Counter[str] = Counter()
    for crew, n in people.items():
        found[methods.get(crew, "")] += round(n)
    return max(found, key=lambda method: (found[method], method))


def _full_hours(records: SeasonRecords, working: WorkCalendar) -> FullHours:
    """Return what tells the person-hours of a whole day of a crew: of all its people, whoever came."""
    known = sizes(records)

    @cache
    def hours(day: date) -> float:
        return float(working.hours(np.array([day], "datetime64[D]"))[0])

    def full(day: date, crew: str, came: float) -> float:
        spans = (one for one in records.strengths if one.crew_id == crew and one.first <= day <= one.last)
        # where people came though none were to, those who came are all of the crew
        return (next((one.people for one in spans), 0) or known[crew].get(day, came)) * hours(day)

    return full


def _queue(
    records: SeasonRecords, evening: date, people: Mapping[str, float], method: str
) -> tuple[QueueBlock, ...]:
    """Return the blocks with trees left in the order of the queues; then those begun, then by code.

    What a crew was given that has no people is anybody's, after what was given to nobody.
    """
    done = records.pruned_by(evening)
    given = {
        block: crew for crew, blocks in records.queues.by_crew.items() for block in blocks if crew in people
    }
    own = [block for crew in sorted(people) for block in records.queues.by_crew.get(crew, ())]
    place = {block: at for at, block in enumerate((*own, *records.queues.open))}
    closed = closed_days(records)
    left = [
        QueueBlock(
            block.id,
            given.get(block.id),
            records.work_of(block)._replace(method=method),
            float(records.trees.get(block.id, 0) - done[block.id]),
            closed.get(block.id, ()),
        )
        for block in sorted(records.blocks, key=lambda one: (place.get(one.id, len(place)), not done[one.id]))
    ]
    return tuple(one for one in left if one.trees > 0)


def closed_days(records: SeasonRecords) -> dict[str, tuple[tuple[date, date], ...]]:
    """Return the days on which blocks are closed, from one to another: those whose noon lies in a closure."""
    found: dict[str, list[tuple[date, date]]] = defaultdict(list)
    for one in records.closures:
        first, last = (at.astimezone(records.zone) for at in (one.starts_at, one.ends_at))
        begins = first.date() if first.time() <= _NOON else first.date() + ONE_DAY
        ends = last.date() if last.time() > _NOON else last.date() - ONE_DAY
        if begins <= ends:
            found[one.block_id].append((begins, ends))
    return {block_id: tuple(spans) for block_id, spans in found.items()}
