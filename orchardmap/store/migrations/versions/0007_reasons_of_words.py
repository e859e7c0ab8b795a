"""the reason that a manager's word on a record was given for."""

import sqlalchemy as sa
from alembic import op

from orchardmap.errors import StoreError

revision = "0007"
down_revision = "0006"
branch_labels = None
depends_on = None


def upgrade() -> None:
    # empty for words given before: they go on holding for whatever reason, as they did
    op.add_column(
        "settlements",
        sa.Column(
            "reason",
            sa.Text(),
            nullable=True,
            comment="why the record was set aside then; null holds for any",
        ),
    )


def downgrade() -> None:
    raise StoreError("the tables only go forward", todo="Restore the copy made before the upgrade.")
