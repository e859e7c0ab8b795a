"""lots: trees judged together by a draw of some of them."""

import sqlalchemy as sa
from alembic import op

from orchardmap.errors import StoreError
from orchardmap.store.types import Moment

revision = "0013"
down_revision = "0012"
branch_labels = None
depends_on = None

Id = sa.Uuid(as_uuid=False)


def upgrade() -> None:
    op.create_table(
        "lots",
        sa.Column("id", Id, nullable=False),
        *_whose(),
        *_drawn(),
        sa.Column("return_id", Id, nullable=True, comment="whose trees it judges anew; null for a first lot"),
        sa.Column("cancelled_at", Moment(), nullable=True),
        sa.Column("cancelled_by", Id, nullable=True, comment="account; null for the shell"),
        sa.Column("cancel_reason", sa.Text(), nullable=True),
        *(
            sa.ForeignKeyConstraint([f"{name}_id"], [f"{name}s.id"], name=op.f(f"fk_lots_{name}_id"))
            for name in ("farm", "season", "block", "crew")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_lots")),
        sa.UniqueConstraint("farm_id", "season_id", "number", name=op.f("uq_lots_farm_id_season_id_number")),
    )
    op.create_index("ix_lots_season_id_block_id", "lots", ["season_id", "block_id"])


def _whose() -> list[sa.Column[object]]:
    """Return what says whose trees a lot holds, and of when."""
    return [
        sa.Column("farm_id", Id, nullable=False),
        sa.Column("season_id", Id, nullable=False),
        sa.Column("number", sa.Integer(), nullable=False, comment="1, 2, 3 ... within its farm and season"),
        sa.Column("block_id", Id, nullable=False),
        sa.Column("crew_id", Id, nullable=True, comment="null for the trees of the whole block"),
        sa.Column("opened_on", sa.Date(), nullable=False, comment="in the farm's zone"),
        sa.Column("opened_at", Moment(), nullable=False),
        sa.Column("opened_by", Id, nullable=True, comment="account; null for the shell"),
        sa.Column("from_day", sa.Date(), nullable=True, comment="first day of the work that it holds"),
        sa.Column("until_day", sa.Date(), nullable=True, comment="last day of it"),
    ]


def _drawn() -> list[sa.Column[object]]:
    """Return what the draw was made from, and what it drew."""
    runs = "[[row, first, last], ...]: runs of its trees"
    holes = "[[row, position], ...]: in those runs, no trees of it"
    return [
        sa.Column(
            "brief_id",
            Id,
            nullable=True,
            comment="of the version in force at the draw; null where there was none",
        ),
        sa.Column("brief_version", sa.Integer(), nullable=True),
        sa.Column("plan", sa.JSON(), nullable=False, comment="what the sizes were worked out from"),
        sa.Column("n", sa.Integer(), nullable=False, comment="trees to check, without the extra ones"),
        sa.Column("accept", sa.Integer(), nullable=False, comment="most faulty trees of an accepted lot"),
        sa.Column("reject", sa.Integer(), nullable=False, comment="fewest faulty trees of one sent back"),
        sa.Column("seed", sa.Integer(), nullable=False, comment="of the draw"),
        sa.Column("eligible", sa.JSON(), nullable=False, comment=runs),
        sa.Column("holes", sa.JSON(), nullable=False, comment=holes),
        sa.Column("lot_trees", sa.Integer(), nullable=False),
        sa.Column("trees", sa.JSON(), nullable=False, comment="[[row, position, is extra], ...] as drawn"),
    ]


def downgrade() -> None:
    raise StoreError("the tables only go forward", todo="Restore the copy made before the upgrade.")
