"""earlier ends of closures."""

import sqlalchemy as sa
from alembic import op

from orchardmap.errors import StoreError
from orchardmap.store.types import Moment

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "closure_ends",
        sa.Column("closure_id", sa.Uuid(as_uuid=False), nullable=False),
        sa.Column("ends_at", Moment(), nullable=False),
        sa.Column("said_by", sa.Text(), nullable=False, comment="as the audit log names it"),
        sa.Column("said_at", Moment(), nullable=False),
        sa.ForeignKeyConstraint(["closure_id"], ["closures.id"], name=op.f("fk_closure_ends_closure_id")),
        sa.PrimaryKeyConstraint("closure_id", "ends_at", name=op.f("pk_closure_ends")),
        comment="earlier ends said of closures, each earlier than the one before; at its start it is taken back",
    )


def downgrade() -> None:
    raise StoreError("the tables only go forward", todo="Restore the copy made before the upgrade.")
