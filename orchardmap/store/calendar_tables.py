"""The tables of when a farm works: calendars of seasons, their days off, people of crews by spans of days."""

from sqlalchemy import JSON, Boolean, Column, Date, Float, ForeignKey, Integer, Table, Text

from orchardmap.store.tables import metadata
from orchardmap.store.types import StoredId

__all__ = ["days_off", "season_calendars", "strengths"]

_Id = StoredId()

season_calendars = Table(
    "season_calendars",
    metadata,
    Column("season_id", _Id, ForeignKey("seasons.id"), primary_key=True),
    Column("weekdays", Text, nullable=False, comment="Monday to Sunday, 1 for a day that is worked"),
    Column("hours_per_day", Float(53), nullable=False),
    Column("lost_percent", JSON, nullable=False, comment="of working days, January to December"),
    Column("expected_pace", Float(53), comment="trees per person-hour; null where nobody said"),
    Column("respects_daylight", Boolean, nullable=False),
)

days_off = Table(
    "days_off",
    metadata,
    Column("season_id", _Id, ForeignKey("seasons.id"), primary_key=True),
    Column("day", Date, primary_key=True),
    Column("name", Text, nullable=False),
)

strengths = Table(
    "strengths",
    metadata,
    Column("crew_id", _Id, ForeignKey("crews.id"), primary_key=True),
    Column("first", Date, primary_key=True),
    Column("last", Date, nullable=False),
    Column("people", Integer, nullable=False),
    comment="people of a crew in a span of days, both ends among them; spans of a crew never meet",
)
