"""What pay rests on, from the records that stand: trees by crew, day, row, variety and method, and the hours of crews and people."""

from collections import Counter, defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from math import ceil
from typing import Any

from orchardmap.model.pay import PersonDay
from orchardmap.model.people import Method
from orchardmap.model.season import Season
from orchardmap.pay.credit import CreditedTrees
from orchardmap.pay.money import shares
from orchardmap.pay.worked import BonusTrees, Hours, PayWork, head_count
from orchardmap.store import crew_days as crew_day_store
from orchardmap.store import farm as farm_store
from orchardmap.store import pay as pay_store
from orchardmap.store.session import Connection
from orchardmap.usecases.crew_days import Several, several_of, standing_crew_days
from orchardmap.usecases.moments import Moment, current_season
from orchardmap.usecases.pay_trees import bonus_trees, paid_ground

__all__ = ["CrewShare", "InScope", "SeasonWork", "Unit", "season_work"]

Unit = tuple[str, date]
"""A crew's day."""
_HOURS_STEP = Decimal("0.0001")
_DAY_HOURS = 24
InScope = Callable[[str, date], bool]
"""Whether a crew's day is among those that are reckoned."""


@dataclass(frozen=True, slots=True)
class CrewShare:
    """A crew's day without any hours by person: so many people, all alike."""

    crew_id: str
    day: date
    people: int
    hours: Decimal
    """Of each of them."""


@dataclass(frozen=True, slots=True)
class SeasonWork:
    """All that pay of a season rests on, whatever was paid so far."""

    trees: CreditedTrees
    bonus: tuple[BonusTrees, ...]
    """Trees of accepted lots, where a bonus was asked about."""
    hours: tuple[Hours, ...]
    """By person where a manager typed any for that crew's day, else by head count."""
    shares: tuple[CrewShare, ...]
    miscounted: tuple[tuple[Unit, int, int], ...]
    """Crews' days for which hours of fewer or more people were typed than the crew said were there: unit, typed, there."""
    several: tuple[Several, ...]
    """Crew-days of which a manager must first say which one holds; no hours are made of them."""

    def within(self, in_scope: InScope) -> PayWork:
        """Return the work of some crews' days."""
        return PayWork(
            tuple(one for one in self.trees.credits if in_scope(one.crew_id, one.day)),
            tuple(one for one in self.hours if in_scope(one.crew_id, one.day)),
            tuple(one for one in self.bonus if in_scope(one.crew_id, one.day)),
        )


def season_work(conn: Connection, at: Moment, *, with_bonus: bool = False) -> SeasonWork:
    """Gather what pay of a season rests on.

    Parameters
    ----------
    conn : Connection
        Open for reading.
    at : Moment
        The farm and a season of it.
    with_bonus : bool
        Also tell which trees are of accepted lots: every check of the season is read for it.

    Returns
    -------
    SeasonWork
        A function of the set of records.
    """
    assert at.season is not None  # noqa: S101 - asked by who has a season
    farm_id, season_id = at.farm.id, at.season.id
    ground = paid_ground(conn, farm_id, season_id)
    typed = _typed_hours(conn, farm_id, season_id)
    with_typed = Counter((one.crew_id, one.day) for one in typed)
    entries = standing_crew_days(crew_day_store.counting_crew_days(conn, farm_id), season_id)
    alike, several = _shares([one for one in entries if (one.crew_id, one.day) not in with_typed])
    by_person = [
        Hours(one.person_id, one.crew_id, one.day, _decimal(one.hours, 2), Decimal(one.rest_minutes))
        for one in typed
    ]
    by_head = [hours for one in alike for hours in head_count(one.crew_id, one.day, one.people, one.hours)]
    said = _said_by_method(entries, ground.credited)
    whole = (*by_person, *by_head)
    return SeasonWork(
        ground.credited,
        bonus_trees(conn, at, ground) if with_bonus else (),
        tuple(part for one in whole for part in _by_method(one, said.get((one.crew_id, one.day), {}))),
        alike,
        _miscounted(with_typed, entries),
        several,
    )


def _miscounted(typed: Mapping[Unit, int], standing: Sequence[Any]) -> tuple[tuple[Unit, int, int], ...]:
    """Hold people with hours against those that crews said; by several methods they may have been the same people, or others."""
    said: dict[Unit, list[int]] = defaultdict(list)
    for one in standing:
        said[one.crew_id, one.day].append(one.people)
    there = {unit: min(max(typed[unit], *said[unit]), sum(said[unit])) for unit in typed if unit in said}
    return tuple(
        (unit, typed[unit], people) for unit, people in sorted(there.items()) if typed[unit] != people
    )


def _said_by_method(standing: Sequence[Any], trees: CreditedTrees) -> dict[Unit, dict[Method, Fraction]]:
    """Return the hours of all people of crews' days by method.

    Days are left out of which a manager must first say which entry holds, and those on which trees were marked by a method that no
    entry tells of: whoever pruned them had hours, so all hours of such a day stand for all its trees.
    """
    unclear = {(one.crew_id, one.day) for one in several_of(standing)}
    marked: dict[Unit, set[Method | None]] = defaultdict(set)
    for credit in trees.credits:
        marked[credit.crew_id, credit.day].add(credit.method)
    found: dict[Unit, dict[Method, Fraction]] = defaultdict(dict)
    for one in standing:
        if (one.crew_id, one.day) not in unclear and one.people and one.hours:
            found[one.crew_id, one.day][one.method] = Fraction(_decimal(one.people * one.hours, 4))
    return {unit: said for unit, said in found.items() if marked[unit] <= {None, *said}}


def _by_method(whole: Hours, said: Mapping[Method, Fraction]) -> Iterator[Hours]:
    """Divide somebody's hours over the methods of the crew's day as its own hours are; rest stays in one piece."""
    if not said:
        yield whole
        return
    methods = sorted(said)
    parts = shares(whole.hours, [said[method] for method in methods], _HOURS_STEP)
    rest = whole.rest_minutes
    for method, hours in zip(methods, parts, strict=True):
        if hours:
            yield replace(whole, method=method, hours=hours, rest_minutes=rest)
            rest = Decimal(0)


def _decimal(number: float, places: int) -> Decimal:
    return Decimal(str(round(number, places)))


def _typed_hours(conn: Connection, farm_id: str, season_id: str) -> list[PersonDay]:
    seasons = farm_store.seasons(conn, farm_id)

    def is_of(season: Season | None) -> bool:
        return season is not None and season.id == season_id

    found = pay_store.standing_person_days(conn, farm_id)
    return [one for one in found if one.hours > 0 and is_of(current_season(seasons, one.day))]


def _shares(standing: Sequence[Any]) -> tuple[tuple[CrewShare, ...], tuple[Several, ...]]:
    """Return the head counts of crews' days, and the days of which several entries stand."""
    several = tuple(several_of(standing))
    unclear = {(one.crew_id, one.day) for one in several}
    of_day: dict[Unit, list[Any]] = defaultdict(list)
    for one in standing:
        if (one.crew_id, one.day) not in unclear:
            of_day[one.crew_id, one.day].append(one)
    made = []
    for (crew_id, day), entries in sorted(of_day.items(), key=lambda item: (item[0][1], item[0][0])):
        # a crew that worked by two methods on a day has an entry for each: the same people, one after the other
        hours = sum(one.people * one.hours for one in entries)
        # unless their hours would not fit into a day
        people = max(*(one.people for one in entries), ceil(hours / _DAY_HOURS))
        if people and hours:
            made.append(CrewShare(crew_id, day, people, _decimal(hours / people, 4)))
    return tuple(made), several
