"""counts of sample trees."""

import sqlalchemy as sa
from alembic import op

from orchardmap.errors import StoreError
from orchardmap.store.types import Moment

revision = "0011"
down_revision = "0010"
branch_labels = None
depends_on = None

Id = sa.Uuid(as_uuid=False)


def upgrade() -> None:
    seed = "of the draw that proposed the tree; null for one that was chosen"
    speaks_for = "the crew that its sender may speak for; null speaks for any"
    op.create_table(
        "tree_counts",
        sa.Column("farm_id", Id, nullable=False),
        sa.Column("id", Id, nullable=False),
        sa.Column("content_hash", sa.Text(), nullable=False),
        sa.Column("season_id", Id, nullable=False),
        sa.Column("block_id", Id, nullable=False),
        sa.Column("row", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("what", sa.Text(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=True, comment="null takes back what it replaces"),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("device_day", sa.Date(), nullable=False),
        sa.Column("recorder_id", Id, nullable=True),
        sa.Column("seed", sa.Integer(), nullable=True, comment=seed),
        sa.Column(
            "replaces_id", Id, nullable=True, comment="the count of the same tree that this one corrects"
        ),
        sa.Column("device_id", sa.Text(), nullable=True),
        sa.Column("device_at", Moment(), nullable=False),
        sa.Column("corrected_at", Moment(), nullable=False),
        sa.Column("server_at", Moment(), nullable=False),
        sa.Column("set_aside", sa.Text(), nullable=True),
        sa.Column("handed_in_by", Id, nullable=True, comment="device or account"),
        sa.Column("for_crew_id", Id, nullable=True, comment=speaks_for),
        sa.Column(
            "extra", sa.JSON(), nullable=True, comment="what a tablet said beyond the columns, as sent"
        ),
        sa.ForeignKeyConstraint(["farm_id"], ["farms.id"], name=op.f("fk_tree_counts_farm_id")),
        sa.PrimaryKeyConstraint("farm_id", "id", "content_hash", name=op.f("pk_tree_counts")),
    )
    op.create_index("ix_tree_counts_block_id_season_id", "tree_counts", ["block_id", "season_id"])


def downgrade() -> None:
    raise StoreError("the tables only go forward", todo="Restore the copy made before the upgrade.")
