"""The table of what each farm sets for its advice."""

from sqlalchemy import Column, ForeignKey, Table, Text

from orchardmap.store.tables import metadata
from orchardmap.store.types import StoredId

__all__ = ["farm_settings"]

farm_settings = Table(
    "farm_settings",
    metadata,
    Column("farm_id", StoredId(), ForeignKey("farms.id"), primary_key=True),
    Column("said", Text, nullable=False, comment="settings as JSON by name; others have their first guess"),
)
