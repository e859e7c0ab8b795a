"""The ground while it is edited: what was recorded in which row, rows and blocks written anew, and the changes that were taken."""

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import ColumnElement, Connection, Table, delete, func, insert, select, update

from orchardmap.model.orchard import Block, Row
from orchardmap.store import orchard
from orchardmap.store import tables as t
from orchardmap.store.brief_tables import briefs
from orchardmap.store.closure_tables import closures
from orchardmap.store.ground_tables import ground_changes
from orchardmap.store.lot_tables import lots
from orchardmap.store.queue_tables import block_terms, queue_blocks
from orchardmap.store.return_tables import return_stretches, returns
from orchardmap.store.row_tables import chunks
from orchardmap.store.standing import RECORDS, counts
from orchardmap.store.tree_count_tables import tree_counts

__all__ = [
    "Step", "TakenChange", "Used", "append_change", "changes", "drop_block", "grounds", "ids_taken", "known_change", "named_blocks", "rows_used", "shape_versions",
    "steps", "steps_back", "trees_told_of", "undoable", "write_block",
]  # fmt: skip

Used = dict[tuple[str, int], tuple[int, int, int]]
"""(block id, row) -> marks, other records, the highest position that any of them names."""


@dataclass(frozen=True, slots=True)
class TakenChange:
    """A change of the ground as it is kept."""

    id: str
    number: int
    made_at: datetime
    made_by: str
    versions: dict[str, str | None]
    told: dict[str, Any]
    back: dict[str, Any]
    undoes: str | None


def rows_used(conn: Connection, block_ids: Sequence[str]) -> Used:
    """Return what was recorded in rows of some blocks, in any season, withdrawn or set aside or not.

    Rows that are not there are among them: their numbers were recorded too.
    """
    found: dict[tuple[str, int], list[int]] = defaultdict(lambda: [0, 0, 0])

    def add(asked: Any, which: int) -> None:  # noqa: ANN401 - a select of block id, row, number of records, last position
        for block_id, row, records, last in conn.execute(asked):
            one = found[block_id, row]
            one[which] += records
            one[2] = max(one[2], last)

    add(_grouped(t.marks, t.marks.c.last, block_ids), 0)
    add(_grouped(t.checks, t.checks.c.position, block_ids), 1)
    add(_grouped(tree_counts, tree_counts.c.position, block_ids), 1)
    add(_grouped(t.settlements, t.settlements.c.last, block_ids).having(t.settlements.c.row.is_not(None)), 1)
    of_returns = (
        select(returns.c.block_id, return_stretches.c.row, func.count(), func.max(return_stretches.c.last))
        .join_from(return_stretches, returns, returns.c.id == return_stretches.c.return_id)
        .where(returns.c.block_id.in_(block_ids))
        .group_by(returns.c.block_id, return_stretches.c.row)
    )
    add(of_returns, 1)
    for block_id, runs in conn.execute(
        select(lots.c.block_id, lots.c.eligible).where(lots.c.block_id.in_(block_ids))
    ):
        for row, _, last in runs:
            one = found[block_id, row]
            one[1] += 1
            one[2] = max(one[2], last)
    return {key: (marks, others, last) for key, (marks, others, last) in found.items()}


def trees_told_of(conn: Connection, block_ids: Sequence[str]) -> dict[tuple[str, int], list[int]]:
    """Return by (block id, row) the position of each check and each counted tree that counts, in any season."""
    found: dict[tuple[str, int], list[int]] = defaultdict(list)
    for kind in ("check", "tree_count"):
        c = RECORDS[kind].c
        asked = select(c.block_id, c.row, c.position).where(c.block_id.in_(block_ids), counts(kind))
        for block_id, row, position in conn.execute(asked):
            found[block_id, row].append(position)
    return found


def _grouped(table: Table, last: ColumnElement[int], block_ids: Sequence[str]) -> Any:  # noqa: ANN401 - a select
    c = table.c
    return (
        select(c.block_id, c.row, func.count(), func.max(last))
        .where(c.block_id.in_(block_ids))
        .group_by(c.block_id, c.row)
    )


def named_blocks(conn: Connection, block_ids: Sequence[str]) -> dict[str, list[str]]:
    """Return by block what names it as a whole and keeps it from leaving: brief, closure, lot, return."""
    found: dict[str, list[str]] = defaultdict(list)
    for what, column in (
        ("brief", briefs.c.block_id),
        ("closure", closures.c.block_id),
        ("lot", lots.c.block_id),
        ("return", returns.c.block_id),
    ):
        for block_id in conn.execute(select(column).where(column.in_(block_ids)).distinct()).scalars():
            found[block_id].append(what)
    return dict(found)


def shape_versions(conn: Connection, asked: Collection[str]) -> dict[str, str]:
    """Return the shape versions of blocks by id."""
    c = t.blocks.c
    return {
        found.id: found.shape_version
        for chunk in chunks(sorted(asked))
        for found in conn.execute(select(c.id, c.shape_version).where(c.id.in_(chunk)))
    }


def ids_taken(conn: Connection, block_ids: Sequence[str]) -> list[str]:
    """Return those of the ids that a block has, of whatever farm."""
    return list(conn.execute(select(t.blocks.c.id).where(t.blocks.c.id.in_(block_ids))).scalars())


def write_block(conn: Connection, block: Block, before: Sequence[Row], rows: Sequence[Row]) -> None:
    """Write a block that is there anew, and those of its rows that are others than before."""
    kept = {row.number: row for row in before}
    fresh = {row.number: row for row in rows}
    gone = [number for number, row in kept.items() if fresh.get(number) != row]
    made = [row for number, row in fresh.items() if kept.get(number) != row]
    for start in range(0, len(gone), 500):
        numbers = gone[start : start + 500]
        conn.execute(delete(t.places).where(t.places.c.block_id == block.id, t.places.c.row.in_(numbers)))
        conn.execute(delete(t.rows).where(t.rows.c.block_id == block.id, t.rows.c.number.in_(numbers)))
    if made:
        conn.execute(insert(t.rows), [orchard.row_values(row) for row in made])
    orchard.insert_places(conn, made)
    values = orchard.block_values(block, [row.line for row in rows])
    conn.execute(update(t.blocks).where(t.blocks.c.id == block.id).values(values))


def drop_block(conn: Connection, block_id: str) -> None:
    """Take a block away with its rows and its place in queues; nothing that was recorded may name it."""
    for table in (t.places, t.rows, queue_blocks, block_terms):
        conn.execute(delete(table).where(table.c.block_id == block_id))
    conn.execute(delete(t.blocks).where(t.blocks.c.id == block_id))


def append_change(conn: Connection, farm_id: str, made: Mapping[str, Any]) -> int:
    """Append a change that was taken, as the farm's next one, and return its number."""
    last = select(func.max(ground_changes.c.number)).where(ground_changes.c.farm_id == farm_id)
    number = (conn.execute(last).scalar() or 0) + 1
    conn.execute(insert(ground_changes).values({**made, "farm_id": farm_id, "number": number}))
    return number


def known_change(conn: Connection, change_id: str) -> tuple[str, TakenChange] | None:
    """Return the farm of a change that was taken, and the change; None where no such one was."""
    record = conn.execute(select(ground_changes).where(ground_changes.c.id == change_id)).one_or_none()
    return None if record is None else (record.farm_id, _change(record))


def changes(conn: Connection, farm_id: str, *, most: int) -> list[TakenChange]:
    """Return the farm's last changes of the ground, the newest first."""
    asked = select(ground_changes).where(ground_changes.c.farm_id == farm_id)
    return [_change(r) for r in conn.execute(asked.order_by(ground_changes.c.number.desc()).limit(most))]


@dataclass(frozen=True, slots=True)
class Step:
    """A change of the ground as far as it tells which blocks became others, and when."""

    id: str
    number: int
    made_at: datetime
    blocks: frozenset[str]
    undoes: str | None


def steps(conn: Connection, farm_id: str) -> list[Step]:
    """Return all changes of a farm's ground in order, without what they came to."""
    c = ground_changes.c
    asked = select(c.id, c.number, c.made_at, c.versions, c.undoes).where(c.farm_id == farm_id)
    return [
        Step(r.id, r.number, r.made_at, frozenset(r.versions), r.undoes)
        for r in conn.execute(asked.order_by(c.number))
    ]


def steps_back(conn: Connection, change_id: str) -> dict[str, Any]:
    """Return the step back of a change, as it is kept."""
    asked = select(ground_changes.c.back).where(ground_changes.c.id == change_id)
    return dict(conn.execute(asked).scalar_one())


def grounds(conn: Connection, farm_id: str) -> dict[str, str]:
    """Return by block the change that made its ground what it is; blocks that none concerned are left out."""
    return {block_id: step.id for step in steps(conn, farm_id) for block_id in step.blocks}


def undoable(conn: Connection, farm_id: str) -> set[str]:
    """Return ids of changes that no later one of the same blocks stands upon: these alone may be taken back.

    A change that was taken back, and the step back itself, stand in nobody's way.
    """
    c = ground_changes.c
    asked = select(c.id, c.versions, c.undoes).where(c.farm_id == farm_id).order_by(c.number.desc())
    upon: set[str] = set()
    undone: set[str] = set()
    found: set[str] = set()
    for change_id, versions, undoes in conn.execute(asked):
        if change_id in undone:
            continue
        if not upon & versions.keys():
            found.add(change_id)
        if undoes is None:
            upon |= versions.keys()
        else:
            undone.add(undoes)
    return found


def _change(record: Any) -> TakenChange:  # noqa: ANN401 - a row of the table
    told = dict(record._mapping)
    told.pop("farm_id")
    return TakenChange(**told)
