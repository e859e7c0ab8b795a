"""How many people each crew has, as its crew-days and the spans that a manager entered tell it."""

from collections import defaultdict
from datetime import date

from orchardmap.usecases.season_records import SeasonRecords

__all__ = ["RECENT", "gone_since", "sizes", "usual_people"]

RECENT = 5
"""Crew-days that tell how many people a crew has; as many days of the others' work without it, and it has left. A rule of ours."""


def sizes(records: SeasonRecords) -> dict[str, dict[date, float]]:
    """Return how many people each crew is thought to have had on its crew-days, in order: those of the fullest of `RECENT`."""
    came: dict[str, dict[date, float]] = defaultdict(dict)
    for one in records.hours:
        came[one.crew][one.day] = max(one.people, came[one.crew].get(one.day, 0.0))
    found = {}
    for crew, of_days in came.items():
        numbers = list(of_days.values())
        found[crew] = {day: max(numbers[max(0, at + 1 - RECENT) : at + 1]) for at, day in enumerate(of_days)}
    return found


def usual_people(records: SeasonRecords, evening: date) -> dict[str, float]:
    """Return the people of each crew on days of which no span speaks, as an evening knows it; crews that have left are not there."""
    gone = gone_since(records, evening)
    then = {crew: [n for day, n in of.items() if day <= evening] for crew, of in sizes(records).items()}
    return {crew: numbers[-1] for crew, numbers in then.items() if numbers and crew not in gone}


def gone_since(records: SeasonRecords, evening: date) -> dict[str, date]:
    """Return the crews that have left, by the last day of each: the others worked on `RECENT` days since, and no span told of it.

    Days on which a span says that a crew is away are none on which it stayed away.
    """
    came: dict[str, set[date]] = defaultdict(set)
    for one in records.hours:
        came[one.crew].add(one.day)
    for day, of in records.credited.items():
        for work in of:
            came[work.crew].add(day)
    worked = {day for days in came.values() for day in days if day <= evening}
    last = {crew: max((day for day in days if day <= evening), default=None) for crew, days in came.items()}
    return {
        crew: seen
        for crew, seen in sorted(last.items())
        if seen and sum(day > seen and not _is_away(records, crew, day) for day in worked) >= RECENT
    }


def _is_away(records: SeasonRecords, crew: str, day: date) -> bool:
    spans = (one for one in records.strengths if one.crew_id == crew)
    return any(one.first <= day <= one.last and not one.people for one in spans)
