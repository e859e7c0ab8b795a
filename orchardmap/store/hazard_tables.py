"""The table of power lines over and beside farms."""

from sqlalchemy import Column, Float, ForeignKey, Table, Text

from orchardmap.store.tables import metadata
from orchardmap.store.types import Geom, StoredId

__all__ = ["hazard_lines"]

_Id = StoredId()

hazard_lines = Table(
    "hazard_lines",
    metadata,
    Column("id", _Id, primary_key=True),
    Column("farm_id", _Id, ForeignKey("farms.id"), nullable=False, index=True),
    Column("name", Text, nullable=False),
    Column("kv", Float(53), nullable=False, comment="voltage to ground"),
    Column("line", Geom("MULTILINESTRING"), nullable=False),
)
