"""what a session was last confirmed by."""

import sqlalchemy as sa
from alembic import op

from orchardmap.errors import StoreError

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None


def upgrade() -> None:
    # empty for the sessions that run: nobody knows it of them, and neither a link nor the password is taken for it
    op.add_column(
        "sessions",
        sa.Column(
            "confirmed_by", sa.Text(), nullable=True, comment="password, or the way in that stood for it"
        ),
    )


def downgrade() -> None:
    raise StoreError("the tables only go forward", todo="Restore the copy made before the upgrade.")
