"""Changes of the ground that were taken, each with its step back."""

import sqlalchemy as sa
from alembic import op

from orchardmap.errors import StoreError
from orchardmap.store.types import Moment

revision = "0021"
down_revision = "0020"
branch_labels = None
depends_on = None

Id = sa.Uuid(as_uuid=False)


def upgrade() -> None:
    ident = "made where the change was made: a repeat is answered as the first"
    op.create_table(
        "ground_changes",
        sa.Column("id", Id, nullable=False, comment=ident),
        sa.Column("farm_id", Id, nullable=False),
        sa.Column("number", sa.Integer(), nullable=False, comment="1, 2, 3 ... within its farm"),
        sa.Column("made_at", Moment(), nullable=False),
        sa.Column("made_by", sa.Text(), nullable=False, comment="as the audit log names it"),
        sa.Column(
            "versions",
            sa.JSON(),
            nullable=False,
            comment="{block id: version after it, null of one that left}",
        ),
        sa.Column(
            "told", sa.JSON(), nullable=False, comment="blocks by code, rows and trees before and after"
        ),
        sa.Column("back", sa.JSON(), nullable=False, comment="the step back: rows and blocks as they were"),
        sa.Column("undoes", Id, nullable=True, comment="the change that it took back"),
        sa.ForeignKeyConstraint(["farm_id"], ["farms.id"], name=op.f("fk_ground_changes_farm_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_ground_changes")),
        sa.UniqueConstraint("farm_id", "number", name=op.f("uq_ground_changes_farm_id_number")),
    )


def downgrade() -> None:
    raise StoreError("the tables only go forward", todo="Restore the copy made before the upgrade.")
