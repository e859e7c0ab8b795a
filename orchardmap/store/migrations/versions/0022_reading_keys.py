"""Keys by which programs read a farm's features."""

import sqlalchemy as sa
from alembic import op

from orchardmap.errors import StoreError
from orchardmap.store.types import Moment

revision = "0022"
down_revision = "0021"
branch_labels = None
depends_on = None

Id = sa.Uuid(as_uuid=False)


def upgrade() -> None:
    op.create_table(
        "reading_keys",
        sa.Column("id", Id, nullable=False),
        sa.Column("farm_id", Id, nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column(
            "sight",
            sa.Text(),
            nullable=False,
            comment="all that an adviser reads, or the work without checks",
        ),
        sa.Column("key_hash", sa.Text(), nullable=False),
        sa.Column("made_at", Moment(), nullable=False),
        sa.Column("made_by", Id, nullable=True, comment="account; null where the shell made it"),
        sa.Column("expires_at", Moment(), nullable=False),
        sa.Column("last_used_at", Moment(), nullable=True, comment="to an hour"),
        sa.Column("ended_at", Moment(), nullable=True),
        sa.ForeignKeyConstraint(["farm_id"], ["farms.id"], name=op.f("fk_reading_keys_farm_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_reading_keys")),
        sa.UniqueConstraint("key_hash", name=op.f("uq_reading_keys_key_hash")),
        comment="each lets a program read one farm's features; only hashes are kept",
    )
    op.create_index(op.f("ix_reading_keys_farm_id"), "reading_keys", ["farm_id"])


def downgrade() -> None:
    raise StoreError("the tables only go forward", todo="Restore the copy made before the upgrade.")
