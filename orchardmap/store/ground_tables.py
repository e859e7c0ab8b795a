"""Changes of the ground that were taken: the step back of each, and what it came to."""

from sqlalchemy import JSON, Column, ForeignKey, Integer, Table, Text, UniqueConstraint

from orchardmap.store.tables import metadata
from orchardmap.store.types import Moment, StoredId

__all__ = ["ground_changes"]

_Id = StoredId()

ground_changes = Table(
    "ground_changes",
    metadata,
    Column(
        "id",
        _Id,
        primary_key=True,
        comment="made where the change was made: a repeat is answered as the first",
    ),
    Column("farm_id", _Id, ForeignKey("farms.id"), nullable=False),
    Column("number", Integer, nullable=False, comment="1, 2, 3 ... within its farm"),
    Column("made_at", Moment, nullable=False),
    Column("made_by", Text, nullable=False, comment="as the audit log names it"),
    Column("versions", JSON, nullable=False, comment="{block id: version after it, null of one that left}"),
    Column("told", JSON, nullable=False, comment="blocks by code, rows and trees before and after"),
    Column("back", JSON, nullable=False, comment="the step back: rows and blocks as they were"),
    Column("undoes", _Id, comment="the change that it took back"),
    UniqueConstraint("farm_id", "number"),
)
