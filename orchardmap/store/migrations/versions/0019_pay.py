"""pay: rules of a farm, hours by person, exported runs, the season's budget."""

import sqlalchemy as sa
from alembic import op

from orchardmap.errors import StoreError
from orchardmap.store.types import Moment

revision = "0019"
down_revision = "0018"
branch_labels = None
depends_on = None

Id = sa.Uuid(as_uuid=False)


def upgrade() -> None:
    _rules()
    _person_days()
    _runs()
    _budgets()


def _of(table: str, *names: str) -> list[sa.ForeignKeyConstraint]:
    """Return what ties columns such as farm_id to the tables that they name."""
    targets = {"person": "people"}
    return [
        sa.ForeignKeyConstraint(
            [f"{name}_id"], [f"{targets.get(name, name + 's')}.id"], name=op.f(f"fk_{table}_{name}_id")
        )
        for name in names
    ]


def _by(at: str, by: str) -> list[sa.Column[object]]:
    return [
        sa.Column(at, Moment(), nullable=False),
        sa.Column(by, Id, nullable=True, comment="account; null for the shell"),
    ]


def _rules() -> None:
    said = "rules by name; what is left out is not paid by"
    revision = "1, 2, 3 ...: who saves names the one that was read"
    op.create_table(
        "pay_rules",
        sa.Column("farm_id", Id, nullable=False),
        sa.Column("said", sa.JSON(), nullable=False, comment=said),
        sa.Column("revision", sa.Integer(), nullable=False, comment=revision),
        *_by("saved_at", "saved_by"),
        *_of("pay_rules", "farm"),
        sa.PrimaryKeyConstraint("farm_id", name=op.f("pk_pay_rules")),
    )


def _person_days() -> None:
    hours = "at work, rest left out; 0 takes an entry back"
    replaces = "the entry of that person, crew and day that it corrects"
    op.create_table(
        "person_days",
        sa.Column("id", Id, nullable=False),
        *(sa.Column(f"{name}_id", Id, nullable=False) for name in ("farm", "person", "crew")),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("hours", sa.Float(53), nullable=False, comment=hours),
        sa.Column("rest_minutes", sa.Integer(), nullable=False),
        sa.Column("replaces_id", Id, nullable=True, comment=replaces),
        *_by("typed_at", "typed_by"),
        *_of("person_days", "farm", "person", "crew"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_person_days")),
        sa.UniqueConstraint("replaces_id", name=op.f("uq_person_days_replaces_id")),
        comment="appended, never edited: of an entry and its corrections the one that nothing replaces stands",
    )
    op.create_index("ix_person_days_farm_id_day", "person_days", ["farm_id", "day"])


def _runs() -> None:
    sheet = "hours and floor tests that its sheets tell, as they were"
    digest = "SHA-256 of lines and sheet; the audit log holds it too"
    op.create_table(
        "pay_runs",
        sa.Column("id", Id, nullable=False),
        *(sa.Column(f"{name}_id", Id, nullable=False) for name in ("farm", "season")),
        sa.Column("number", sa.Integer(), nullable=False, comment="1, 2, 3 ... within its farm"),
        sa.Column("first_day", sa.Date(), nullable=False),
        sa.Column("last_day", sa.Date(), nullable=False),
        sa.Column("crew_id", Id, nullable=True, comment="null for all crews"),
        *_by("exported_at", "exported_by"),
        sa.Column("rules", sa.JSON(), nullable=False, comment="as they were then"),
        sa.Column("lines", sa.JSON(), nullable=False, comment="as they were paid, amounts as decimal text"),
        sa.Column("sheet", sa.JSON(), nullable=False, comment=sheet),
        sa.Column("digest", sa.Text(), nullable=False, comment=digest),
        *_of("pay_runs", "farm", "season", "crew"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_pay_runs")),
        sa.UniqueConstraint("farm_id", "number", name=op.f("uq_pay_runs_farm_id_number")),
        comment="exported and locked: appended, never edited",
    )
    op.create_index("ix_pay_runs_season_id", "pay_runs", ["season_id"])


def _budgets() -> None:
    amount = "money as decimal text, in the currency of the rules"
    op.create_table(
        "season_budgets",
        *(sa.Column(f"{name}_id", Id, nullable=False) for name in ("season", "farm")),
        sa.Column("amount", sa.Text(), nullable=False, comment=amount),
        sa.Column("is_per_tree", sa.Boolean(), nullable=False),
        *_by("saved_at", "saved_by"),
        *_of("season_budgets", "season", "farm"),
        sa.PrimaryKeyConstraint("season_id", name=op.f("pk_season_budgets")),
    )


def downgrade() -> None:
    raise StoreError("the tables only go forward", todo="Restore the copy made before the upgrade.")
