"""settings of farms, what varieties lean to, the slope of blocks, power lines."""

import sqlalchemy as sa
from alembic import op

from orchardmap.errors import StoreError
from orchardmap.store.types import Geom

revision = "0009"
down_revision = "0008"
branch_labels = None
depends_on = None


def upgrade() -> None:
    said = "settings as JSON by name; others have their first guess"
    op.create_table(
        "farm_settings",
        sa.Column("farm_id", sa.Uuid(as_uuid=False), nullable=False),
        sa.Column("said", sa.Text(), nullable=False, comment=said),
        sa.ForeignKeyConstraint(["farm_id"], ["farms.id"], name=op.f("fk_farm_settings_farm_id")),
        sa.PrimaryKeyConstraint("farm_id", name=op.f("pk_farm_settings")),
    )
    for leaning in ("is_biennial", "is_canker_prone"):
        op.add_column(
            "varieties", sa.Column(leaning, sa.Boolean(), nullable=False, server_default=sa.false())
        )
    _make_lines()
    slope = "rise over run, at its steepest; null where nobody said"
    op.add_column("blocks", sa.Column("slope_percent", sa.Float(53), nullable=True, comment=slope))


def _make_lines() -> None:
    op.create_table(
        "hazard_lines",
        sa.Column("id", sa.Uuid(as_uuid=False), nullable=False),
        sa.Column("farm_id", sa.Uuid(as_uuid=False), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("kv", sa.Float(53), nullable=False, comment="voltage to ground"),
        sa.Column("line", Geom("MULTILINESTRING"), nullable=False),
        sa.ForeignKeyConstraint(["farm_id"], ["farms.id"], name=op.f("fk_hazard_lines_farm_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_hazard_lines")),
    )
    op.create_index("ix_hazard_lines_farm_id", "hazard_lines", ["farm_id"])


def downgrade() -> None:
    raise StoreError("the tables only go forward", todo="Restore the copy made before the upgrade.")
