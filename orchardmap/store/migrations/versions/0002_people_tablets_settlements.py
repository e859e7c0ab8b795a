"""people, tablets, settlements."""

import sqlalchemy as sa
from alembic import op

from orchardmap.errors import StoreError
from orchardmap.store.types import Moment

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "accounts",
        sa.Column("id", sa.Uuid(as_uuid=False), nullable=False),
        sa.Column("login", sa.Text(), nullable=False, comment="in lower case"),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("password_hash", sa.Text(), nullable=True),
        sa.Column("makes_farms", sa.Boolean(), nullable=False),
        sa.Column("made_at", Moment(), nullable=False),
        sa.Column("disabled_at", Moment(), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_accounts")),
        sa.UniqueConstraint("login", name=op.f("uq_accounts_login")),
    )
    op.create_table(
        "audit_log",
        sa.Column("seq", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("farm_id", sa.Uuid(as_uuid=False), nullable=True),
        sa.Column("at", Moment(), nullable=False),
        sa.Column("actor", sa.Text(), nullable=False, comment="account:<id>, device:<id>, or the shell"),
        sa.Column("what", sa.Text(), nullable=False),
        sa.Column("subject", sa.Text(), nullable=False),
        sa.Column("detail", sa.JSON(), nullable=False),
        sa.Column("previous_hash", sa.Text(), nullable=False),
        sa.Column("hash", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("seq", name=op.f("pk_audit_log")),
        comment="appended in the transaction of the change it tells of; each entry holds the hash of the one before",
    )
    op.create_table(
        "failed_tries",
        sa.Column(
            "subject", sa.Text(), nullable=False, comment="what was tried: a login, a PIN on a device, ..."
        ),
        sa.Column("failures", sa.Integer(), nullable=False),
        sa.Column("last_at", Moment(), nullable=False),
        sa.Column("locked_until", Moment(), nullable=True),
        sa.PrimaryKeyConstraint("subject", name=op.f("pk_failed_tries")),
    )
    op.create_table(
        "crew_days",
        sa.Column("farm_id", sa.Uuid(as_uuid=False), nullable=False),
        sa.Column("id", sa.Uuid(as_uuid=False), nullable=False),
        sa.Column("content_hash", sa.Text(), nullable=False),
        sa.Column("season_id", sa.Uuid(as_uuid=False), nullable=False),
        sa.Column("crew_id", sa.Uuid(as_uuid=False), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("device_day", sa.Date(), nullable=False),
        sa.Column("people", sa.Integer(), nullable=False),
        sa.Column("hours", sa.Float(precision=53), nullable=False, comment="worked by each of them"),
        sa.Column("method", sa.Text(), nullable=False),
        sa.Column("recorder_id", sa.Uuid(as_uuid=False), nullable=True),
        sa.Column(
            "replaces_id",
            sa.Uuid(as_uuid=False),
            nullable=True,
            comment="the crew-day that this one corrects",
        ),
        sa.Column("device_id", sa.Text(), nullable=True),
        sa.Column("device_at", Moment(), nullable=False),
        sa.Column("corrected_at", Moment(), nullable=False),
        sa.Column("server_at", Moment(), nullable=False),
        sa.Column("set_aside", sa.Text(), nullable=True),
        sa.Column("handed_in_by", sa.Uuid(as_uuid=False), nullable=True, comment="device or account"),
        sa.Column(
            "for_crew_id",
            sa.Uuid(as_uuid=False),
            nullable=True,
            comment="the crew that its sender may speak for; null speaks for any",
        ),
        sa.Column(
            "extra", sa.JSON(), nullable=True, comment="what a tablet said beyond the columns, as sent"
        ),
        sa.ForeignKeyConstraint(["farm_id"], ["farms.id"], name=op.f("fk_crew_days_farm_id")),
        sa.PrimaryKeyConstraint("farm_id", "id", "content_hash", name=op.f("pk_crew_days")),
    )
    with op.batch_alter_table("crew_days", schema=None) as batch_op:
        batch_op.create_index(
            "ix_crew_days_season_id_crew_id_day", ["season_id", "crew_id", "day"], unique=False
        )

    op.create_table(
        "sessions",
        sa.Column("token_hash", sa.Text(), nullable=False),
        sa.Column("account_id", sa.Uuid(as_uuid=False), nullable=False),
        sa.Column("made_at", Moment(), nullable=False),
        sa.Column("last_seen_at", Moment(), nullable=False),
        sa.Column("expires_at", Moment(), nullable=False),
        sa.Column("ended_at", Moment(), nullable=True),
        sa.ForeignKeyConstraint(["account_id"], ["accounts.id"], name=op.f("fk_sessions_account_id")),
        sa.PrimaryKeyConstraint("token_hash", name=op.f("pk_sessions")),
    )
    with op.batch_alter_table("sessions", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_sessions_account_id"), ["account_id"], unique=False)

    op.create_table(
        "settlements",
        sa.Column("farm_id", sa.Uuid(as_uuid=False), nullable=False),
        sa.Column("id", sa.Uuid(as_uuid=False), nullable=False),
        sa.Column("number", sa.BigInteger(), nullable=False, comment="the farm's own order of settlements"),
        sa.Column("season_id", sa.Uuid(as_uuid=False), nullable=True),
        sa.Column("block_id", sa.Uuid(as_uuid=False), nullable=True),
        sa.Column("row", sa.Integer(), nullable=True),
        sa.Column("first", sa.Integer(), nullable=True),
        sa.Column("last", sa.Integer(), nullable=True),
        sa.Column("credited_crew_id", sa.Uuid(as_uuid=False), nullable=True),
        sa.Column("record_kind", sa.Text(), nullable=True),
        sa.Column("record_id", sa.Uuid(as_uuid=False), nullable=True),
        sa.Column(
            "content_hash",
            sa.Text(),
            nullable=True,
            comment="the version that counts from now on; null for none",
        ),
        sa.Column(
            "seen",
            sa.JSON(),
            nullable=False,
            comment="mark ids, or content hashes, that the manager looked at",
        ),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("settled_by", sa.Uuid(as_uuid=False), nullable=True),
        sa.Column("settled_at", Moment(), nullable=False),
        sa.ForeignKeyConstraint(["farm_id"], ["farms.id"], name=op.f("fk_settlements_farm_id")),
        sa.PrimaryKeyConstraint("farm_id", "id", name=op.f("pk_settlements")),
        sa.UniqueConstraint("farm_id", "number", name=op.f("uq_settlements_farm_id_number")),
        comment="of a stretch that two crews claim, or of a record that was set aside",
    )
    with op.batch_alter_table("settlements", schema=None) as batch_op:
        batch_op.create_index("ix_settlements_block_id_row", ["block_id", "row"], unique=False)
        batch_op.create_index("ix_settlements_record_id", ["record_id"], unique=False)

    op.create_table(
        "sign_in_links",
        sa.Column("code_hash", sa.Text(), nullable=False),
        sa.Column("account_id", sa.Uuid(as_uuid=False), nullable=False),
        sa.Column("made_at", Moment(), nullable=False),
        sa.Column("expires_at", Moment(), nullable=False),
        sa.Column("once", sa.Boolean(), nullable=False),
        sa.Column("used_at", Moment(), nullable=True),
        sa.ForeignKeyConstraint(["account_id"], ["accounts.id"], name=op.f("fk_sign_in_links_account_id")),
        sa.PrimaryKeyConstraint("code_hash", name=op.f("pk_sign_in_links")),
    )
    op.create_table(
        "pair_codes",
        sa.Column("code_hash", sa.Text(), nullable=False),
        sa.Column("farm_id", sa.Uuid(as_uuid=False), nullable=False),
        sa.Column("device_name", sa.Text(), nullable=False),
        sa.Column("role", sa.Text(), nullable=False),
        sa.Column("crew_id", sa.Uuid(as_uuid=False), nullable=True),
        sa.Column("made_by", sa.Uuid(as_uuid=False), nullable=True),
        sa.Column("made_at", Moment(), nullable=False),
        sa.Column("expires_at", Moment(), nullable=False),
        sa.Column("once", sa.Boolean(), nullable=False, comment="false only in the demo"),
        sa.Column("used_at", Moment(), nullable=True),
        sa.ForeignKeyConstraint(["crew_id"], ["crews.id"], name=op.f("fk_pair_codes_crew_id")),
        sa.ForeignKeyConstraint(["farm_id"], ["farms.id"], name=op.f("fk_pair_codes_farm_id")),
        sa.PrimaryKeyConstraint("code_hash", name=op.f("pk_pair_codes")),
    )
    op.create_table(
        "devices",
        sa.Column("id", sa.Uuid(as_uuid=False), nullable=False),
        sa.Column("farm_id", sa.Uuid(as_uuid=False), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("role", sa.Text(), nullable=False),
        sa.Column("crew_id", sa.Uuid(as_uuid=False), nullable=True),
        sa.Column("token_hash", sa.Text(), nullable=False),
        sa.Column("paired_at", Moment(), nullable=False),
        sa.Column("paired_by", sa.Uuid(as_uuid=False), nullable=True),
        sa.Column("last_seen_at", Moment(), nullable=False),
        sa.Column("revoked_at", Moment(), nullable=True),
        sa.Column("holder_id", sa.Uuid(as_uuid=False), nullable=True),
        sa.Column("holder_at", Moment(), nullable=True),
        sa.ForeignKeyConstraint(["crew_id"], ["crews.id"], name=op.f("fk_devices_crew_id")),
        sa.ForeignKeyConstraint(["farm_id"], ["farms.id"], name=op.f("fk_devices_farm_id")),
        sa.ForeignKeyConstraint(["holder_id"], ["people.id"], name=op.f("fk_devices_holder_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_devices")),
        sa.UniqueConstraint("token_hash", name=op.f("uq_devices_token_hash")),
    )
    with op.batch_alter_table("devices", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_devices_farm_id"), ["farm_id"], unique=False)

    op.create_table(
        "memberships",
        sa.Column("account_id", sa.Uuid(as_uuid=False), nullable=False),
        sa.Column("farm_id", sa.Uuid(as_uuid=False), nullable=False),
        sa.Column("role", sa.Text(), nullable=False),
        sa.Column("crew_id", sa.Uuid(as_uuid=False), nullable=True, comment="of a foreman"),
        sa.Column("person_id", sa.Uuid(as_uuid=False), nullable=True),
        sa.ForeignKeyConstraint(["account_id"], ["accounts.id"], name=op.f("fk_memberships_account_id")),
        sa.ForeignKeyConstraint(["crew_id"], ["crews.id"], name=op.f("fk_memberships_crew_id")),
        sa.ForeignKeyConstraint(["farm_id"], ["farms.id"], name=op.f("fk_memberships_farm_id")),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"], name=op.f("fk_memberships_person_id")),
        sa.PrimaryKeyConstraint("account_id", "farm_id", name=op.f("pk_memberships")),
    )
    op.create_table(
        "pins",
        sa.Column("person_id", sa.Uuid(as_uuid=False), nullable=False),
        sa.Column("pin_hash", sa.Text(), nullable=False),
        sa.Column("set_at", Moment(), nullable=False),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"], name=op.f("fk_pins_person_id")),
        sa.PrimaryKeyConstraint("person_id", name=op.f("pk_pins")),
    )
    with op.batch_alter_table("checks", schema=None) as batch_op:
        batch_op.add_column(
            sa.Column("handed_in_by", sa.Uuid(as_uuid=False), nullable=True, comment="device or account")
        )
        batch_op.add_column(
            sa.Column(
                "for_crew_id",
                sa.Uuid(as_uuid=False),
                nullable=True,
                comment="the crew that its sender may speak for; null speaks for any",
            )
        )
        batch_op.add_column(
            sa.Column(
                "extra", sa.JSON(), nullable=True, comment="what a tablet said beyond the columns, as sent"
            )
        )

    with op.batch_alter_table("marks", schema=None) as batch_op:
        batch_op.add_column(
            sa.Column("handed_in_by", sa.Uuid(as_uuid=False), nullable=True, comment="device or account")
        )
        batch_op.add_column(
            sa.Column(
                "for_crew_id",
                sa.Uuid(as_uuid=False),
                nullable=True,
                comment="the crew that its sender may speak for; null speaks for any",
            )
        )
        batch_op.add_column(
            sa.Column(
                "extra", sa.JSON(), nullable=True, comment="what a tablet said beyond the columns, as sent"
            )
        )

    with op.batch_alter_table("withdrawals", schema=None) as batch_op:
        batch_op.add_column(
            sa.Column("handed_in_by", sa.Uuid(as_uuid=False), nullable=True, comment="device or account")
        )
        batch_op.add_column(
            sa.Column(
                "for_crew_id",
                sa.Uuid(as_uuid=False),
                nullable=True,
                comment="the crew that its sender may speak for; null speaks for any",
            )
        )
        batch_op.add_column(
            sa.Column(
                "extra", sa.JSON(), nullable=True, comment="what a tablet said beyond the columns, as sent"
            )
        )


def downgrade() -> None:
    raise StoreError("the tables only go forward", todo="Restore the copy made before the upgrade.")
