"""The table of tree counts: one of the log, like those of `orchardmap.store.tables`."""

from sqlalchemy import Column, Date, Index, Integer, Text

from orchardmap.store.tables import record_table
from orchardmap.store.types import StoredId

__all__ = ["tree_counts"]

Id = StoredId()

tree_counts = record_table(
    "tree_counts",
    Column("season_id", Id, nullable=False),
    Column("block_id", Id, nullable=False),
    Column("row", Integer, nullable=False),
    Column("position", Integer, nullable=False),
    Column("what", Text, nullable=False),
    Column("number", Integer, comment="null takes back what it replaces"),
    Column("day", Date, nullable=False),
    Column("device_day", Date, nullable=False),
    Column("recorder_id", Id),
    Column("seed", Integer, comment="of the draw that proposed the tree; null for one that was chosen"),
    Column("replaces_id", Id, comment="the count of the same tree that this one corrects"),
)
Index("ix_tree_counts_block_id_season_id", tree_counts.c.block_id, tree_counts.c.season_id)
