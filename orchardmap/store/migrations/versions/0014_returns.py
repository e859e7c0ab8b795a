"""returns: what a crew must go over again."""

import sqlalchemy as sa
from alembic import op

from orchardmap.errors import StoreError
from orchardmap.store.types import Moment

revision = "0014"
down_revision = "0013"
branch_labels = None
depends_on = None

Id = sa.Uuid(as_uuid=False)


def upgrade() -> None:
    of = "the weak area that it came from, as it was told then"
    number = "1, 2, 3 ... within its farm and season"
    op.create_table(
        "returns",
        sa.Column("id", Id, nullable=False),
        sa.Column("farm_id", Id, nullable=False),
        sa.Column("season_id", Id, nullable=False),
        sa.Column("number", sa.Integer(), nullable=False, comment=number),
        sa.Column("block_id", Id, nullable=False),
        sa.Column("crew_id", Id, nullable=False),
        sa.Column("due_on", sa.Date(), nullable=False),
        sa.Column("made_on", sa.Date(), nullable=False, comment="in the farm's zone"),
        sa.Column("made_at", Moment(), nullable=False),
        sa.Column("made_by", Id, nullable=True, comment="account or tablet; null for the shell"),
        sa.Column("lot_id", Id, nullable=True, comment="the lot that was sent back"),
        sa.Column("area", sa.JSON(), nullable=True, comment=of),
        sa.Column("points", sa.JSON(), nullable=False, comment="keys of the brief's points that failed"),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("cancelled_at", Moment(), nullable=True),
        sa.Column("cancelled_by", Id, nullable=True, comment="account or tablet; null for the shell"),
        sa.Column("cancel_reason", sa.Text(), nullable=False, server_default=""),
        *(
            sa.ForeignKeyConstraint([f"{name}_id"], [f"{name}s.id"], name=op.f(f"fk_returns_{name}_id"))
            for name in ("farm", "season", "block", "crew")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_returns")),
        sa.UniqueConstraint(
            "farm_id", "season_id", "number", name=op.f("uq_returns_farm_id_season_id_number")
        ),
    )
    op.create_index("ix_returns_season_id_block_id", "returns", ["season_id", "block_id"])
    op.create_table(
        "return_stretches",
        sa.Column("return_id", Id, nullable=False),
        sa.Column("row", sa.Integer(), nullable=False),
        sa.Column("first", sa.Integer(), nullable=False),
        sa.Column("last", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["return_id"], ["returns.id"], name=op.f("fk_return_stretches_return_id")),
        sa.PrimaryKeyConstraint("return_id", "row", "first", name=op.f("pk_return_stretches")),
    )


def downgrade() -> None:
    raise StoreError("the tables only go forward", todo="Restore the copy made before the upgrade.")
