"""What pay rests on, from the records that stand: trees by crew, day, row, variety and method, and the hours of crews and people."""

from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from typing import Any

from orchardmap.model.pay import PersonDay
from orchardmap.model.returns import Return, Stretch
from orchardmap.model.season import Season
from orchardmap.pay.credit import CreditedTrees, PayMark, PayRow, credited_trees
from orchardmap.pay.worked import Hours, PayWork, head_count
from orchardmap.store import crew_days as crew_day_store
from orchardmap.store import farm as farm_store
from orchardmap.store import orchard, paid_work, row_tables
from orchardmap.store import pay as pay_store
from orchardmap.store import returns as return_store
from orchardmap.store.session import Connection
from orchardmap.store.settlements import stretch_settlements
from orchardmap.usecases.crew_days import Several, several_of, standing_crew_days
from orchardmap.usecases.moments import current_season
from orchardmap.work.returns import common, open_stretches

__all__ = ["CrewShare", "InScope", "SeasonWork", "Unit", "season_work"]

Unit = tuple[str, date]
"""A crew's day."""
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
    hours: tuple[Hours, ...]
    """By person where a manager typed any for that crew's day, else by head count."""
    shares: tuple[CrewShare, ...]
    fewer: tuple[tuple[Unit, int, int], ...]
    """Crews' days for which hours of fewer people were typed than were there: unit, people typed, people there."""
    several: tuple[Several, ...]
    """Crew-days of which a manager must first say which one holds; no hours are made of them."""

    def within(self, in_scope: InScope) -> PayWork:
        """Return the work of some crews' days."""
        return PayWork(
            tuple(one for one in self.trees.credits if in_scope(one.crew_id, one.day)),
            tuple(one for one in self.hours if in_scope(one.crew_id, one.day)),
        )


def season_work(conn: Connection, farm_id: str, season_id: str) -> SeasonWork:
    """Gather what pay of a season rests on.

    Parameters
    ----------
    conn : Connection
        Open for reading.
    farm_id, season_id : str
        The farm and its season.

    Returns
    -------
    SeasonWork
        A function of the set of records.
    """
    typed = _typed_hours(conn, farm_id, season_id)
    with_typed = Counter((one.crew_id, one.day) for one in typed)
    entries = standing_crew_days(crew_day_store.counting_crew_days(conn, farm_id), season_id)
    shares, several = _shares([one for one in entries if (one.crew_id, one.day) not in with_typed])
    there: dict[Unit, int] = {}
    for one in entries:
        there[one.crew_id, one.day] = max(one.people, there.get((one.crew_id, one.day), 0))
    by_person = [
        Hours(one.person_id, one.crew_id, one.day, _decimal(one.hours, 2), Decimal(one.rest_minutes))
        for one in typed
    ]
    by_head = [hours for one in shares for hours in head_count(one.crew_id, one.day, one.people, one.hours)]
    return SeasonWork(
        _credited(conn, farm_id, season_id),
        (*by_person, *by_head),
        shares,
        tuple((unit, n, there[unit]) for unit, n in sorted(with_typed.items()) if n < there.get(unit, 0)),
        several,
    )


def _decimal(number: float, places: int) -> Decimal:
    return Decimal(str(round(number, places)))


def _typed_hours(conn: Connection, farm_id: str, season_id: str) -> list[PersonDay]:
    seasons = farm_store.seasons(conn, farm_id)

    def is_of(season: Season | None) -> bool:
        return season is not None and season.id == season_id

    found = pay_store.standing_person_days(conn, farm_id)
    return [one for one in found if one.hours > 0 and is_of(current_season(seasons, one.day))]


def _credited(conn: Connection, farm_id: str, season_id: str) -> CreditedTrees:
    blocks = {block.id: block for block in orchard.blocks(conn, farm_id)}
    table = row_tables.row_table(conn, list(blocks))
    odd: dict[int, set[int]] = defaultdict(set)
    for at, position in table.not_trees:
        odd[at].add(position)
    rows = [
        PayRow(block_id, number, positions, blocks[block_id].variety_id, frozenset(odd.get(at, ())))
        for at, (block_id, number, positions) in enumerate(
            zip(table.block_id, table.number.tolist(), table.positions.tolist(), strict=True)
        )
    ]
    marks = paid_work.pay_marks(conn, season_id)
    asked = {
        one.id: one
        for one in return_store.returns_of(
            conn, season_id, ids={mark.return_id for mark in marks if mark.return_id is not None}
        )
    }
    first = [mark for mark in marks if mark.return_id is None]
    return credited_trees([*first, *_first_answers(marks, asked)], rows, stretch_settlements(conn, season_id))


def _first_answers(marks: Iterable[PayMark], asked: dict[str, Return]) -> list[PayMark]:
    """Cut marks that answer returns to what those ask for, each tree left to the mark that was first.

    No settlement speaks of a return's trees, so two crews that went over the same ones would have them held for ever.
    """
    made = []
    left = {return_id: tuple(one.stretches) for return_id, one in asked.items()}
    for mark in sorted(marks, key=lambda one: (one.day, one.id, one.content_hash)):
        if mark.return_id is None or asked[mark.return_id].block_id != mark.block_id:
            continue
        taken = common([Stretch(mark.row, mark.first, mark.last)], left[mark.return_id])
        left[mark.return_id] = open_stretches(left[mark.return_id], taken)
        made += [replace(mark, first=part.first, last=part.last) for part in taken]
    return made


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
        people = max(one.people for one in entries)
        hours = sum(one.people * one.hours for one in entries)
        if people and hours:
            made.append(CrewShare(crew_id, day, people, _decimal(hours / people, 4)))
    return tuple(made), several
