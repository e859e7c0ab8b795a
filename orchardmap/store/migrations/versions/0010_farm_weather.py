"""the weather that a farm loads, for advice on when to cut."""

import sqlalchemy as sa
from alembic import op

from orchardmap.errors import StoreError
from orchardmap.store.types import Moment

revision = "0010"
down_revision = "0009"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "farm_weather",
        sa.Column("farm_id", sa.Uuid(as_uuid=False), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("tmin_c", sa.Float(53), nullable=False),
        sa.Column("tmax_c", sa.Float(53), nullable=False),
        sa.Column("rain_mm", sa.Float(53), nullable=True, comment="null where rain was not told"),
        sa.Column(
            "loaded_at",
            Moment(),
            nullable=False,
            comment="a day not over by then is kept as it was forecast",
        ),
        sa.ForeignKeyConstraint(["farm_id"], ["farms.id"], name=op.f("fk_farm_weather_farm_id")),
        sa.PrimaryKeyConstraint("farm_id", "day", name=op.f("pk_farm_weather")),
    )


def downgrade() -> None:
    raise StoreError("the tables only go forward", todo="Restore the copy made before the upgrade.")
