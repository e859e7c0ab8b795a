"""all who handed a record in, not the first alone."""

import sqlalchemy as sa
from alembic import op

from orchardmap.errors import StoreError
from orchardmap.store.types import Moment

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "other_senders",
        sa.Column("farm_id", sa.Uuid(as_uuid=False), nullable=False),
        sa.Column("record_kind", sa.Text(), nullable=False),
        sa.Column("record_id", sa.Uuid(as_uuid=False), nullable=False),
        sa.Column("content_hash", sa.Text(), nullable=False),
        sa.Column("speaks_for", sa.Text(), nullable=False, comment="a crew's id, or any"),
        sa.Column("handed_in_by", sa.Uuid(as_uuid=False), nullable=True, comment="device or account"),
        sa.Column("server_at", Moment(), nullable=False),
        sa.ForeignKeyConstraint(["farm_id"], ["farms.id"], name=op.f("fk_other_senders_farm_id")),
        sa.PrimaryKeyConstraint(
            "farm_id", "record_kind", "record_id", "content_hash", "speaks_for", name=op.f("pk_other_senders")
        ),
        comment="of records handed in again by a sender of another scope than the first: a set that only grows",
    )
    # withdrawals that never held, because another crew's tablet sent them, were listed nowhere
    op.execute(
        "UPDATE withdrawals SET set_aside = 'other_crew' WHERE set_aside IS NULL AND for_crew_id IS NOT NULL AND EXISTS ("
        "SELECT 1 FROM marks WHERE marks.farm_id = withdrawals.farm_id AND marks.id = withdrawals.mark_id "
        "AND marks.crew_id <> withdrawals.for_crew_id)"
    )


def downgrade() -> None:
    raise StoreError("the tables only go forward", todo="Restore the copy made before the upgrade.")
