"""What a lot would hold: the pruned trees of a block, or of a crew in it, that no lot holds yet."""

from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

from orchardmap.errors import InputError, UnknownError
from orchardmap.model.lot import Lot, Tree, TreeRun
from orchardmap.model.orchard import Block
from orchardmap.quality.lot_trees import contested_trees, held_trees, pruned_trees, runs_and_holes, trees_of
from orchardmap.store import log, row_tables
from orchardmap.store.lots import lots_of
from orchardmap.store.session import Connection
from orchardmap.store.states import RowState
from orchardmap.usecases.folding import states_on
from orchardmap.usecases.moments import Moment, moment
from orchardmap.work.settling import Run

__all__ = [
    "Ground",
    "Waiting",
    "ground_of",
    "lot_ground",
    "lot_moment",
    "pruned_in",
    "trees_not_in",
    "waiting_trees",
]


@dataclass(frozen=True, slots=True)
class Ground:
    """The trees of a lot to be drawn."""

    trees: tuple[Tree, ...]
    runs: tuple[TreeRun, ...]
    holes: tuple[Tree, ...]
    rows: int
    from_day: date | None
    """Of the first work on them; None where none was marked."""
    crews: frozenset[str] = frozenset()
    """Credited with any of them, of a lot that is drawn for no crew."""


def lot_moment(conn: Connection, farm_id: str, until_day: date | None, now: datetime) -> Moment:
    """Return the day up to which work is taken in, in the current season.

    Raises
    ------
    UnknownError
        If the farm has no season, or there is no such farm.
    InputError
        If the season is closed (no check of its trees would count), or the day is to come or was before it began.
    """
    at = moment(conn, farm_id, None, now)
    if at.season is None:
        raise UnknownError("the farm has no season", where=farm_id, todo="Enter one first.")
    if at.season.closed:
        raise InputError("The season is closed.", where="season", todo="Open one in Set-up.")
    until = until_day or at.today
    if not at.season.opens_on <= until <= at.today:
        raise InputError(
            "The work of a lot lies between the season's first day and today.",
            where="until_day",
            todo=f"Give a day from {at.season.opens_on.isoformat()} to {at.today.isoformat()}.",
        )
    return replace(at, day=until)


def lot_ground(conn: Connection, at: Moment, block: Block, crew_id: str | None) -> Ground:
    """Return the trees of the next lot: pruned by the crew (or by anybody), and in no lot that stands.

    Trees that two crews claim are in none until somebody says who pruned them: a lot that went back would send back a crew
    that may never have been there.

    Raises
    ------
    InputError
        If there is none; it says why.
    """
    season_id = at.season.id if at.season else ""
    found = pruned_in(conn, at, [block.id])[block.id]
    free = found.trees.keys() - held_trees(lots_of(conn, season_id, block_ids=[block.id]))
    own = {tree for tree, crew in found.trees.items() if crew_id is None or crew == crew_id}
    trees = (own & free) - found.contested
    if not trees and crew_id is None and free:
        _refuse_contested(len(free))
    if not trees:
        _refuse_empty(len(own), crew_id)
    made = ground_of(trees, found.not_trees, _first_day(conn, at, block.id, crew_id, trees))
    crews = {found.trees[tree] for tree in trees} if crew_id is None else set()
    return replace(made, crews=frozenset(crew for crew in crews if crew is not None))


def _first_day(
    conn: Connection, at: Moment, block_id: str, crew_id: str | None, trees: Collection[Tree]
) -> date | None:
    """Return the day of the first mark that stands on one of the trees."""
    marks = log.standing_marks(conn, at.season.id if at.season else "", block_ids=[block_id], until=at.day)
    days = (
        mark.day
        for mark in marks
        if crew_id in (None, mark.crew_id)
        and any((mark.row, position) in trees for position in range(mark.first, mark.last + 1))
    )
    return min(days, default=None)


def ground_of(trees: Collection[Tree], not_trees: Collection[Tree], from_day: date | None) -> Ground:
    """Return trees as a lot holds them."""
    runs, holes = runs_and_holes(trees, not_trees)
    return Ground(tuple(sorted(trees)), runs, holes, len({run.row for run in runs}), from_day)


def _refuse_contested(trees: int) -> None:
    raise InputError(
        f"Trees of this block that are in no lot: {trees}, and it is not settled who pruned them.",
        where="block_id",
        todo="Let a manager say who pruned them first.",
    )


def _refuse_empty(pruned: int, crew_id: str | None) -> None:
    whose = "by this crew " if crew_id else ""
    if pruned:
        raise InputError(
            f"Every tree pruned {whose}in this block by that day ({pruned}) is in a lot already.",
            where="block_id",
            todo="Wait until more is pruned, or cancel the lot that holds them.",
        )
    raise InputError(
        f"No tree is pruned {whose}in this block by that day.",
        where="block_id",
        todo="Choose another crew, block or day; trees count once they are marked.",
    )


@dataclass(frozen=True, slots=True)
class _Pruned:
    """The pruned trees of a block."""

    trees: Mapping[Tree, str | None]
    """With the crew credited."""
    not_trees: set[Tree]
    """Places where no tree stands."""
    contested: frozenset[Tree]


def pruned_in(
    conn: Connection, at: Moment, block_ids: Sequence[str], states: Iterable[RowState] | None = None
) -> dict[str, _Pruned]:
    """Return the pruned trees of each block."""
    season_id = at.season.id if at.season else ""
    found = states_on(conn, season_id, block_ids, at.until) if states is None else states
    rows: dict[str, list[tuple[int, Sequence[Run]]]] = {block_id: [] for block_id in block_ids}
    for state in found:
        rows[state.block_id].append((state.row, state.runs))
    table = row_tables.row_table(conn, block_ids)
    numbers = table.number.tolist()
    not_trees: dict[str, set[Tree]] = {block_id: set() for block_id in block_ids}
    for index, position in table.not_trees:
        not_trees[table.block_id[index]].add((numbers[index], position))
    return {
        block_id: _Pruned(pruned_trees(rows[block_id], odd), odd, contested_trees(rows[block_id], odd))
        for block_id, odd in not_trees.items()
    }


@dataclass(frozen=True, slots=True)
class Waiting:
    """Pruned trees of a block that are in no lot."""

    of_crews: Mapping[str | None, int]
    """By the crew credited; None for those that were settled for nobody. Crews without such trees are left out."""
    contested: int
    """For these somebody must say first who pruned them."""

    @property
    def trees(self) -> int:
        """All of them."""
        return sum(self.of_crews.values()) + self.contested


def waiting_trees(
    conn: Connection,
    at: Moment,
    lots: Iterable[Lot],
    block_ids: Sequence[str],
    *,
    states: Iterable[RowState] | None = None,
) -> dict[str, Waiting]:
    """Return how many pruned trees of each block are in no lot.

    Parameters
    ----------
    conn : Connection
        Open for reading.
    at : Moment
        Farm, season and day.
    lots : iterable of Lot
        Of the season; of other blocks too.
    block_ids : sequence of str
        The blocks.
    states : iterable of RowState, optional
        Of their rows on that day, where they are at hand.

    Returns
    -------
    dict of str to Waiting
        Every block.
    """
    of_block: dict[str, list[Lot]] = {block_id: [] for block_id in block_ids}
    for lot in lots:
        of_block.get(lot.block_id, []).append(lot)
    told: dict[str, Waiting] = {}
    for block_id, found in pruned_in(conn, at, block_ids, states).items():
        free = found.trees.keys() - held_trees(of_block[block_id])
        of_crews = Counter(found.trees[tree] for tree in free - found.contested)
        told[block_id] = Waiting(of_crews, len(free & found.contested))
    return told


def trees_not_in(conn: Connection, at: Moment, lots: Sequence[Lot]) -> dict[str, int]:
    """Return how many trees of each lot stand no longer as pruned by its crew (or, without one, by anybody), by lot id.

    The trees of a return were pruned by whoever it was: of a lot drawn over them any crew will do. Blanks by now are told
    of elsewhere: others stand in for them.
    """
    pruned = pruned_in(conn, at, sorted({lot.block_id for lot in lots})) if lots else {}
    gone: dict[str, int] = {}
    for lot in lots:
        now, not_trees = pruned[lot.block_id].trees, pruned[lot.block_id].not_trees
        wanted = None if lot.return_id else lot.crew_id
        missing = object()
        gone[lot.id] = sum(
            (crew := now.get(tree, missing)) is missing or (wanted is not None and crew != wanted)
            for tree in trees_of(lot.eligible, lot.holes)
            if tree not in not_trees
        )
    return gone
