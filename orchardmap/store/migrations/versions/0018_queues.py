"""queues of crews by season, and what is said of blocks for the plan."""

import sqlalchemy as sa
from alembic import op

from orchardmap.errors import StoreError

revision = "0018"
down_revision = "0017"
branch_labels = None
depends_on = None

Id = sa.Uuid(as_uuid=False)


def _season(table: str) -> sa.ForeignKeyConstraint:
    return sa.ForeignKeyConstraint(["season_id"], ["seasons.id"], name=op.f(f"fk_{table}_season_id"))


def _block(table: str) -> sa.ForeignKeyConstraint:
    return sa.ForeignKeyConstraint(["block_id"], ["blocks.id"], name=op.f(f"fk_{table}_block_id"))


def upgrade() -> None:
    raised, own = "raised by every saving", "tablets show their crew's blocks before all others"
    op.create_table(
        "queue_plans",
        sa.Column("season_id", Id, nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False, comment=raised),
        sa.Column("own_first", sa.Boolean(), nullable=False, comment=own),
        _season("queue_plans"),
        sa.PrimaryKeyConstraint("season_id", name=op.f("pk_queue_plans")),
    )
    op.create_table(
        "queue_blocks",
        sa.Column("season_id", Id, nullable=False),
        sa.Column("block_id", Id, nullable=False),
        sa.Column("crew_id", Id, nullable=True, comment="null where it is given to nobody"),
        sa.Column("place", sa.Integer(), nullable=False, comment="0, 1, 2 ... in its queue"),
        _season("queue_blocks"),
        _block("queue_blocks"),
        sa.ForeignKeyConstraint(["crew_id"], ["crews.id"], name=op.f("fk_queue_blocks_crew_id")),
        sa.PrimaryKeyConstraint("season_id", "block_id", name=op.f("pk_queue_blocks")),
    )
    op.create_table(
        "block_terms",
        sa.Column("season_id", Id, nullable=False),
        sa.Column("block_id", Id, nullable=False),
        sa.Column("must_finish_on", sa.Date(), nullable=True, comment="null where the season's day holds"),
        sa.Column("platform_fits", sa.Boolean(), nullable=True, comment="null where nobody said"),
        _season("block_terms"),
        _block("block_terms"),
        sa.PrimaryKeyConstraint("season_id", "block_id", name=op.f("pk_block_terms")),
    )


def downgrade() -> None:
    raise StoreError("the tables only go forward", todo="Restore the copy made before the upgrade.")
