"""The tables of who is who: accounts and their roles, sessions, tablets, reading keys, PINs, failed tries, the audit log."""

from sqlalchemy import JSON, BigInteger, Boolean, Column, ForeignKey, Integer, Table, Text

from orchardmap.store.tables import metadata
from orchardmap.store.types import Moment, StoredId

__all__ = [
    "accounts", "audit_log", "devices", "failed_tries", "memberships", "pair_codes", "pins", "reading_keys", "sessions", "sign_in_links",
]  # fmt: skip

Id = StoredId()
Key = BigInteger().with_variant(Integer, "sqlite")  # SQLite's rowid must be declared INTEGER

accounts = Table(
    "accounts",
    metadata,
    Column("id", Id, primary_key=True),
    Column("login", Text, nullable=False, unique=True, comment="in lower case"),
    Column("name", Text, nullable=False),
    Column("password_hash", Text),
    Column("makes_farms", Boolean, nullable=False),
    Column("made_at", Moment, nullable=False),
    Column("disabled_at", Moment),
)

memberships = Table(
    "memberships",
    metadata,
    Column("account_id", Id, ForeignKey("accounts.id"), primary_key=True),
    Column("farm_id", Id, ForeignKey("farms.id"), primary_key=True),
    Column("role", Text, nullable=False),
    Column("crew_id", Id, ForeignKey("crews.id"), comment="of a foreman"),
    Column("person_id", Id, ForeignKey("people.id")),
)

sessions = Table(
    "sessions",
    metadata,
    Column("token_hash", Text, primary_key=True),
    Column("account_id", Id, ForeignKey("accounts.id"), nullable=False, index=True),
    Column("made_at", Moment, nullable=False),
    Column("last_seen_at", Moment, nullable=False),
    Column("expires_at", Moment, nullable=False),
    Column("ended_at", Moment),
    Column("confirmed_at", Moment, comment="when the password was last given in it"),
    Column("confirmed_by", Text, comment="password, or the way in that stood for it"),
)

sign_in_links = Table(
    "sign_in_links",
    metadata,
    Column("code_hash", Text, primary_key=True),
    Column("account_id", Id, ForeignKey("accounts.id"), nullable=False),
    Column("made_at", Moment, nullable=False),
    Column("expires_at", Moment, nullable=False),
    Column("once", Boolean, nullable=False),
    Column("used_at", Moment),
)

devices = Table(
    "devices",
    metadata,
    Column("id", Id, primary_key=True),
    Column("farm_id", Id, ForeignKey("farms.id"), nullable=False, index=True),
    Column("name", Text, nullable=False),
    Column("role", Text, nullable=False),
    Column("crew_id", Id, ForeignKey("crews.id")),
    Column("token_hash", Text, nullable=False, unique=True),
    Column("paired_at", Moment, nullable=False),
    Column("paired_by", Id),
    Column("last_seen_at", Moment, nullable=False),
    Column("revoked_at", Moment),
    Column("holder_id", Id, ForeignKey("people.id")),
    Column("holder_at", Moment),
)

pair_codes = Table(
    "pair_codes",
    metadata,
    Column("code_hash", Text, primary_key=True),
    Column("farm_id", Id, ForeignKey("farms.id"), nullable=False),
    Column("device_name", Text, nullable=False),
    Column("role", Text, nullable=False),
    Column("crew_id", Id, ForeignKey("crews.id")),
    Column("made_by", Id),
    Column("made_at", Moment, nullable=False),
    Column("expires_at", Moment, nullable=False),
    Column("once", Boolean, nullable=False, comment="false only in the demo"),
    Column("used_at", Moment),
)

reading_keys = Table(
    "reading_keys",
    metadata,
    Column("id", Id, primary_key=True),
    Column("farm_id", Id, ForeignKey("farms.id"), nullable=False, index=True),
    Column("name", Text, nullable=False),
    Column("sight", Text, nullable=False, comment="all that an adviser reads, or the work without checks"),
    Column("key_hash", Text, nullable=False, unique=True),
    Column("made_at", Moment, nullable=False),
    Column("made_by", Id, comment="account; null where the shell made it"),
    Column("expires_at", Moment, nullable=False),
    Column("last_used_at", Moment, comment="to an hour"),
    Column("ended_at", Moment),
    comment="each lets a program read one farm's features; only hashes are kept",
)

pins = Table(
    "pins",
    metadata,
    Column("person_id", Id, ForeignKey("people.id"), primary_key=True),
    Column("pin_hash", Text, nullable=False),
    Column("set_at", Moment, nullable=False),
)

failed_tries = Table(
    "failed_tries",
    metadata,
    Column("subject", Text, primary_key=True, comment="what was tried: a login, a PIN on a device, ..."),
    Column("failures", Integer, nullable=False),
    Column("last_at", Moment, nullable=False),
    Column("locked_until", Moment),
)

audit_log = Table(
    "audit_log",
    metadata,
    Column("seq", Key, primary_key=True),
    Column("farm_id", Id),
    Column("at", Moment, nullable=False),
    Column("actor", Text, nullable=False, comment="account:<id>, device:<id>, or the shell"),
    Column("what", Text, nullable=False),
    Column("subject", Text, nullable=False),
    Column("detail", JSON, nullable=False),
    Column("previous_hash", Text, nullable=False),
    Column("hash", Text, nullable=False),
    comment="appended in the transaction of the change it tells of; each entry holds the hash of the one before",
)
