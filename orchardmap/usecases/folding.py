"""From the log to the state of rows: gather the standing marks, fold them by the pure coverage, keep the result."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from datetime import date

import numpy as np

from orchardmap.model.orchard import Block
from orchardmap.model.work import StretchSettlement
from orchardmap.store import farm as farm_store
from orchardmap.store import log, orchard, row_tables, states
from orchardmap.store.session import Connection, Store
from orchardmap.store.settlements import stretch_settlements
from orchardmap.usecases.moments import Moment
from orchardmap.work.coverage import OVERLAP, coverage
from orchardmap.work.progress import clipped, row_progress
from orchardmap.work.settling import Claim, Run, add_run, settled_runs, trees_held

__all__ = ["fold_first", "folded", "rebuild", "refold_block", "refold_rows", "states_on", "work_done"]


def folded(
    standing: Sequence[log.Standing],
    table: row_tables.RowTable,
    settlements: Sequence[StretchSettlement] = (),
) -> list[states.RowState]:
    """Return the state of every row that a standing mark reaches, by block and row.

    Parameters
    ----------
    standing : sequence of Standing
        Marks of one season; those of rows outside the table are left out.
    table : RowTable
        The rows.
    settlements : sequence of StretchSettlement
        Of the same season.

    Returns
    -------
    list of RowState
    """
    index = table.index()
    here = [m for m in standing if (m.block_id, m.row) in index and 1 <= m.first <= m.last]
    crews = sorted({mark.crew_id for mark in here})
    crew_number = {crew: i for i, crew in enumerate(crews)}
    runs = coverage(
        np.array([index[m.block_id, m.row] for m in here], np.int64),
        np.array([crew_number[m.crew_id] for m in here], np.int64),
        np.array([m.first for m in here], np.int64),
        np.array([m.last for m in here], np.int64),
    )
    runs = clipped(runs, table.positions)
    worth = row_progress(runs, table.positions, table.not_trees)
    held = worth.overlap.tolist()
    of_row: dict[int, list[Run]] = {}
    for row, first, last, crew in zip(
        *(a.tolist() for a in (runs.row, runs.first, runs.last, runs.crew)), strict=True
    ):
        run = (
            Run(first, last, None, "contested") if crew == OVERLAP else Run(first, last, crews[crew], "done")
        )
        add_run(of_row.setdefault(row, []), run)
    # settlements are few: the rows that have one are folded once more, with them
    settled = _settled(here, settlements, table)
    of_row |= {row: list(found) for row, found in settled.items()}
    not_trees: dict[int, list[int]] = defaultdict(list)
    for row, position in table.not_trees if settled else ():
        not_trees[row].append(position)
    for row, found in settled.items():
        held[row] = trees_held(found, not_trees[row])
    return [
        states.RowState(
            table.block_id[i],
            int(table.number[i]),
            tuple(found),
            int(worth.pruned[i]),
            held[i],
            bool(worth.done[i]),
        )
        for i, found in of_row.items()
    ]


def _settled(
    here: Sequence[log.Standing], settlements: Sequence[StretchSettlement], table: row_tables.RowTable
) -> dict[int, tuple[Run, ...]]:
    """Return the runs of the rows that a manager spoke of and that a mark reaches."""
    index = table.index()
    words: dict[int, list[StretchSettlement]] = defaultdict(list)
    for one in settlements:
        if (one.block_id, one.row) in index:
            words[index[one.block_id, one.row]].append(one)
    claims: dict[int, list[Claim]] = defaultdict(list)
    for mark in here if words else ():
        row = index[mark.block_id, mark.row]
        if row in words:
            claims[row].append(Claim(mark.id, mark.first, mark.last, mark.crew_id, mark.content_hash))
    found = {
        row: settled_runs(of, words[row], positions=int(table.positions[row])) for row, of in claims.items()
    }
    return {row: runs for row, runs in found.items() if runs}


def refold_rows(conn: Connection, farm_id: str, season_id: str, touched: set[tuple[str, int]]) -> None:
    """Recompute the stored state of the farm's touched rows from their own records, in the caller's transaction."""
    if not touched:
        return
    made = folded(
        log.standing_marks(conn, season_id, rows=touched),
        row_tables.named_rows(conn, farm_id, touched),
        stretch_settlements(conn, season_id, rows=touched),
    )
    states.save_states(conn, season_id, sorted(touched), made)


def refold_block(conn: Connection, block: Block) -> None:
    """Recompute the stored state of all rows of a block in every season, after its counts changed."""
    for season in farm_store.seasons(conn, block.farm_id):
        marked = {(m.block_id, m.row) for m in log.standing_marks(conn, season.id, block_ids=[block.id])}
        refold_rows(conn, block.farm_id, season.id, marked)


def states_on(
    conn: Connection, season_id: str, block_ids: Sequence[str], day: date | None
) -> list[states.RowState]:
    """Return the state of the blocks' rows now, or by the work of a day and earlier.

    Parameters
    ----------
    conn : Connection
        Open for reading.
    season_id : str
        The season.
    block_ids : sequence of str
        The blocks.
    day : date or None
        None reads the stored state; a day folds the log: marks of that day and earlier that stand
        *now*, so a mark withdrawn since is gone from the past too; what was settled since holds for the past too.

    Returns
    -------
    list of RowState
    """
    if day is None:
        return states.row_states(conn, season_id, block_ids)
    return folded(
        log.standing_marks(conn, season_id, block_ids=block_ids, until=day),
        row_tables.row_table(conn, block_ids),
        stretch_settlements(conn, season_id, block_ids=block_ids),
    )


def rebuild(store: Store, farm_id: str, *, write: bool) -> list[tuple[str, int]]:
    """Fold a farm's whole log anew and compare it with what is stored.

    Parameters
    ----------
    store : Store
        Open for writing.
    farm_id : str
        The farm.
    write : bool
        Also replace the stored states by the folded ones.

    Returns
    -------
    list of (str, int)
        (block id, row) of every row whose stored state differed; empty is the proof of equality.
    """
    differing: set[tuple[str, int]] = set()
    with store.write() as conn:
        log.lock_farm(conn, farm_id)
        for season_id, made in _states_of_log(conn, farm_id):
            fresh = {(s.block_id, s.row): s for s in made}
            kept = {(s.block_id, s.row): s for s in states.row_states(conn, season_id)}
            differing |= {key for key in fresh.keys() | kept.keys() if fresh.get(key) != kept.get(key)}
            if write:
                states.clear_states(conn, season_id)
                states.save_states(conn, season_id, [], made)
    return sorted(differing)


def fold_first(conn: Connection, farm_id: str) -> None:
    """Store the states of a farm that has none yet, in the caller's transaction."""
    for season_id, made in _states_of_log(conn, farm_id):
        states.save_states(conn, season_id, [], made)


def _states_of_log(conn: Connection, farm_id: str) -> Iterator[tuple[str, list[states.RowState]]]:
    """Yield each season with the state of its rows by the whole log."""
    table = row_tables.row_table(conn, [block.id for block in orchard.blocks(conn, farm_id)])
    for season in farm_store.seasons(conn, farm_id):
        standing = log.standing_marks(conn, season.id)
        yield season.id, folded(standing, table, stretch_settlements(conn, season.id))


def work_done(conn: Connection, at: Moment, block_ids: Sequence[str]) -> dict[str, tuple[int, int, int]]:
    """Return pruned trees, overlap trees and finished rows of each block: stored sums today, the log folded on another day."""
    if at.season is None:
        return {}
    if at.until is None:
        return states.block_sums(conn, at.farm.id, at.season.id)
    sums: dict[str, list[int]] = defaultdict(lambda: [0, 0, 0])
    for state in states_on(conn, at.season.id, block_ids, at.until):
        for i, worth in enumerate((state.pruned, state.overlap, int(state.done))):
            sums[state.block_id][i] += worth
    return {block_id: (pruned, overlap, rows) for block_id, (pruned, overlap, rows) in sums.items()}
