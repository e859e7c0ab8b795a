"""Blocks by their codes, without their shapes."""

from collections.abc import Collection
from dataclasses import dataclass

from sqlalchemy import Connection, exists, select

from orchardmap.model.code_order import code_order
from orchardmap.store import tables as t

__all__ = ["CodedBlock", "coded_blocks", "has_row"]


@dataclass(frozen=True, slots=True)
class CodedBlock:
    """A block as a row-end code names it."""

    id: str
    code: str
    farm_id: str


def coded_blocks(conn: Connection, farm_ids: Collection[str]) -> list[CodedBlock]:
    """Return the blocks of the given farms in the order of their codes."""
    c = t.blocks.c
    asked = select(c.id, c.code, c.farm_id).where(c.farm_id.in_(farm_ids))
    found = [CodedBlock(r.id, r.code, r.farm_id) for r in conn.execute(asked)]
    return sorted(found, key=lambda one: (code_order(one.code), one.farm_id))


def has_row(conn: Connection, block_id: str, number: int) -> bool:
    """Return whether a block has a row of that number."""
    row = t.rows.c
    return bool(conn.execute(select(exists().where(row.block_id == block_id, row.number == number))).scalar())
