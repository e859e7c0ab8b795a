"""Edits of single rows: each takes the ground of a block and returns it changed. Nothing here asks what was marked."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely.geometry import MultiLineString

from orchardmap.errors import InputError
from orchardmap.geometry.frame import local_xy_m, origin_lonlat
from orchardmap.geometry.ground import BlockGround, GroundRow, next_number
from orchardmap.geometry.row_shapes import (
    clipped_places,
    counted_row,
    facing,
    joined_row,
    split_row,
    turned_row,
)
from orchardmap.geometry.surveyed import surveyed_rows
from orchardmap.model.orchard import Row

__all__ = [
    "AddRow", "CountRow", "DropRows", "JoinRows", "MoveRow", "NumberRows", "RowEdit", "SplitRow", "TurnRows", "split_ground_row",
]  # fmt: skip

_FARTHEST_M = 1_000.0
"""A row drawn farther from its block than this is a slip of the hand, or another place's coordinates."""


@dataclass(frozen=True, slots=True)
class DropRows:
    """Rows that are not there."""

    block_id: str
    rows: tuple[int, ...]

    def applied(self, ground: BlockGround) -> BlockGround:
        """Return the ground without them."""
        for number in self.rows:
            ground.row(number)
        return ground.with_rows((), without=self.rows)


@dataclass(frozen=True, slots=True)
class NumberRows:
    """Other numbers for rows, all at once."""

    block_id: str
    numbers: Mapping[int, int]
    """Number now -> number to be."""

    def applied(self, ground: BlockGround) -> BlockGround:
        """Return the ground with these numbers."""
        found = [(ground.row(old), new) for old, new in self.numbers.items()]
        changed = [replace(one, row=replace(one.row, number=new)) for one, new in found]
        return ground.with_rows(changed, without=self.numbers)


@dataclass(frozen=True, slots=True)
class MoveRow:
    """A row that stands elsewhere, is longer or shorter, or bends: its line drawn anew from the same first end."""

    block_id: str
    row: int
    line: MultiLineString
    """lonlat degrees, first end first, parts in order."""

    def applied(self, ground: BlockGround) -> BlockGround:
        """Return the ground with the line; positions by the planting's rule, a counted number stays."""
        one = ground.row(self.row)
        drawn = _drawn(ground, self.line, self.row)
        _refuse_turned(one.row, drawn)
        drawn = replace(drawn, counted_positions=one.row.counted_positions)
        return ground.with_rows(
            [replace(one, row=clipped_places(drawn, one.row.blanks, one.row.pollinizers))],
            without=[self.row],
        )


@dataclass(frozen=True, slots=True)
class AddRow:
    """A row that is missing."""

    block_id: str
    line: MultiLineString
    """lonlat degrees, first end first, parts in order."""
    number: int | None = None
    """None takes the number after the last one."""

    def applied(self, ground: BlockGround) -> BlockGround:
        """Return the ground with the row; its positions are the planting's rule."""
        number = next_number(ground) if self.number is None else self.number
        return ground.with_rows([GroundRow(_drawn(ground, self.line, number))])


@dataclass(frozen=True, slots=True)
class SplitRow:
    """A row that is two: the one with the first end keeps its number."""

    block_id: str
    row: int
    after: int
    """The last position of the one that keeps the number."""
    number: int | None = None
    """Of the other one; None takes the number after the last one."""

    def applied(self, ground: BlockGround) -> BlockGround:
        """Return the ground with both; each tree stays with its blanks beside it, none is lost or made."""
        one = ground.row(self.row)
        number = next_number(ground) if self.number is None else self.number
        first, second = split_ground_row(one, self.after)
        return ground.with_rows(
            [first, replace(second, row=replace(second.row, number=number))], without=[self.row]
        )


@dataclass(frozen=True, slots=True)
class JoinRows:
    """Two rows that are one: the second goes on where the first ends, and leaves its number."""

    block_id: str
    row: int
    second: int

    def applied(self, ground: BlockGround) -> BlockGround:
        """Return the ground with the joined row: its positions are those of both."""
        if self.row == self.second:
            raise InputError("a row cannot be joined to itself", where=f"row {self.row}")
        one, other = ground.row(self.row), ground.row(self.second)
        joined = joined_row(one.row, facing(one.row, other.row))
        own = one.row.positions if one.own is None else one.own
        # the second one's trees stand behind the last end: of a turned row that is the first one of the row that it was
        kept = 0 if one.turned else one.kept
        return ground.with_rows(
            [replace(one, row=joined, own=own, kept=kept)], without=[self.row, self.second]
        )


@dataclass(frozen=True, slots=True)
class TurnRows:
    """Rows whose first end is the other one."""

    block_id: str
    rows: tuple[int, ...]

    def applied(self, ground: BlockGround) -> BlockGround:
        """Return the ground with them turned round."""
        found = [ground.row(number) for number in self.rows]
        changed = [replace(one, row=turned_row(one.row), turned=not one.turned) for one in found]
        return ground.with_rows(changed, without=self.rows)


@dataclass(frozen=True, slots=True)
class CountRow:
    """What was counted in a row: positions, blanks, pollinizers."""

    block_id: str
    row: int
    counted_positions: int | None
    """None keeps the rule's number."""
    blanks: tuple[int, ...]
    pollinizers: tuple[int, ...]

    def applied(self, ground: BlockGround) -> BlockGround:
        """Return the ground with the row as it was counted."""
        one = ground.row(self.row)
        counted = counted_row(one.row, self.counted_positions, self.blanks, self.pollinizers)
        return ground.with_rows([replace(one, row=counted)], without=[self.row])


RowEdit = DropRows | NumberRows | MoveRow | AddRow | SplitRow | JoinRows | TurnRows | CountRow


def split_ground_row(one: GroundRow, after: int) -> tuple[GroundRow, GroundRow]:
    """Return a row cut in two behind a position (see `split_row`): the first piece is the row that it was, the second is none."""
    first, second = split_row(one.row, after)
    kept = after if one.kept is None else min(one.kept, after)
    own = None if one.own is None else min(one.own, after)
    # of a turned row the first piece holds the trees of the last end: no position means the tree that it meant
    return replace(one, row=first, kept=0 if one.turned else kept, own=own), GroundRow(second)


def _drawn(ground: BlockGround, line: MultiLineString, number: int) -> Row:
    """Return a row along a line that somebody drew, its positions by the block's own rule."""
    _refuse_far(ground, line, number)
    block = ground.block
    return surveyed_rows([line], planting=block.planting, numbers=[number], block_id=block.id)[0]


def _refuse_turned(row: Row, drawn: Row) -> None:
    """Refuse a line that runs against the row's: position 1 would be the tree that was the last one."""
    lonlat = [shapely.get_coordinates(one.line)[[0, -1]] for one in (row, drawn)]
    origin = origin_lonlat(np.concatenate(lonlat))
    before, after = (np.diff(local_xy_m(ends, origin), axis=0)[0] for ends in lonlat)
    if float(before @ after) < 0.0:
        raise InputError(
            "the row would begin at its other end",
            where=f"row {row.number}",
            todo="Keep its first end first; to number its trees from the other end, turn it.",
        )


def _refuse_far(ground: BlockGround, line: MultiLineString, number: int) -> None:
    lonlat = shapely.get_coordinates(line)
    if not len(lonlat) or not np.isfinite(lonlat).all():
        raise InputError("a line needs two points", where=f"row {number}")
    there = [ground.block.outline] if ground.block.outline else [one.row.line for one in ground.rows]
    if not there:
        return
    origin = origin_lonlat(np.array([geometry.centroid.coords[0] for geometry in there]))
    around = shapely.transform(
        shapely.geometrycollections(there), lambda points: local_xy_m(points, origin)
    ).envelope
    away_m = float(shapely.distance(around, shapely.points(local_xy_m(lonlat, origin))).max())
    if away_m > _FARTHEST_M:
        raise InputError(
            f"the row lies {away_m:,.0f} m away from its block",
            where=f"row {number}",
            todo="Draw it on the block, longitude first.",
        )
