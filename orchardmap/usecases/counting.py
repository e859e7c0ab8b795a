"""What was counted in the field: positions, blanks, pollinizers, row by row; and the name of the shape that follows."""

import hashlib
from collections.abc import Callable, Mapping, Sequence
from datetime import datetime
from typing import Any

import shapely

from orchardmap.errors import UnknownError
from orchardmap.geometry.row_shapes import counted_row
from orchardmap.model.orchard import Block, Row
from orchardmap.store import audit, log, orchard
from orchardmap.store.session import Connection, Store
from orchardmap.usecases.folding import refold_block
from orchardmap.usecases.rejudging import rejudge

__all__ = ["Count", "count_row", "count_rows", "is_marked", "recount_row", "shape_version"]

Count = tuple[int | None, Sequence[int], Sequence[int]]
"""Counted positions (None keeps the rule's number), blanks, pollinizers."""


def shape_version(block: Block, rows: Sequence[Row]) -> str:
    """Return the name of a block's shape: equal shapes, equal names."""
    digest = hashlib.sha256()
    if block.outline is not None:
        digest.update(shapely.to_wkb(block.outline, byte_order=1))
    for row in rows:
        digest.update(shapely.to_wkb(row.line, byte_order=1))
        told = (
            row.number,
            row.end_offset_m,
            row.part_positions,
            row.counted_positions,
            sorted(row.blanks),
            sorted(row.pollinizers),
        )
        digest.update(repr(told).encode())
    return digest.hexdigest()[:16]


def count_row(
    store: Store,
    *,
    block_id: str,
    row: int,
    counted_positions: int | None = None,
    blanks: Sequence[int] = (),
    pollinizers: Sequence[int] = (),
) -> None:
    """Say what was counted in one row (see `count_rows`)."""
    count_rows(store, block_id, {row: (counted_positions, blanks, pollinizers)})


def is_marked(store: Store, block_id: str, row: int) -> bool:
    """Tell whether work was ever marked in a row: another count of it may then take trees away that were pruned."""
    with store.read() as conn:
        return log.mark_exists(conn, block_id, row)


def recount_row(
    store: Store, *, block_id: str, row: int, changes: Mapping[str, Any], actor: str = "shell", now: datetime
) -> None:
    """Change some of what was counted in one row.

    Parameters
    ----------
    store : Store
        Open for writing.
    block_id, row : str, int
        Which one.
    changes : mapping
        Of counted_positions, blanks, pollinizers, what is to be another from now on.
    actor : str
        As the audit log names who says so.
    now : datetime with time zone
        The server's clock.

    Raises
    ------
    UnknownError
        If the block has no such row.
    """

    def merged(row: Row) -> Count:
        blanks, pollinizers = changes.get("blanks"), changes.get("pollinizers")
        return (
            changes.get("counted_positions", row.counted_positions),
            sorted(row.blanks) if blanks is None else blanks,
            sorted(row.pollinizers) if pollinizers is None else pollinizers,
        )

    with store.write() as conn:
        block = _change_rows(conn, block_id, {row: merged})
        audit.note(conn, "row_counted", at=now, actor=actor, subject=block_id, farm_id=block.farm_id, row=row)


def count_rows(store: Store, block_id: str, counts: Mapping[int, Count]) -> None:
    """Say what was counted in the field: positions, blanks, pollinizers, row by row.

    Parameters
    ----------
    store : Store
        Open for writing.
    block_id : str
        The block.
    counts : mapping of int to (int or None, sequence of int, sequence of int)
        Row number -> counted positions (None keeps the rule's number), blanks, pollinizers; they
        replace what the row had. The rule's number is kept beside a counted one.

    Raises
    ------
    UnknownError
        If the block has no such row.
    InputError
        If a count is not 0 to 10,000 or a blank lies outside the row.
    """

    def told(count: Count) -> Callable[[Row], Count]:
        return lambda _row: count

    with store.write() as conn:
        _change_rows(conn, block_id, {number: told(count) for number, count in counts.items()})


def _change_rows(conn: Connection, block_id: str, decide: Mapping[int, Callable[[Row], Count]]) -> Block:
    """Count rows anew, each from what it holds at that moment: two people who count at once lose nothing of each other."""
    block = orchard.block(conn, block_id)
    log.lock_farm(conn, block.farm_id)
    before = {row.number: row for row in orchard.rows(conn, block_id)}
    changed = [_counted(before.get(number), number, count_of) for number, count_of in decide.items()]
    orchard.set_counts(conn, changed)
    after = before | {row.number: row for row in changed}
    orchard.set_shape_version(conn, block_id, shape_version(block, [after[n] for n in sorted(after)]))
    refold_block(conn, block)
    rejudge(conn, block)
    log.append_changes(conn, block.farm_id, [log.Change("block", block_id, block_id)])
    return block


def _counted(row: Row | None, number: int, count_of: Callable[[Row], Count]) -> Row:
    if row is None:
        raise UnknownError("the block has no such row", where=f"row {number}")
    return counted_row(row, *count_of(row))
