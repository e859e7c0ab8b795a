"""checks say their lot, what was found point by point, and whether they are a second look."""

import sqlalchemy as sa
from alembic import op

from orchardmap.errors import StoreError

revision = "0012"
down_revision = "0011"
branch_labels = None
depends_on = None

Id = sa.Uuid(as_uuid=False)


def upgrade() -> None:
    found = "[[point key, yes or no or number], ...]"
    second = "true for a second look, which judges no lot"
    op.add_column("checks", sa.Column("lot_id", Id, nullable=True, comment="of the lot that it was made for"))
    op.add_column("checks", sa.Column("findings", sa.JSON(), nullable=True, comment=found))
    op.add_column("checks", sa.Column("second", sa.Boolean(), nullable=True, comment=second))


def downgrade() -> None:
    raise StoreError("the tables only go forward", todo="Restore the copy made before the upgrade.")
