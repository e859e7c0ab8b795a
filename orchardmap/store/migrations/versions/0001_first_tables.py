"""first tables."""

import sqlalchemy as sa
from alembic import op

from orchardmap.errors import StoreError
from orchardmap.store.types import Geom, Moment

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "farms",
        sa.Column("id", sa.Uuid(as_uuid=False), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("time_zone", sa.Text(), nullable=False),
        sa.Column("made_at", Moment(), nullable=False),
        sa.Column("change_seq", sa.BigInteger(), server_default="0", nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_farms")),
        sa.UniqueConstraint("name", name=op.f("uq_farms_name")),
    )
    op.create_table(
        "row_states",
        sa.Column("season_id", sa.Uuid(as_uuid=False), nullable=False),
        sa.Column("block_id", sa.Uuid(as_uuid=False), nullable=False),
        sa.Column("row", sa.Integer(), nullable=False),
        sa.Column(
            "runs", sa.JSON(), nullable=False, comment="[[first, last, crew id or null for an overlap], ...]"
        ),
        sa.Column("pruned", sa.Integer(), nullable=False),
        sa.Column("overlap", sa.Integer(), nullable=False),
        sa.Column("done", sa.Boolean(), nullable=False),
        sa.PrimaryKeyConstraint("season_id", "block_id", "row", name=op.f("pk_row_states")),
        comment="a cache of the log: thrown away and rebuilt at will",
    )
    op.create_table(
        "settings",
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("value", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("name", name=op.f("pk_settings")),
    )
    op.create_table(
        "changes",
        sa.Column("farm_id", sa.Uuid(as_uuid=False), nullable=False),
        sa.Column("seq", sa.BigInteger(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("subject_id", sa.Uuid(as_uuid=False), nullable=False),
        sa.Column("block_id", sa.Uuid(as_uuid=False), nullable=True),
        sa.Column("row", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(["farm_id"], ["farms.id"], name=op.f("fk_changes_farm_id")),
        sa.PrimaryKeyConstraint("farm_id", "seq", name=op.f("pk_changes")),
    )
    op.create_table(
        "checks",
        sa.Column("farm_id", sa.Uuid(as_uuid=False), nullable=False),
        sa.Column("id", sa.Uuid(as_uuid=False), nullable=False),
        sa.Column("content_hash", sa.Text(), nullable=False),
        sa.Column("season_id", sa.Uuid(as_uuid=False), nullable=False),
        sa.Column("block_id", sa.Uuid(as_uuid=False), nullable=False),
        sa.Column("row", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("auditor_id", sa.Uuid(as_uuid=False), nullable=True),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("device_day", sa.Date(), nullable=False),
        sa.Column("verdict", sa.Text(), nullable=False),
        sa.Column("drawn", sa.Boolean(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("device_id", sa.Text(), nullable=True),
        sa.Column("device_at", Moment(), nullable=False),
        sa.Column("corrected_at", Moment(), nullable=False),
        sa.Column("server_at", Moment(), nullable=False),
        sa.Column("set_aside", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(["farm_id"], ["farms.id"], name=op.f("fk_checks_farm_id")),
        sa.PrimaryKeyConstraint("farm_id", "id", "content_hash", name=op.f("pk_checks")),
    )
    op.create_index("ix_checks_block_id_season_id", "checks", ["block_id", "season_id"], unique=False)
    op.create_table(
        "crews",
        sa.Column("id", sa.Uuid(as_uuid=False), nullable=False),
        sa.Column("farm_id", sa.Uuid(as_uuid=False), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("foreman_id", sa.Uuid(as_uuid=False), nullable=True),
        sa.Column("method", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["farm_id"], ["farms.id"], name=op.f("fk_crews_farm_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_crews")),
        sa.UniqueConstraint("farm_id", "name", name=op.f("uq_crews_farm_id_name")),
    )
    op.create_table(
        "import_drafts",
        sa.Column("token", sa.Text(), nullable=False),
        sa.Column("farm_id", sa.Uuid(as_uuid=False), nullable=False),
        sa.Column("made_at", Moment(), nullable=False),
        sa.Column("preview", sa.JSON(), nullable=False),
        sa.ForeignKeyConstraint(["farm_id"], ["farms.id"], name=op.f("fk_import_drafts_farm_id")),
        sa.PrimaryKeyConstraint("token", name=op.f("pk_import_drafts")),
    )
    op.create_table(
        "marks",
        sa.Column("farm_id", sa.Uuid(as_uuid=False), nullable=False),
        sa.Column("id", sa.Uuid(as_uuid=False), nullable=False),
        sa.Column("content_hash", sa.Text(), nullable=False),
        sa.Column("season_id", sa.Uuid(as_uuid=False), nullable=False),
        sa.Column("block_id", sa.Uuid(as_uuid=False), nullable=False),
        sa.Column("row", sa.Integer(), nullable=False),
        sa.Column("first", sa.Integer(), nullable=False),
        sa.Column("last", sa.Integer(), nullable=False),
        sa.Column("crew_id", sa.Uuid(as_uuid=False), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("device_day", sa.Date(), nullable=False),
        sa.Column("method", sa.Text(), nullable=False),
        sa.Column("recorder_id", sa.Uuid(as_uuid=False), nullable=True),
        sa.Column("return_id", sa.Uuid(as_uuid=False), nullable=True),
        sa.Column("device_id", sa.Text(), nullable=True),
        sa.Column("device_at", Moment(), nullable=False),
        sa.Column("corrected_at", Moment(), nullable=False),
        sa.Column("server_at", Moment(), nullable=False),
        sa.Column("set_aside", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(["farm_id"], ["farms.id"], name=op.f("fk_marks_farm_id")),
        sa.PrimaryKeyConstraint("farm_id", "id", "content_hash", name=op.f("pk_marks")),
    )
    op.create_index(
        "ix_marks_season_id_block_id_row", "marks", ["season_id", "block_id", "row"], unique=False
    )
    op.create_index("ix_marks_season_id_day", "marks", ["season_id", "day"], unique=False)
    op.create_table(
        "seasons",
        sa.Column("id", sa.Uuid(as_uuid=False), nullable=False),
        sa.Column("farm_id", sa.Uuid(as_uuid=False), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("opens_on", sa.Date(), nullable=False),
        sa.Column("must_finish_on", sa.Date(), nullable=False),
        sa.Column("closed", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(["farm_id"], ["farms.id"], name=op.f("fk_seasons_farm_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_seasons")),
        sa.UniqueConstraint("farm_id", "name", name=op.f("uq_seasons_farm_id_name")),
    )
    op.create_table(
        "varieties",
        sa.Column("id", sa.Uuid(as_uuid=False), nullable=False),
        sa.Column("farm_id", sa.Uuid(as_uuid=False), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("habit", sa.Text(), nullable=False),
        sa.Column("habit_source", sa.Text(), server_default="", nullable=False),
        sa.ForeignKeyConstraint(["farm_id"], ["farms.id"], name=op.f("fk_varieties_farm_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_varieties")),
        sa.UniqueConstraint("farm_id", "name", name=op.f("uq_varieties_farm_id_name")),
    )
    op.create_table(
        "withdrawals",
        sa.Column("farm_id", sa.Uuid(as_uuid=False), nullable=False),
        sa.Column("id", sa.Uuid(as_uuid=False), nullable=False),
        sa.Column("content_hash", sa.Text(), nullable=False),
        sa.Column("mark_id", sa.Uuid(as_uuid=False), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("recorder_id", sa.Uuid(as_uuid=False), nullable=True),
        sa.Column("device_id", sa.Text(), nullable=True),
        sa.Column("device_at", Moment(), nullable=False),
        sa.Column("corrected_at", Moment(), nullable=False),
        sa.Column("server_at", Moment(), nullable=False),
        sa.Column("set_aside", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(["farm_id"], ["farms.id"], name=op.f("fk_withdrawals_farm_id")),
        sa.PrimaryKeyConstraint("farm_id", "id", "content_hash", name=op.f("pk_withdrawals")),
    )
    op.create_index("ix_withdrawals_farm_id_mark_id", "withdrawals", ["farm_id", "mark_id"], unique=False)
    op.create_table(
        "blocks",
        sa.Column("key", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("id", sa.Uuid(as_uuid=False), nullable=False),
        sa.Column("farm_id", sa.Uuid(as_uuid=False), nullable=False),
        sa.Column("code", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("variety_id", sa.Uuid(as_uuid=False), nullable=True),
        sa.Column("outline", Geom("GEOMETRY"), nullable=True),
        sa.Column("planting", sa.JSON(), nullable=True),
        sa.Column("area_ha", sa.Float(precision=53), nullable=False),
        sa.Column("shape_version", sa.Text(), nullable=False),
        sa.Column("west", sa.Float(precision=53), nullable=False),
        sa.Column("south", sa.Float(precision=53), nullable=False),
        sa.Column("east", sa.Float(precision=53), nullable=False),
        sa.Column("north", sa.Float(precision=53), nullable=False),
        sa.ForeignKeyConstraint(["farm_id"], ["farms.id"], name=op.f("fk_blocks_farm_id")),
        sa.ForeignKeyConstraint(["variety_id"], ["varieties.id"], name=op.f("fk_blocks_variety_id")),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_blocks")),
        sa.UniqueConstraint("farm_id", "code", name=op.f("uq_blocks_farm_id_code")),
        sa.UniqueConstraint("id", name=op.f("uq_blocks_id")),
    )
    op.create_table(
        "people",
        sa.Column("id", sa.Uuid(as_uuid=False), nullable=False),
        sa.Column("farm_id", sa.Uuid(as_uuid=False), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("role", sa.Text(), nullable=False),
        sa.Column("crew_id", sa.Uuid(as_uuid=False), nullable=True),
        sa.ForeignKeyConstraint(["crew_id"], ["crews.id"], name=op.f("fk_people_crew_id")),
        sa.ForeignKeyConstraint(["farm_id"], ["farms.id"], name=op.f("fk_people_farm_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_people")),
        sa.UniqueConstraint("farm_id", "name", name=op.f("uq_people_farm_id_name")),
    )
    op.create_table(
        "closures",
        sa.Column("id", sa.Uuid(as_uuid=False), nullable=False),
        sa.Column("block_id", sa.Uuid(as_uuid=False), nullable=False),
        sa.Column("starts_at", Moment(), nullable=False),
        sa.Column("ends_at", Moment(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["block_id"], ["blocks.id"], name=op.f("fk_closures_block_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_closures")),
    )
    op.create_index("ix_closures_block_id", "closures", ["block_id"], unique=False)
    op.create_table(
        "places",
        sa.Column("block_id", sa.Uuid(as_uuid=False), nullable=False),
        sa.Column("row", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["block_id"], ["blocks.id"], name=op.f("fk_places_block_id")),
        sa.PrimaryKeyConstraint("block_id", "row", "position", name=op.f("pk_places")),
        comment="positions that are a blank or a pollinizer; every other one holds a tree",
    )
    op.create_table(
        "rows",
        sa.Column("key", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("block_id", sa.Uuid(as_uuid=False), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("line", Geom("MULTILINESTRING"), nullable=False),
        sa.Column("length_m", sa.Float(precision=53), nullable=False),
        sa.Column("end_offset_m", sa.Float(precision=53), nullable=False),
        sa.Column("part_positions", sa.JSON(), nullable=False),
        sa.Column("counted_positions", sa.Integer(), nullable=True),
        sa.Column(
            "positions",
            sa.Integer(),
            nullable=False,
            comment="the counted number where there is one, else the rule's",
        ),
        sa.Column("trees", sa.Integer(), nullable=False, comment="positions less blanks and pollinizers"),
        sa.Column("west", sa.Float(precision=53), nullable=False),
        sa.Column("south", sa.Float(precision=53), nullable=False),
        sa.Column("east", sa.Float(precision=53), nullable=False),
        sa.Column("north", sa.Float(precision=53), nullable=False),
        sa.ForeignKeyConstraint(["block_id"], ["blocks.id"], name=op.f("fk_rows_block_id")),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_rows")),
        sa.UniqueConstraint("block_id", "number", name=op.f("uq_rows_block_id_number")),
    )
    _index_places()


def _index_places() -> None:
    """Find rows and blocks by place: GiST on PostGIS, an R*Tree kept by triggers on SQLite."""
    if op.get_bind().dialect.name == "postgresql":
        op.create_index("ix_blocks_outline", "blocks", ["outline"], postgresql_using="gist")
        op.create_index("ix_rows_line", "rows", ["line"], postgresql_using="gist")
        return
    for table, boxes in (("blocks", "block_boxes"), ("rows", "row_boxes")):
        op.execute(f"CREATE VIRTUAL TABLE {boxes} USING rtree(key, west, east, south, north)")
        keep = f"INSERT INTO {boxes} VALUES (new.key, new.west, new.east, new.south, new.north);"
        drop = f"DELETE FROM {boxes} WHERE key = old.key;"
        op.execute(f"CREATE TRIGGER {boxes}_insert AFTER INSERT ON {table} BEGIN {keep} END")
        op.execute(f"CREATE TRIGGER {boxes}_update AFTER UPDATE ON {table} BEGIN {drop} {keep} END")
        op.execute(f"CREATE TRIGGER {boxes}_delete AFTER DELETE ON {table} BEGIN {drop} END")


def downgrade() -> None:
    raise StoreError("the tables only go forward", todo="Restore the copy made before the upgrade.")
