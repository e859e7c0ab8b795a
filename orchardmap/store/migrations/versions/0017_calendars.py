"""calendars of seasons, their days off, people of crews by spans of days."""

import sqlalchemy as sa
from alembic import op

from orchardmap.errors import StoreError

revision = "0017"
down_revision = "0016"
branch_labels = None
depends_on = None


def upgrade() -> None:
    weekdays, pace = (
        "Monday to Sunday, 1 for a day that is worked",
        "trees per person-hour; null where nobody said",
    )
    lost = "of working days, January to December"
    op.create_table(
        "season_calendars",
        sa.Column("season_id", sa.Uuid(as_uuid=False), nullable=False),
        sa.Column("weekdays", sa.Text(), nullable=False, comment=weekdays),
        sa.Column("hours_per_day", sa.Float(53), nullable=False),
        sa.Column("lost_percent", sa.JSON(), nullable=False, comment=lost),
        sa.Column("expected_pace", sa.Float(53), nullable=True, comment=pace),
        sa.Column("respects_daylight", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(["season_id"], ["seasons.id"], name=op.f("fk_season_calendars_season_id")),
        sa.PrimaryKeyConstraint("season_id", name=op.f("pk_season_calendars")),
    )
    op.create_table(
        "days_off",
        sa.Column("season_id", sa.Uuid(as_uuid=False), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["season_id"], ["seasons.id"], name=op.f("fk_days_off_season_id")),
        sa.PrimaryKeyConstraint("season_id", "day", name=op.f("pk_days_off")),
    )
    op.create_table(
        "strengths",
        sa.Column("crew_id", sa.Uuid(as_uuid=False), nullable=False),
        sa.Column("first", sa.Date(), nullable=False),
        sa.Column("last", sa.Date(), nullable=False),
        sa.Column("people", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["crew_id"], ["crews.id"], name=op.f("fk_strengths_crew_id")),
        sa.PrimaryKeyConstraint("crew_id", "first", name=op.f("pk_strengths")),
        comment="people of a crew in a span of days, both ends among them; spans of a crew never meet",
    )


def downgrade() -> None:
    raise StoreError("the tables only go forward", todo="Restore the copy made before the upgrade.")
