"""All that the records of a season tell of its work: trees by day, crew and block, and the hours that they took."""

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import NamedTuple
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from orchardmap.model.calendar import CrewStrength, SeasonCalendar
from orchardmap.model.orchard import Block, Farm
from orchardmap.model.people import Crew
from orchardmap.model.queue import Queues
from orchardmap.model.season import Closure, Season
from orchardmap.planning.pace import Work
from orchardmap.planning.pace_days import CrewHours
from orchardmap.store import calendars, closures, crew_days, orchard, queues, row_tables, states
from orchardmap.store import farm as farm_store
from orchardmap.store.remembered import Remembered
from orchardmap.store.session import Connection
from orchardmap.store.settlements import stretch_settlements
from orchardmap.store.standing import standing_claims
from orchardmap.usecases.crew_days import standing_crew_days
from orchardmap.work.burnup import NEVER
from orchardmap.work.first_crews import Claims, FirstPruned, Settled, first_pruned

__all__ = ["SeasonRecords", "season_records"]

Ints = NDArray[np.int64]
_REMEMBERED: "Remembered[SeasonRecords]" = Remembered(20)


@dataclass(frozen=True, slots=True)
class SeasonRecords:
    """A season as its records tell it, to the last day that any of them names. Of an earlier evening it is what came by then."""

    farm: Farm
    season: Season
    calendar: SeasonCalendar | None
    """None where nobody saved one."""
    latitude_deg: float | None
    """Of the middle of the farm; None where it has no block."""
    blocks: tuple[Block, ...]
    """By code."""
    trees: Mapping[str, int]
    """Of every block that has rows."""
    pruned: Mapping[date, Mapping[str, int]]
    """Trees of each block that were first pruned on a day; every tree is there once."""
    credited: Mapping[date, Mapping[Work, float]]
    """The same trees by the crew and method that pruned them first (see `orchardmap.work.first_crews`)."""
    by_crew: Mapping[date, Mapping[tuple[str, str], float]]
    """The same trees by block and crew."""
    hours: tuple[CrewHours, ...]
    """The crew-days that stand, by day."""
    crews: tuple[Crew, ...]
    strengths: tuple[CrewStrength, ...]
    closures: tuple[Closure, ...]
    queues: Queues
    """What crews are given to prune, as it is now."""
    finish_by: Mapping[str, date]
    """Of blocks that must be finished on another day than the season."""

    @property
    def zone(self) -> ZoneInfo:
        """The farm's own time zone."""
        return ZoneInfo(self.farm.time_zone)

    def pruned_by(self, evening: date) -> Counter[str]:
        """Return how many trees of each block were pruned by the end of a day."""
        found: Counter[str] = Counter()
        for day, of_blocks in self.pruned.items():
            if day <= evening:
                found.update(of_blocks)
        return found

    def work_of(self, block: Block) -> Work:
        """Return what kind of work a block is, whoever does it. No block names its training system yet."""
        return Work("", block.variety_id or "")


def season_records(conn: Connection, farm: Farm, season: Season) -> SeasonRecords:
    """Return what the records of a season tell, remembered until something of the farm changes.

    Parameters
    ----------
    conn : Connection
        Open for reading.
    farm : Farm
    season : Season
        Of that farm.

    Returns
    -------
    SeasonRecords

    Notes
    -----
    A mark that was withdrawn since is gone from the past too, and what a manager settled since holds for it.
    Trees gone over again by a return are pruned once; the hours that took stand in the crew-days, so that a pace is that of
    the whole work.
    """
    return _REMEMBERED.answer(conn, farm.id, season.id, lambda: _read(conn, farm, season))


def _read(conn: Connection, farm: Farm, season: Season) -> SeasonRecords:
    blocks = orchard.blocks(conn, farm.id)
    ids = [block.id for block in blocks]
    table = row_tables.row_table(conn, ids)
    variety = {block.id: block.variety_id or "" for block in blocks}
    found = _pruned(conn, season.id, table, variety)
    standing = standing_crew_days(crew_days.counting_crew_days(conn, farm.id), season.id)
    return SeasonRecords(
        farm=farm,
        season=season,
        calendar=calendars.calendar(conn, season.id),
        latitude_deg=_latitude(orchard.extents(conn, farm.id)),
        blocks=tuple(blocks),
        trees={block_id: n for block_id, (_, n) in row_tables.block_trees(conn, farm.id).items()},
        pruned=found.pruned,
        credited=found.credited,
        by_crew=found.by_crew,
        hours=tuple(
            CrewHours(one.day, one.crew_id, one.method, one.people, one.people * one.hours)
            for one in standing
        ),
        crews=tuple(farm_store.crews(conn, farm.id)),
        strengths=tuple(calendars.strengths(conn, farm.id)),
        closures=tuple(closures.closures(conn, ids)),
        queues=queues.queues(conn, season.id),
        finish_by={
            block_id: one.must_finish_on
            for block_id, one in queues.block_terms(conn, season.id).items()
            if one.must_finish_on is not None
        },
    )


def _latitude(extents: Mapping[str, tuple[float, float, float, float]]) -> float | None:
    if not extents:
        return None
    return float(np.mean([(south + north) / 2.0 for _, south, _, north in extents.values()]))


class _Pruned(NamedTuple):
    """Trees by the day they were first pruned: by block, by work, and by block and crew."""

    pruned: dict[date, dict[str, int]]
    credited: dict[date, dict[Work, float]]
    by_crew: dict[date, dict[tuple[str, str], float]]


def _pruned(
    conn: Connection, season_id: str, table: row_tables.RowTable, variety: Mapping[str, str]
) -> _Pruned:
    index = table.index()
    marks = [one for one in standing_claims(conn, season_id) if (one[0], one[1]) in index]
    if not marks:
        return _Pruned({}, {}, {})
    whose = sorted({(one[5], one[6]) for one in marks})
    number = {claimant: at for at, claimant in enumerate(whose)}
    columns = zip(
        *((index[b, row], first, last, day.toordinal(), number[crew, how]) for b, row, first, last, day, crew, how in marks),
        strict=True,
    )  # fmt: skip
    crews = sorted({crew for crew, _ in whose})
    found = first_pruned(
        Claims(*(np.array(one, np.int64) for one in columns)),
        table.positions,
        crew_of=np.array([crews.index(crew) for crew, _ in whose], np.int64),
        settled=_settled(conn, season_id, index, crews),
    )
    return _by_day(found, table, whose, variety)


def _settled(
    conn: Connection, season_id: str, index: Mapping[tuple[str, int], int], crews: Sequence[str]
) -> list[Settled]:
    """Return the words of managers that hold, as the stored state of their rows tells them."""
    spoken = {(one.block_id, one.row) for one in stretch_settlements(conn, season_id)} & index.keys()
    kept = states.row_states(conn, season_id, sorted({block_id for block_id, _ in spoken})) if spoken else []
    return [
        # who is credited and marked nothing here has no part in any pace
        Settled(index[one.block_id, one.row], run.first, run.last, crews.index(run.crew_id) if run.crew_id in crews else None)
        for one in kept
        if (one.block_id, one.row) in spoken
        for run in one.runs
        if run.status == "settled"
    ]  # fmt: skip


def _by_day(
    found: FirstPruned,
    table: row_tables.RowTable,
    whose: Sequence[tuple[str, str]],
    variety: Mapping[str, str],
) -> _Pruned:
    ids = sorted(set(table.block_id))
    block = {block_id: at for at, block_id in enumerate(ids)}
    block_of = np.repeat(np.array([block[one] for one in table.block_id], np.int64), table.positions)
    is_tree = np.ones(len(block_of), bool)
    start = np.concatenate([[0], np.cumsum(table.positions)])
    is_tree[[start[row] + at - 1 for row, at in table.not_trees if at <= table.positions[row]]] = False
    here = is_tree & (found.day != NEVER)
    pruned: dict[date, dict[str, int]] = defaultdict(dict)
    for (day, at), n in _sums(found.day[here], block_of[here], np.ones(int(here.sum()))):
        pruned[date.fromordinal(day)][ids[at]] = round(n)
    credited: dict[date, dict[Work, float]] = defaultdict(lambda: defaultdict(float))
    by_crew: dict[date, dict[tuple[str, str], float]] = defaultdict(lambda: defaultdict(float))
    mine = is_tree[found.position]
    both = block_of[found.position[mine]] * len(whose) + found.claimant[mine]
    for (day, pair), n in _sums(found.credit_day[mine], both, found.share[mine]):
        crew_id, method = whose[pair % len(whose)]
        work = Work(crew_id, variety[ids[pair // len(whose)]], method)
        credited[date.fromordinal(day)][work] += n
        by_crew[date.fromordinal(day)][ids[pair // len(whose)], crew_id] += n
    return _Pruned(
        dict(pruned),
        {day: dict(works) for day, works in credited.items()},
        {day: dict(shares) for day, shares in by_crew.items()},
    )


def _sums(day: Ints, key: Ints, weight: NDArray[np.float64]) -> list[tuple[tuple[int, int], float]]:
    """Return the sum of weights of each day and key that is there."""
    if not len(day):
        return []
    wide = int(key.max()) + 1
    first = int(day.min())
    # counted and not sorted: a large farm has ten million trees
    days = np.flatnonzero(np.bincount(day - first))
    number = np.zeros(int(days[-1]) + 1, np.int64)
    number[days] = np.arange(len(days))
    both = number[day - first] * wide + key
    there = np.flatnonzero(np.bincount(both))
    sums = np.bincount(both, weights=weight)[there]
    return [
        ((first + int(days[one // wide]), one % wide), n)
        for one, n in zip(there.tolist(), sums.tolist(), strict=True)
    ]
