"""tracks, gates, water and sheds of a farm."""

import sqlalchemy as sa
from alembic import op

from orchardmap.errors import StoreError
from orchardmap.store.types import Geom

revision = "0020"
down_revision = "0019"
branch_labels = None
depends_on = None


def upgrade() -> None:
    kinds, names = "track, gate, water, shed or other", "empty where it has none"
    op.create_table(
        "farm_features",
        sa.Column("id", sa.Uuid(as_uuid=False), nullable=False),
        sa.Column("farm_id", sa.Uuid(as_uuid=False), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False, comment=kinds),
        sa.Column("name", sa.Text(), nullable=False, comment=names),
        sa.Column("shape", Geom("GEOMETRY"), nullable=False),
        sa.ForeignKeyConstraint(["farm_id"], ["farms.id"], name=op.f("fk_farm_features_farm_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_farm_features")),
    )
    op.create_index("ix_farm_features_farm_id", "farm_features", ["farm_id"])


def downgrade() -> None:
    raise StoreError("the tables only go forward", todo="Restore the copy made before the upgrade.")
