"""What a list of edits changes, and the step back from it."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import partial

import numpy as np
import shapely

from orchardmap.errors import UnknownError
from orchardmap.geometry.block_edits import BlockEdit
from orchardmap.geometry.frame import local_xy_m, origin_lonlat
from orchardmap.geometry.ground import BlockGround, Ground, GroundRow, RowKey, continued_rows, rows_by_key
from orchardmap.geometry.row_edits import RowEdit
from orchardmap.model.code_order import code_order
from orchardmap.model.orchard import Block, Row

__all__ = [
    "Edit", "PutBack", "RowChange", "applied", "put_back", "row_changes", "touched",
]  # fmt: skip

_STILL_M = 0.05
"""Less than this is no move: coordinates are kept to a centimetre."""


@dataclass(frozen=True, slots=True)
class RowChange:
    """What becomes of a row; a row that stays as it is has none."""

    was: RowKey | None
    now: RowKey | None
    trees_before: int | None
    trees: int | None
    moved_m: float
    """How far the line lies from the old one, at its farthest."""
    turned: bool
    blanks: int
    """How many more blanks than before; negative for fewer."""
    pollinizers: int


@dataclass(frozen=True, slots=True)
class PutBack:
    """The step back from a change: rows and blocks as they were, each with the row that it is now."""

    blocks: tuple[Block, ...]
    """As they are to be, those among them that left."""
    dropped: tuple[str, ...]
    """Blocks that the change made."""
    rows: tuple[GroundRow, ...]
    """As they are to be; their origin is the row that they are now."""
    away: tuple[RowKey, ...]
    """Rows that the change made or changed."""

    def applied(self, ground: Ground) -> dict[str, BlockGround]:
        """Return the ground as it was before the change."""
        now = {(key, one.row.number): one for key, block in ground.items() for one in block.rows}
        back = [_again(one, now.get(one.origin) if one.origin else None) for one in self.rows]
        found = {key: one for key, one in ground.items() if key not in self.dropped}
        for block in self.blocks:
            there = found.get(block.id)
            found[block.id] = BlockGround(block, there.rows if there else ())
        for key, block_ground in found.items():
            gone = [number for block_id, number in self.away if block_id == key]
            own = [one for one in back if one.row.block_id == key]
            found[key] = block_ground.with_rows(own, without=gone)
        return found


Edit = RowEdit | BlockEdit | PutBack


def applied(ground: Ground, edits: Iterable[Edit]) -> dict[str, BlockGround]:
    """Return the ground after all edits, one after the other.

    Returns
    -------
    dict of str to BlockGround

    Raises
    ------
    UnknownError
        If an edit names what is not there; what else cannot be, an edit refuses by itself.
    """
    found = dict(ground)
    for edit in edits:
        if isinstance(edit, BlockEdit | PutBack):
            found = edit.applied(found)
        else:
            if edit.block_id not in found:
                raise UnknownError("no such block here", where=edit.block_id)
            found[edit.block_id] = edit.applied(found[edit.block_id])
    return found


def _again(one: GroundRow, now: GroundRow | None) -> GroundRow:
    """Return a row that is put back, counted from the ground before any edit of this list."""
    if now is None:
        return replace(one, origin=None, again=True)
    return replace(one, origin=now.origin, turned=one.turned != now.turned, again=True)


def touched(before: Ground, after: Ground) -> tuple[str, ...]:
    """Return ids of blocks that are another, new, or gone, in order of their codes."""

    def said(ground: Ground, key: str) -> object:
        return (ground[key].block, [one.row for one in ground[key].rows]) if key in ground else None

    keys = [key for key in {**before, **after} if said(before, key) != said(after, key)]
    return tuple(sorted(keys, key=lambda key: code_order((after.get(key) or before[key]).block.code)))


def row_changes(before: Ground, after: Ground) -> list[RowChange]:
    """Return what becomes of each row that does not stay as it is, by block and number."""
    then, now, became = rows_by_key(before), rows_by_key(after), continued_rows(after)
    found: list[RowChange] = []
    for key, one in then.items():
        if key not in became:
            found.append(_change((key, one.row), None))
            continue
        place, fresh = became[key]
        if place != key or fresh.row != one.row:
            found.append(_change((key, one.row), (place, fresh.row), turned=fresh.turned))
    found += [_change(None, (key, one.row)) for key, one in now.items() if one.origin is None]
    return found


def _change(
    was: tuple[RowKey, Row] | None, now: tuple[RowKey, Row] | None, *, turned: bool = False
) -> RowChange:
    old, new = (None if one is None else one[1] for one in (was, now))
    both = (old, new) if old is not None and new is not None else None
    more = [0, 0]
    if both:
        more = [len(new_of) - len(old_of) for old_of, new_of in (
            (both[0].blanks, both[1].blanks), (both[0].pollinizers, both[1].pollinizers)
        )]  # fmt: skip
    return RowChange(
        was=None if was is None else was[0],
        now=None if now is None else now[0],
        trees_before=None if old is None else old.trees,
        trees=None if new is None else new.trees,
        moved_m=_moved_m(*both) if both else 0.0,
        turned=turned,
        blanks=more[0],
        pollinizers=more[1],
    )


def _moved_m(old: Row, new: Row) -> float:
    if old.line == new.line:
        return 0.0
    origin = origin_lonlat(shapely.get_coordinates(old.line))
    before, after = (
        shapely.transform(line, partial(local_xy_m, origin_lonlat=origin)) for line in (old.line, new.line)
    )
    away = shapely.distance(before, shapely.points(shapely.get_coordinates(after)))
    moved = float(np.max(away))
    return round(moved, 2) if moved >= _STILL_M else 0.0


def put_back(before: Ground, after: Ground) -> PutBack:
    """Return the step back from ``after`` to ``before``.

    Parameters
    ----------
    before, after : Ground
        The ground, and what the edits made of it.

    Returns
    -------
    PutBack
        Applied to ``after`` it gives ``before``, and it is judged as any other edit.

    Notes
    -----
    So what was marked since on a row that the change made, or numbered, keeps the change from being taken back.
    """
    now, became = rows_by_key(after), continued_rows(after)
    rows: list[GroundRow] = []
    same: set[RowKey] = set()
    for key, one in rows_by_key(before).items():
        place, fresh = became.get(key, (None, None))
        if (
            fresh is not None
            and place == key
            and fresh.row == one.row
            and (fresh.kept, fresh.own) == (None, None)
        ):
            same.add(key)
            continue
        rows.append(
            GroundRow(one.row)
            if fresh is None
            else GroundRow(one.row, place, turned=fresh.turned, kept=fresh.own, own=fresh.kept)
        )
    return PutBack(
        blocks=tuple(
            one.block for key, one in before.items() if key not in after or after[key].block != one.block
        ),
        dropped=tuple(key for key in after if key not in before),
        rows=tuple(rows),
        away=tuple(key for key in now if key not in same and key[0] in before),
    )
