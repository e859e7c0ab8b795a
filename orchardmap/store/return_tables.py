"""The tables of returns: what a crew was asked to go over again. The marks that answer are in the log."""

from sqlalchemy import JSON, Column, Date, ForeignKey, Index, Integer, Table, Text, UniqueConstraint

from orchardmap.store.tables import metadata
from orchardmap.store.types import Moment, StoredId

__all__ = ["return_stretches", "returns"]

_Id = StoredId()

returns = Table(
    "returns",
    metadata,
    Column("id", _Id, primary_key=True),
    Column("farm_id", _Id, ForeignKey("farms.id"), nullable=False),
    Column("season_id", _Id, ForeignKey("seasons.id"), nullable=False),
    Column("number", Integer, nullable=False, comment="1, 2, 3 ... within its farm and season"),
    Column("block_id", _Id, ForeignKey("blocks.id"), nullable=False),
    Column("crew_id", _Id, ForeignKey("crews.id"), nullable=False),
    Column("due_on", Date, nullable=False),
    Column("made_on", Date, nullable=False, comment="in the farm's zone"),
    Column("made_at", Moment, nullable=False),
    Column("made_by", _Id, comment="account or tablet; null for the shell"),
    Column("lot_id", _Id, comment="the lot that was sent back"),
    Column("area", JSON(none_as_null=True), comment="the weak area that it came from, as it was told then"),
    Column("points", JSON, nullable=False, comment="keys of the brief's points that failed"),
    Column("note", Text, nullable=False),
    Column("cancelled_at", Moment),
    Column("cancelled_by", _Id, comment="account or tablet; null for the shell"),
    Column("cancel_reason", Text, nullable=False, server_default=""),
    UniqueConstraint("farm_id", "season_id", "number"),
    Index("ix_returns_season_id_block_id", "season_id", "block_id"),
)

return_stretches = Table(
    "return_stretches",
    metadata,
    Column("return_id", _Id, ForeignKey("returns.id"), primary_key=True),
    Column("row", Integer, primary_key=True),
    Column("first", Integer, primary_key=True),
    Column("last", Integer, nullable=False),
)
