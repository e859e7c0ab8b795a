"""briefs, their drafts and their published versions; checks name the version they were judged by."""

import sqlalchemy as sa
from alembic import op

from orchardmap.errors import StoreError
from orchardmap.store.types import Moment

revision = "0008"
down_revision = "0007"
branch_labels = None
depends_on = None

Id = sa.Uuid(as_uuid=False)


def upgrade() -> None:
    _make_briefs()
    _make_versions()
    op.add_column("checks", sa.Column("brief_id", Id, nullable=True))
    said = "that it was judged by, known here or not"
    op.add_column("checks", sa.Column("brief_version", sa.Integer(), nullable=True, comment=said))


def _make_briefs() -> None:
    op.create_table(
        "briefs",
        sa.Column("id", Id, nullable=False),
        sa.Column("farm_id", Id, nullable=False),
        sa.Column("season_id", Id, nullable=False),
        sa.Column("variety_id", Id, nullable=True),
        sa.Column("block_id", Id, nullable=True),
        sa.Column("draft", sa.Text(), nullable=False, comment="content as JSON, by pruning.brief_json"),
        sa.Column(
            "revision", sa.Integer(), nullable=False, comment="of the draft: raised whenever it is saved"
        ),
        sa.Column("saved_at", Moment(), nullable=False),
        sa.Column("saved_by", Id, nullable=True, comment="account; null for the shell"),
        sa.CheckConstraint("(variety_id IS NULL) <> (block_id IS NULL)", name="ck_briefs_subject"),
        *(
            sa.ForeignKeyConstraint([f"{name}_id"], [f"{table}.id"], name=op.f(f"fk_briefs_{name}_id"))
            for name, table in (
                ("farm", "farms"),
                ("season", "seasons"),
                ("variety", "varieties"),
                ("block", "blocks"),
            )
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_briefs")),
        sa.UniqueConstraint("season_id", "variety_id", name=op.f("uq_briefs_season_id_variety_id")),
        sa.UniqueConstraint("season_id", "block_id", name=op.f("uq_briefs_season_id_block_id")),
    )


def _make_versions() -> None:
    op.create_table(
        "brief_versions",
        sa.Column("brief_id", Id, nullable=False),
        sa.Column("version", sa.Integer(), nullable=False, comment="1, 2, 3 ... within its brief"),
        sa.Column("content", sa.Text(), nullable=False, comment="as JSON, by pruning.brief_json"),
        sa.Column("published_at", Moment(), nullable=False),
        sa.Column("published_by", Id, nullable=True, comment="account; null for the shell"),
        sa.ForeignKeyConstraint(["brief_id"], ["briefs.id"], name=op.f("fk_brief_versions_brief_id")),
        sa.PrimaryKeyConstraint("brief_id", "version", name=op.f("pk_brief_versions")),
    )


def downgrade() -> None:
    raise StoreError("the tables only go forward", todo="Restore the copy made before the upgrade.")
