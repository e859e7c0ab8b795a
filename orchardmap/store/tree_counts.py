"""Counts of sample trees. Kept like every other record (see `orchardmap.store.log`)."""

from collections.abc import Collection
from typing import Any

from sqlalchemy import Connection, select

from orchardmap.store.row_tables import chunks
from orchardmap.store.standing import counts
from orchardmap.store.tree_count_tables import tree_counts

__all__ = ["counting_tree_counts"]


def counting_tree_counts(conn: Connection, season_id: str, block_ids: Collection[str]) -> list[Any]:
    """Return the tree counts of a season and of some blocks that count, replaced ones too, by id."""
    c = tree_counts.c
    asked = select(tree_counts).where(c.season_id == season_id, counts("tree_count"))
    found = [
        one for chunk in chunks(sorted(block_ids)) for one in conn.execute(asked.where(c.block_id.in_(chunk)))
    ]
    return sorted(found, key=lambda one: str(one.id))
