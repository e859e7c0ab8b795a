"""The tables. What is appended and never edited: marks, withdrawals, checks, changes."""

from sqlalchemy import (
    JSON,
    BigInteger,
    Boolean,
    Column,
    Date,
    Float,
    ForeignKey,
    Index,
    Integer,
    MetaData,
    Table,
    Text,
    UniqueConstraint,
    false,
)

from orchardmap.store.types import Geom, Moment, StoredId

__all__ = [
    "block_boxes", "blocks", "changes", "checks", "crew_days", "crews", "farms",
    "import_drafts", "marks", "metadata", "other_senders", "people", "places", "record_table", "row_boxes", "row_states", "rows",
    "seasons", "settings", "settlements", "varieties", "withdrawals",
]  # fmt: skip

metadata = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "fk": "fk_%(table_name)s_%(column_0_name)s",
        "pk": "pk_%(table_name)s",
    }
)

_Id = StoredId()
_Key = BigInteger().with_variant(Integer, "sqlite")  # SQLite's rowid must be declared INTEGER


def _box() -> list[Column[float]]:
    return [Column(name, Float(53), nullable=False) for name in ("west", "south", "east", "north")]


settings = Table(
    "settings", metadata, Column("name", Text, primary_key=True), Column("value", Text, nullable=False)
)

farms = Table(
    "farms",
    metadata,
    Column("id", _Id, primary_key=True),
    Column("name", Text, nullable=False, unique=True),
    Column("time_zone", Text, nullable=False),
    Column("made_at", Moment, nullable=False),
    # the farm's own counter: every change takes the next number inside its transaction, so numbers
    # become visible in order on both engines and a reader's cursor never skips one
    Column("change_seq", BigInteger, nullable=False, server_default="0"),
)


def _named(table: str, *columns: Column[object]) -> Table:
    return Table(
        table,
        metadata,
        Column("id", _Id, primary_key=True),
        Column("farm_id", _Id, ForeignKey("farms.id"), nullable=False),
        Column("name", Text, nullable=False),
        *columns,
        UniqueConstraint("farm_id", "name"),
    )


varieties = _named(
    "varieties",
    Column("habit", Text, nullable=False),
    Column("habit_source", Text, nullable=False, server_default=""),
    Column("is_biennial", Boolean, nullable=False, server_default=false()),
    Column("is_canker_prone", Boolean, nullable=False, server_default=false()),
)
seasons = _named(
    "seasons",
    Column("opens_on", Date, nullable=False),
    Column("must_finish_on", Date, nullable=False),
    Column("closed", Boolean, nullable=False),
)
crews = _named("crews", Column("foreman_id", _Id), Column("method", Text, nullable=False))
people = _named(
    "people",
    Column("role", Text, nullable=False),
    Column("crew_id", _Id, ForeignKey("crews.id")),
)

blocks = Table(
    "blocks",
    metadata,
    Column("key", _Key, primary_key=True),
    Column("id", _Id, nullable=False, unique=True),
    Column("farm_id", _Id, ForeignKey("farms.id"), nullable=False),
    Column("code", Text, nullable=False),
    Column("name", Text, nullable=False),
    Column("variety_id", _Id, ForeignKey("varieties.id")),
    Column("outline", Geom("GEOMETRY")),
    Column("planting", JSON),
    Column("area_ha", Float(53), nullable=False),
    Column("shape_version", Text, nullable=False),
    Column("slope_percent", Float(53), comment="rise over run, at its steepest; null where nobody said"),
    *_box(),
    UniqueConstraint("farm_id", "code"),
    Index("ix_blocks_outline", "outline", postgresql_using="gist").ddl_if(dialect="postgresql"),
)

rows = Table(
    "rows",
    metadata,
    Column("key", _Key, primary_key=True),
    Column("block_id", _Id, ForeignKey("blocks.id"), nullable=False),
    Column("number", Integer, nullable=False),
    Column("line", Geom("MULTILINESTRING"), nullable=False),
    Column("length_m", Float(53), nullable=False),
    Column("end_offset_m", Float(53), nullable=False),
    Column("part_positions", JSON, nullable=False),
    Column("counted_positions", Integer),
    Column(
        "positions", Integer, nullable=False, comment="the counted number where there is one, else the rule's"
    ),
    Column("trees", Integer, nullable=False, comment="positions less blanks and pollinizers"),
    *_box(),
    UniqueConstraint("block_id", "number"),
    Index("ix_rows_line", "line", postgresql_using="gist").ddl_if(dialect="postgresql"),
)

places = Table(
    "places",
    metadata,
    Column("block_id", _Id, ForeignKey("blocks.id"), primary_key=True),
    Column("row", Integer, primary_key=True),
    Column("position", Integer, primary_key=True),
    Column("kind", Text, nullable=False),
    comment="positions that are a blank or a pollinizer; every other one holds a tree",
)


def record_table(table: str, *columns: Column[object]) -> Table:
    """Build an append-only table of records. The key is id *and* content, so a second version of an id is kept too."""
    return Table(
        table,
        metadata,
        Column("farm_id", _Id, ForeignKey("farms.id"), primary_key=True),
        Column("id", _Id, primary_key=True),
        Column("content_hash", Text, primary_key=True),
        *columns,
        Column("device_id", Text),
        Column("device_at", Moment, nullable=False),
        Column("corrected_at", Moment, nullable=False),
        Column("server_at", Moment, nullable=False),
        Column("set_aside", Text),
        Column("handed_in_by", _Id, comment="device or account"),
        Column("for_crew_id", _Id, comment="the crew that its sender may speak for; null speaks for any"),
        Column("extra", JSON(none_as_null=True), comment="what a tablet said beyond the columns, as sent"),
        # no foreign keys below: a record that fits nothing here is kept all the same
    )


marks = record_table(
    "marks",
    Column("season_id", _Id, nullable=False),
    Column("block_id", _Id, nullable=False),
    Column("row", Integer, nullable=False),
    Column("first", Integer, nullable=False),
    Column("last", Integer, nullable=False),
    Column("crew_id", _Id, nullable=False),
    Column("day", Date, nullable=False),
    Column("device_day", Date, nullable=False),
    Column("method", Text, nullable=False),
    Column("recorder_id", _Id),
    Column("return_id", _Id),
)
Index("ix_marks_season_id_block_id_row", marks.c.season_id, marks.c.block_id, marks.c.row)
Index("ix_marks_season_id_day", marks.c.season_id, marks.c.day)

withdrawals = record_table(
    "withdrawals",
    Column("mark_id", _Id, nullable=False),
    Column("reason", Text, nullable=False),
    Column("recorder_id", _Id),
)
Index("ix_withdrawals_farm_id_mark_id", withdrawals.c.farm_id, withdrawals.c.mark_id)

checks = record_table(
    "checks",
    Column("season_id", _Id, nullable=False),
    Column("block_id", _Id, nullable=False),
    Column("row", Integer, nullable=False),
    Column("position", Integer, nullable=False),
    Column("auditor_id", _Id),
    Column("day", Date, nullable=False),
    Column("device_day", Date, nullable=False),
    Column("verdict", Text, comment="null where the tree could not be judged"),
    Column("drawn", Boolean, nullable=False),
    Column("note", Text, nullable=False),
    Column("brief_id", _Id),
    Column("brief_version", Integer, comment="that it was judged by, known here or not"),
    Column("lot_id", _Id, comment="of the lot that it was made for"),
    Column("findings", JSON(none_as_null=True), comment="[[point key, yes or no or number], ...]"),
    Column("second", Boolean, comment="true for a second look, which judges no lot"),
    Column("not_judged", Text, comment="why a lot's tree could not be judged"),
)
Index("ix_checks_block_id_season_id", checks.c.block_id, checks.c.season_id)

crew_days = record_table(
    "crew_days",
    Column("season_id", _Id, nullable=False),
    Column("crew_id", _Id, nullable=False),
    Column("day", Date, nullable=False),
    Column("device_day", Date, nullable=False),
    Column("people", Integer, nullable=False),
    Column("hours", Float(53), nullable=False, comment="worked by each of them"),
    Column("method", Text, nullable=False),
    Column("recorder_id", _Id),
    Column("replaces_id", _Id, comment="the crew-day that this one corrects"),
)
Index("ix_crew_days_season_id_crew_id_day", crew_days.c.season_id, crew_days.c.crew_id, crew_days.c.day)

other_senders = Table(
    "other_senders",
    metadata,
    Column("farm_id", _Id, ForeignKey("farms.id"), primary_key=True),
    Column("record_kind", Text, primary_key=True),
    Column("record_id", _Id, primary_key=True),
    Column("content_hash", Text, primary_key=True),
    Column("speaks_for", Text, primary_key=True, comment="a crew's id, or any"),
    Column("handed_in_by", _Id, comment="device or account"),
    Column("server_at", Moment, nullable=False),
    comment="of records handed in again by a sender of another scope than the first: a set that only grows",
)

settlements = Table(
    "settlements",
    metadata,
    Column("farm_id", _Id, ForeignKey("farms.id"), primary_key=True),
    Column("id", _Id, primary_key=True),
    Column("number", BigInteger, nullable=False, comment="the farm's own order of settlements"),
    Column("season_id", _Id),
    Column("block_id", _Id),
    Column("row", Integer),
    Column("first", Integer),
    Column("last", Integer),
    Column("credited_crew_id", _Id),
    Column("record_kind", Text),
    Column("record_id", _Id),
    Column("content_hash", Text, comment="the version that counts from now on; null for none"),
    Column("reason", Text, comment="why the record was set aside then; null holds for any"),
    Column("seen", JSON, nullable=False, comment="mark ids, or content hashes, that the manager looked at"),
    Column("note", Text, nullable=False),
    Column("settled_by", _Id),
    Column("settled_at", Moment, nullable=False),
    UniqueConstraint("farm_id", "number"),
    comment="of a stretch that two crews claim, or of a record that was set aside",
)
Index("ix_settlements_block_id_row", settlements.c.block_id, settlements.c.row)
Index("ix_settlements_record_id", settlements.c.record_id)

row_states = Table(
    "row_states",
    metadata,
    Column("season_id", _Id, primary_key=True),
    Column("block_id", _Id, primary_key=True),
    Column("row", Integer, primary_key=True),
    Column("runs", JSON, nullable=False, comment="[[first, last, crew id or null for an overlap], ...]"),
    Column("pruned", Integer, nullable=False),
    Column("overlap", Integer, nullable=False),
    Column("done", Boolean, nullable=False),
    comment="a cache of the log: thrown away and rebuilt at will",
)

changes = Table(
    "changes",
    metadata,
    Column("farm_id", _Id, ForeignKey("farms.id"), primary_key=True),
    Column("seq", BigInteger, primary_key=True),
    Column("kind", Text, nullable=False),
    Column("subject_id", _Id, nullable=False),
    Column("block_id", _Id),
    Column("row", Integer),
)

import_drafts = Table(
    "import_drafts",
    metadata,
    Column("token", Text, primary_key=True),
    Column("farm_id", _Id, ForeignKey("farms.id"), nullable=False),
    Column("made_at", Moment, nullable=False),
    Column("preview", JSON, nullable=False),
)

# SQLite's R*Trees are virtual tables kept by triggers; they live outside this metadata
row_boxes = "row_boxes"
block_boxes = "block_boxes"
