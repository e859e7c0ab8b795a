"""The table of photos of checked trees."""

from sqlalchemy import Column, Date, ForeignKey, Integer, LargeBinary, Table, Text

from orchardmap.store.tables import metadata
from orchardmap.store.types import Moment, StoredId

__all__ = ["check_photos"]

_Id = StoredId()

check_photos = Table(
    "check_photos",
    metadata,
    Column("id", _Id, primary_key=True),
    Column("farm_id", _Id, ForeignKey("farms.id"), nullable=False),
    Column("check_id", _Id, nullable=False, index=True),
    Column("taken_on", Date, nullable=False, comment="the day of the check"),
    Column("jpeg", LargeBinary, nullable=False),
    Column("width", Integer, nullable=False),
    Column("height", Integer, nullable=False),
    Column("sha256", Text, nullable=False, comment="of the JPEG, hex"),
    Column("received_at", Moment, nullable=False),
    Column("handed_in_by", _Id, comment="device or account"),
)
