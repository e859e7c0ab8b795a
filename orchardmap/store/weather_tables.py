"""The table of the weather that a farm loaded, a line for each day."""

from sqlalchemy import Column, Date, Float, ForeignKey, Table

from orchardmap.store.tables import metadata
from orchardmap.store.types import Moment, StoredId

__all__ = ["farm_weather"]

farm_weather = Table(
    "farm_weather",
    metadata,
    Column("farm_id", StoredId(), ForeignKey("farms.id"), primary_key=True),
    Column("day", Date, primary_key=True),
    Column("tmin_c", Float(53), nullable=False),
    Column("tmax_c", Float(53), nullable=False),
    Column("rain_mm", Float(53), comment="null where rain was not told"),
    Column("loaded_at", Moment, nullable=False, comment="a day not over by then is kept as it was forecast"),
)
