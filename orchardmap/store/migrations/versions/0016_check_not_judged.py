"""checks say why a drawn tree could not be judged, and lots which trees stand in for such."""

import sqlalchemy as sa
from alembic import op

from orchardmap.errors import StoreError

revision = "0016"
down_revision = "0015"
branch_labels = None
depends_on = None


def upgrade() -> None:
    why, none = "why a lot's tree could not be judged", "null where the tree could not be judged"
    with op.batch_alter_table("checks") as checks:
        checks.add_column(sa.Column("not_judged", sa.Text(), nullable=True, comment=why))
        checks.alter_column("verdict", existing_type=sa.Text(), nullable=True, comment=none)
    drawn_on = "[[row, position], ...] as drawn on; null before there were such"
    op.add_column("lots", sa.Column("reserve", sa.JSON(), nullable=True, comment=drawn_on))


def downgrade() -> None:
    raise StoreError("the tables only go forward", todo="Restore the copy made before the upgrade.")
