"""The tables of closures and of the earlier ends said of them."""

from sqlalchemy import Column, ForeignKey, Table, Text

from orchardmap.store.tables import metadata
from orchardmap.store.types import Moment, StoredId

__all__ = ["closure_ends", "closures"]

_Id = StoredId()

closures = Table(
    "closures",
    metadata,
    Column("id", _Id, primary_key=True),
    Column("block_id", _Id, ForeignKey("blocks.id"), nullable=False, index=True),
    Column("starts_at", Moment, nullable=False),
    Column("ends_at", Moment, nullable=False),
    Column("reason", Text, nullable=False),
)

closure_ends = Table(
    "closure_ends",
    metadata,
    Column("closure_id", _Id, ForeignKey("closures.id"), primary_key=True),
    Column("ends_at", Moment, primary_key=True),
    Column("said_by", Text, nullable=False, comment="as the audit log names it"),
    Column("said_at", Moment, nullable=False),
    comment="earlier ends said of closures, each earlier than the one before; at its start it is taken back",
)
