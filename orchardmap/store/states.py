"""The stored state of each row: a cache of the log, written in the same transaction as the records it follows from."""

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import Connection, delete, insert, select, tuple_

from orchardmap.store import tables as t

__all__ = ["RowState", "clear_states", "row_states", "save_states"]


@dataclass(frozen=True, slots=True)
class RowState:
    """Coverage of one row: runs as (first, last, crew id or None for an overlap), and its worth in trees."""

    block_id: str
    row: int
    runs: tuple[tuple[int, int, str | None], ...]
    pruned: int
    overlap: int


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
                    "runs": [list(run) for run in state.runs],
                    "pruned": state.pruned,
                    "overlap": state.overlap,
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
    if block_ids is not None:
        asked = asked.where(s.block_id.in_(list(block_ids)))
    return [
        RowState(r.block_id, r.row, tuple((a, b, crew) for a, b, crew in r.runs), r.pruned, r.overlap)
        for r in conn.execute(asked)
    ]
