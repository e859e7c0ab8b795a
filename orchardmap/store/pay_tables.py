"""The tables of pay: what a farm pays by, hours by person, what was exported, and the season's budget."""

from sqlalchemy import (
    JSON,
    Boolean,
    Column,
    Date,
    Float,
    ForeignKey,
    Index,
    Integer,
    Table,
    Text,
    UniqueConstraint,
)

from orchardmap.store.tables import metadata
from orchardmap.store.types import Moment, StoredId

__all__ = ["pay_rules", "pay_runs", "person_days", "season_budgets"]

_Id = StoredId()

pay_rules = Table(
    "pay_rules",
    metadata,
    Column("farm_id", _Id, ForeignKey("farms.id"), primary_key=True),
    Column("said", JSON, nullable=False, comment="rules by name; what is left out is not paid by"),
    Column("revision", Integer, nullable=False, comment="1, 2, 3 ...: who saves names the one that was read"),
    Column("saved_at", Moment, nullable=False),
    Column("saved_by", _Id, comment="account; null for the shell"),
)

person_days = Table(
    "person_days",
    metadata,
    Column("id", _Id, primary_key=True),
    Column("farm_id", _Id, ForeignKey("farms.id"), nullable=False),
    Column("person_id", _Id, ForeignKey("people.id"), nullable=False),
    Column("crew_id", _Id, ForeignKey("crews.id"), nullable=False),
    Column("day", Date, nullable=False),
    Column("hours", Float(53), nullable=False, comment="at work, rest left out; 0 takes an entry back"),
    Column("rest_minutes", Integer, nullable=False),
    Column(
        "replaces_id", _Id, unique=True, comment="the entry of that person, crew and day that it corrects"
    ),
    Column("typed_at", Moment, nullable=False),
    Column("typed_by", _Id, comment="account; null for the shell"),
    Index("ix_person_days_farm_id_day", "farm_id", "day"),
    comment="appended, never edited: of an entry and its corrections the one that nothing replaces stands",
)

pay_runs = Table(
    "pay_runs",
    metadata,
    Column("id", _Id, primary_key=True),
    Column("farm_id", _Id, ForeignKey("farms.id"), nullable=False),
    Column("season_id", _Id, ForeignKey("seasons.id"), nullable=False),
    Column("number", Integer, nullable=False, comment="1, 2, 3 ... within its farm"),
    Column("first_day", Date, nullable=False),
    Column("last_day", Date, nullable=False),
    Column("crew_id", _Id, ForeignKey("crews.id"), comment="null for all crews"),
    Column("exported_at", Moment, nullable=False),
    Column("exported_by", _Id, comment="account; null for the shell"),
    Column("rules", JSON, nullable=False, comment="as they were then"),
    Column("lines", JSON, nullable=False, comment="as they were paid, amounts as decimal text"),
    Column("sheet", JSON, nullable=False, comment="hours and floor tests that its sheets tell, as they were"),
    Column("digest", Text, nullable=False, comment="SHA-256 of lines and sheet; the audit log holds it too"),
    UniqueConstraint("farm_id", "number"),
    Index("ix_pay_runs_season_id", "season_id"),
    comment="exported and locked: appended, never edited",
)

season_budgets = Table(
    "season_budgets",
    metadata,
    Column("season_id", _Id, ForeignKey("seasons.id"), primary_key=True),
    Column("farm_id", _Id, ForeignKey("farms.id"), nullable=False),
    Column("amount", Text, nullable=False, comment="money as decimal text, in the currency of the rules"),
    Column("is_per_tree", Boolean, nullable=False),
    Column("saved_at", Moment, nullable=False),
    Column("saved_by", _Id, comment="account; null for the shell"),
)
