"""Rows as columns of numbers: what progress needs of many rows, without their geometry."""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, field
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray
from sqlalchemy import ColumnElement, Connection, and_, func, select, tuple_

from orchardmap.store import tables as t

__all__ = ["RowTable", "block_trees", "chunks", "named_rows", "row_table"]

Item = TypeVar("Item")


@dataclass(frozen=True, slots=True)
class RowTable:
    """All rows of some blocks as columns, sorted by block and number; index in these arrays numbers a row."""

    block_id: list[str]
    number: NDArray[np.int64]
    positions: NDArray[np.int64]
    not_trees: list[tuple[int, int]]
    """(index of the row, position) of every blank and pollinizer."""
    blanks: set[tuple[str, int, int]] = field(default_factory=set)
    """(block id, row number, position) of the blanks among them."""

    def index(self) -> dict[tuple[str, int], int]:
        """Return the index of a row by its block and number."""
        return {key: i for i, key in enumerate(zip(self.block_id, self.number.tolist(), strict=True))}


def block_trees(conn: Connection, farm_id: str) -> dict[str, tuple[int, int]]:
    """Return rows and trees of each of the farm's blocks."""
    own = select(t.blocks.c.id).where(t.blocks.c.farm_id == farm_id)
    asked = select(t.rows.c.block_id, func.count(), func.sum(t.rows.c.trees)).where(
        t.rows.c.block_id.in_(own)
    )
    return {
        block_id: (int(n), int(trees))
        for block_id, n, trees in conn.execute(asked.group_by(t.rows.c.block_id))
    }


def row_table(conn: Connection, block_ids: Sequence[str]) -> RowTable:
    """Return what progress needs of all rows of some blocks, without their geometry."""
    return _row_table(
        conn,
        [t.rows.c.block_id.in_(chunk) for chunk in chunks(sorted(block_ids))],
        [t.places.c.block_id.in_(chunk) for chunk in chunks(sorted(block_ids))],
    )


def named_rows(conn: Connection, farm_id: str, keys: Collection[tuple[str, int]]) -> RowTable:
    """Return the same of single rows, given as (block id, number); those that the farm does not have are left out."""
    own = select(t.blocks.c.id).where(t.blocks.c.farm_id == farm_id)
    pieces = list(chunks(sorted(keys), 300))
    return _row_table(
        conn,
        [
            and_(tuple_(t.rows.c.block_id, t.rows.c.number).in_(chunk), t.rows.c.block_id.in_(own))
            for chunk in pieces
        ],
        [
            and_(tuple_(t.places.c.block_id, t.places.c.row).in_(chunk), t.places.c.block_id.in_(own))
            for chunk in pieces
        ],
    )


def _row_table(
    conn: Connection, of_rows: Sequence[ColumnElement[bool]], of_places: Sequence[ColumnElement[bool]]
) -> RowTable:
    ids, numbers, positions = [], [], []
    columns = select(t.rows.c.block_id, t.rows.c.number, t.rows.c.positions)
    for wanted in of_rows:
        for r in conn.execute(columns.where(wanted).order_by(t.rows.c.block_id, t.rows.c.number)):
            ids.append(r.block_id)
            numbers.append(r.number)
            positions.append(r.positions)
    table = RowTable(ids, np.array(numbers, np.int64), np.array(positions, np.int64), [])
    index = table.index()
    for wanted in of_places:
        for p in conn.execute(select(t.places).where(wanted)):
            table.not_trees.append((index[p.block_id, p.row], p.position))
            if p.kind == "blank":
                table.blanks.add((p.block_id, p.row, p.position))
    return table


def chunks(ids: Sequence[Item], size: int = 500) -> Iterable[Sequence[Item]]:
    """Return a long list in pieces that an engine takes as parameters."""
    return (ids[i : i + size] for i in range(0, len(ids), size))
