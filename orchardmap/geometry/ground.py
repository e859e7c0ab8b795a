"""The ground of blocks while it is edited: each row with the row that it was, so that what changed can be told and judged."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from orchardmap.errors import ConflictError, InputError, UnknownError
from orchardmap.model.orchard import Block, Row

__all__ = [
    "BlockGround",
    "Ground",
    "GroundRow",
    "RowKey",
    "continued_rows",
    "ground_of",
    "next_number",
    "rows_by_key",
]

RowKey = tuple[str, int]
"""Block id and row number: what a row is known by."""


@dataclass(frozen=True, slots=True)
class GroundRow:
    """A row as it is to be, and which row it continues."""

    row: Row
    origin: RowKey | None = None
    """The row that it was before any edit; None where its trees had no number of it, or of another row, before."""
    turned: bool = False
    """Its first end is the last one of the row that it was."""
    kept: int | None = None
    """How many positions of the row that it was, from the first end, are still this row's; None for all."""
    own: int | None = None
    """How many of its positions, from the first end, were that row's; None for all."""
    again: bool = False
    """Its trees had this number before: what names it, though no row had it meanwhile, names these."""


@dataclass(frozen=True, slots=True)
class BlockGround:
    """A block with its rows by number."""

    block: Block
    rows: tuple[GroundRow, ...]

    def row(self, number: int) -> GroundRow:
        """Return the row of a number.

        Returns
        -------
        GroundRow

        Raises
        ------
        UnknownError
            If the block has none.
        """
        for one in self.rows:
            if one.row.number == number:
                return one
        raise UnknownError("the block has no such row", where=f"{self.block.code}, row {number}")

    def with_rows(self, changed: Iterable[GroundRow], *, without: Iterable[int] = ()) -> "BlockGround":
        """Return the ground with some rows taken away, then others added.

        Returns
        -------
        BlockGround
            Its rows by number.

        Raises
        ------
        ConflictError
            If two rows would have one number.
        InputError
            If one would have a number under 1.
        """
        gone = set(without)
        rows = sorted(
            [one for one in self.rows if one.row.number not in gone] + list(changed),
            key=lambda one: one.row.number,
        )
        for one, after in pairwise(rows):
            if one.row.number == after.row.number:
                raise ConflictError(
                    "two rows would have this number",
                    where=f"{self.block.code}, row {one.row.number}",
                    todo="Give each row a number of its own.",
                )
        if rows and rows[0].row.number < 1:
            raise InputError("rows are numbered from 1", where=f"{self.block.code}, row {rows[0].row.number}")
        return replace(self, rows=tuple(rows))


Ground = Mapping[str, BlockGround]
"""Blocks by id."""


def ground_of(blocks: Sequence[Block], rows: Mapping[str, Sequence[Row]]) -> dict[str, BlockGround]:
    """Return the ground before any edit: each row is what it was.

    Parameters
    ----------
    blocks : sequence of Block
        What may be edited.
    rows : mapping of str to sequence of Row
        By block id, in order of their numbers.

    Returns
    -------
    dict of str to BlockGround
    """
    return {
        block.id: BlockGround(
            block, tuple(GroundRow(row, (block.id, row.number)) for row in rows.get(block.id, ()))
        )
        for block in blocks
    }


def next_number(block: BlockGround, taken: Iterable[int] = ()) -> int:
    """Return the number after the highest one of a block's rows, those of ``taken`` among them."""
    return max([*(one.row.number for one in block.rows), *taken], default=0) + 1


def rows_by_key(ground: Ground) -> dict[RowKey, GroundRow]:
    """Return all rows of a ground by block id and number."""
    return {(block.block.id, one.row.number): one for block in ground.values() for one in block.rows}


def continued_rows(after: Ground) -> dict[RowKey, tuple[RowKey, GroundRow]]:
    """Return by the row that it was what each row is now, with its block id and number."""
    return {one.origin: (key, one) for key, one in rows_by_key(after).items() if one.origin is not None}
