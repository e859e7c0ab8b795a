"""What pay rests on, from the records that stand: trees by crew, day, block, variety and method, and the hours of crews and people."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from orchardmap.model.orchard import Block
from orchardmap.model.pay import PersonDay
from orchardmap.model.season import Season
from orchardmap.store import farm as farm_store
from orchardmap.store import orchard, paid_work, row_tables
from orchardmap.store import pay as pay_store
from orchardmap.store import returns as return_store
from orchardmap.store.session import Connection
from orchardmap.usecases.crew_days import Several, several_of, standing_crew_days
from orchardmap.usecases.folding import states_on
from orchardmap.usecases.moments import current_season
from orchardmap.work.credited import Credit, credited_trees, trees_gone_over
from orchardmap.work.settling import Run

__all__ = ["BlockCredit", "CrewShare", "PaidWork", "paid_work_of"]


@dataclass(frozen=True, slots=True)
class BlockCredit:
    """Trees of one block that a day added to a crew's."""

    block_id: str
    variety_id: str | None
    credit: Credit
    return_number: int | None = None
    """Of the return that they were gone over for; None in the first round."""


@dataclass(frozen=True, slots=True)
class CrewShare:
    """A crew's day without any hours by person: so many people, all alike."""

    crew_id: str
    day: date
    people: int
    hours: float
    """Of each of them."""


@dataclass(frozen=True, slots=True)
class PaidWork:
    """All that pay of a season rests on."""

    credits: tuple[BlockCredit, ...]
    """By day, crew and block; held ones and those of nobody too."""
    persons: tuple[PersonDay, ...]
    """Hours by person that stand, those of no hours left out."""
    shares: tuple[CrewShare, ...]
    several: tuple[Several, ...]
    """Crew-days of which a manager must first say which one holds; no share is made of them."""


def paid_work_of(conn: Connection, farm_id: str, season_id: str) -> PaidWork:
    """Gather what pay of a season rests on, whatever was paid so far.

    Parameters
    ----------
    conn : Connection
        Open for reading.
    farm_id, season_id : str
        The farm and its season.

    Returns
    -------
    PaidWork
        A function of the set of records: each tree is in it once, see `orchardmap.work.credited`.
    """
    blocks = orchard.blocks(conn, farm_id)
    seasons = farm_store.seasons(conn, farm_id)
    persons = tuple(
        one
        for one in pay_store.standing_person_days(conn, farm_id)
        if one.hours > 0 and _id_of(current_season(seasons, one.day)) == season_id
    )
    with_persons = {(one.crew_id, one.day) for one in persons}
    crew_days = [
        one
        for one in standing_crew_days(conn, farm_id)
        if one.season_id == season_id and (one.crew_id, one.day) not in with_persons
    ]
    shares, several = _shares(crew_days)
    return PaidWork(tuple(_credits(conn, season_id, blocks)), persons, shares, several)


def _id_of(season: Season | None) -> str | None:
    return None if season is None else season.id


def _credits(conn: Connection, season_id: str, blocks: Sequence[Block]) -> list[BlockCredit]:
    worked = paid_work.worked_by_block(conn, season_id)
    answered = paid_work.answered_by_return(conn, season_id)
    table = row_tables.row_table(conn, [block.id for block in blocks])
    runs: dict[str, list[tuple[int, Run]]] = defaultdict(list)
    positions: dict[str, dict[int, int]] = defaultdict(dict)
    odd: dict[str, list[tuple[int, int]]] = defaultdict(list)
    for state in states_on(conn, season_id, [block.id for block in blocks], None):
        runs[state.block_id] += [(state.row, run) for run in state.runs]
    for block_id, row, n in zip(table.block_id, table.number.tolist(), table.positions.tolist(), strict=True):
        positions[block_id][row] = n
    for at, position in table.not_trees:
        odd[table.block_id[at]].append((int(table.number[at]), position))
    variety = {block.id: block.variety_id for block in blocks}
    found = [
        BlockCredit(block.id, block.variety_id, one)
        for block in blocks
        if block.id in worked
        for one in credited_trees(worked[block.id], runs[block.id], positions[block.id], odd[block.id])
    ]
    for of in return_store.returns_of(conn, season_id, ids=sorted(answered)):
        gone = trees_gone_over(of.stretches, answered[of.id], odd[of.block_id])
        found += [BlockCredit(of.block_id, variety[of.block_id], one, of.number) for one in gone]
    return sorted(found, key=lambda one: (one.credit.day, one.credit.crew_id or "", one.block_id))


def _shares(standing: Sequence[Any]) -> tuple[tuple[CrewShare, ...], tuple[Several, ...]]:
    """Return the shares of crews' days without hours by person, and the days of which several entries stand."""
    several = tuple(several_of(standing))
    unclear = {(one.crew_id, one.day) for one in several}
    of_day: dict[tuple[str, date], list[Any]] = defaultdict(list)
    for one in standing:
        if (one.crew_id, one.day) not in unclear:
            of_day[one.crew_id, one.day].append(one)
    made = []
    for (crew_id, day), entries in sorted(of_day.items(), key=lambda item: (item[0][1], item[0][0])):
        # a crew that worked by two methods on a day has an entry for each: the same people, one after the other
        people = max(one.people for one in entries)
        hours = sum(one.people * one.hours for one in entries)
        if people and hours:
            made.append(CrewShare(crew_id, day, people, hours / people))
    return tuple(made), several
