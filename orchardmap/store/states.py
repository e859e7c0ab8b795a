"""The stored state of each row: a cache of the log, written in the same transaction as the records it follows from."""

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import ColumnElement, Connection, case, delete, func, insert, select, true, tuple_

from orchardmap.store import tables as t
from orchardmap.work.settling import Run, Status

__all__ = ["RowState", "block_sums", "clear_states", "overlap_rows", "row_states", "save_states"]


@dataclass(frozen=True, slots=True)
class RowState:
    """What became of one row: its runs, and their worth in trees."""

    block_id: str
    row: int
    runs: tuple[Run, ...]
    pruned: int
    overlap: int
    """Of ``pruned``: held, for two crews claim them."""
    done: bool


def _kept(run: Run) -> list[int | str | None]:
    # what no manager spoke of needs no word for it: no crew means contested
    plain: list[int | str | None] = [run.first, run.last, run.crew_id]
    return plain if run.status in {"done", "contested"} else [*plain, run.status]


def _run(first: int, last: int, crew_id: str | None, status: Status | None = None) -> Run:
    return Run(first, last, crew_id, status or ("contested" if crew_id is None else "done"))


def save_states(
    conn: Connection, season_id: str, touched: Sequence[tuple[str, int]], states: Sequence[RowState]
) -> None:
    """Replace the states of the touched rows; a touched row without a state is back to nothing pruned."""
    s = t.row_states.c
    for i in range(0, len(touched), 300):
        keys = list(touched[i : i + 300])
        conn.execute(
            delete(t.row_states).where(s.season_id == season_id, tuple_(s.block_id, s.row).in_(keys))
        )
    if states:
        conn.execute(
            insert(t.row_states),
            [
                {
                    "season_id": season_id,
                    "block_id": state.block_id,
                    "row": state.row,
                    "runs": [_kept(run) for run in state.runs],
                    "pruned": state.pruned,
                    "overlap": state.overlap,
                    "done": state.done,
                }
                for state in states
            ],
        )


def clear_states(conn: Connection, season_id: str) -> None:
    """Throw the whole cache of a season away."""
    conn.execute(delete(t.row_states).where(t.row_states.c.season_id == season_id))


def row_states(conn: Connection, season_id: str, block_ids: Sequence[str] | None = None) -> list[RowState]:
    """Return the stored states by block and row."""
    s = t.row_states.c
    asked = select(t.row_states).where(s.season_id == season_id).order_by(s.block_id, s.row)
    wanted: list[ColumnElement[bool]] = [true()]
    if block_ids is not None:
        ids = sorted(block_ids)
        wanted = [s.block_id.in_(ids[i : i + 500]) for i in range(0, len(ids), 500)]
    return [
        RowState(r.block_id, r.row, tuple(_run(*run) for run in r.runs), r.pruned, r.overlap, r.done)
        for condition in wanted
        for r in conn.execute(asked.where(condition))
    ]


def block_sums(conn: Connection, farm_id: str, season_id: str) -> dict[str, tuple[int, int, int]]:
    """Return pruned trees, overlap trees and finished rows of each block that has any, from the stored states."""
    s = t.row_states.c
    own = select(t.blocks.c.id).where(t.blocks.c.farm_id == farm_id)
    asked = (
        select(s.block_id, func.sum(s.pruned), func.sum(s.overlap), func.sum(case((s.done, 1), else_=0)))
        .where(s.season_id == season_id, s.block_id.in_(own))
        .group_by(s.block_id)
    )
    return {
        block_id: (int(pruned), int(overlap), int(done))
        for block_id, pruned, overlap, done in conn.execute(asked)
    }


def overlap_rows(conn: Connection, season_id: str, block_ids: Sequence[str]) -> list[tuple[str, int]]:
    """Return (block id, row) of the rows that hold trees for a manager to settle, in order."""
    s = t.row_states.c
    wanted = set(block_ids)
    asked = (
        select(s.block_id, s.row).where(s.season_id == season_id, s.overlap > 0).order_by(s.block_id, s.row)
    )
    return [(block_id, row) for block_id, row in conn.execute(asked) if block_id in wanted]
