"""when a session's password was last given."""

import sqlalchemy as sa
from alembic import op

from orchardmap.errors import StoreError
from orchardmap.store.types import Moment

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    # empty for the sessions that run: each is asked for its password once
    op.add_column(
        "sessions",
        sa.Column("confirmed_at", Moment(), nullable=True, comment="when the password was last given in it"),
    )


def downgrade() -> None:
    raise StoreError("the tables only go forward", todo="Restore the copy made before the upgrade.")
