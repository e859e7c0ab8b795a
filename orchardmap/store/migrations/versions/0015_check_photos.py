"""Photos of checked trees."""

import sqlalchemy as sa
from alembic import op

from orchardmap.errors import StoreError
from orchardmap.store.types import Moment

revision = "0015"
down_revision = "0014"
branch_labels = None
depends_on = None

Id = sa.Uuid(as_uuid=False)


def upgrade() -> None:
    op.create_table(
        "check_photos",
        sa.Column("id", Id, nullable=False),
        sa.Column("farm_id", Id, nullable=False),
        sa.Column("check_id", Id, nullable=False),
        sa.Column("taken_on", sa.Date(), nullable=False, comment="the day of the check"),
        sa.Column("jpeg", sa.LargeBinary(), nullable=False),
        sa.Column("width", sa.Integer(), nullable=False),
        sa.Column("height", sa.Integer(), nullable=False),
        sa.Column("sha256", sa.Text(), nullable=False, comment="of the JPEG, hex"),
        sa.Column("received_at", Moment(), nullable=False),
        sa.Column("handed_in_by", Id, nullable=True, comment="device or account"),
        sa.ForeignKeyConstraint(["farm_id"], ["farms.id"], name=op.f("fk_check_photos_farm_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_check_photos")),
    )
    op.create_index("ix_check_photos_check_id", "check_photos", ["check_id"])


def downgrade() -> None:
    raise StoreError("the tables only go forward", todo="Restore the copy made before the upgrade.")
