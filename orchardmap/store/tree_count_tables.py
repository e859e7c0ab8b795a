"""The table of tree counts: one of the log, like those of `orchardmap.store.tables`."""

from sqlalchemy import Column, Date, Index, Integer, Text, Uuid

from orchardmap.store.tables import record_table

__all__ = ["tree_counts"]

Id = Uuid(as_uuid=False)

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
