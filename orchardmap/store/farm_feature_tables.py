"""The table of what lies on farms beside their blocks."""

from sqlalchemy import Column, ForeignKey, Table, Text

from orchardmap.store.tables import metadata
from orchardmap.store.types import Geom, StoredId

__all__ = ["farm_features"]

_Id = StoredId()

farm_features = Table(
    "farm_features",
    metadata,
    Column("id", _Id, primary_key=True),
    Column("farm_id", _Id, ForeignKey("farms.id"), nullable=False, index=True),
    Column("kind", Text, nullable=False, comment="track, gate, water, shed or other"),
    Column("name", Text, nullable=False, comment="empty where it has none"),
    Column("shape", Geom("GEOMETRY"), nullable=False),
)
