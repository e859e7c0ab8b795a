"""Make and upgrade the tables: forward only, in one transaction, after a verified copy."""

import uuid
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from alembic import command
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection, insert, inspect, select, text

from orchardmap.errors import StoreError

# their tables belong to the metadata too
from orchardmap.store import (  # noqa: F401
    access_tables,
    brief_tables,
    calendar_tables,
    check_photo_tables,
    closure_tables,
    farm_feature_tables,
    farm_setting_tables,
    ground_tables,
    hazard_tables,
    lot_tables,
    pay_tables,
    queue_tables,
    return_tables,
    weather_tables,
)
from orchardmap.store.sqlite_files import copy_verified
from orchardmap.store.tables import settings

if TYPE_CHECKING:
    from orchardmap.store.session import Store

__all__ = ["alembic_config", "current_revision", "head_revision", "migrate", "refuse_other_tables"]

_MIGRATION_LOCK = 0x6F72636864  # any number of our own: PostgreSQL's advisory lock for upgrades


def alembic_config(conn: Connection) -> Config:
    """Return Alembic's configuration for a connection that already holds a transaction."""
    config = Config()
    config.set_main_option("script_location", str(Path(__file__).parent / "migrations"))
    config.attributes["connection"] = conn
    return config


def current_revision(conn: Connection) -> str | None:
    """Return the revision of the tables, or None for a database without any."""
    return MigrationContext.configure(conn).get_current_revision()


@cache  # each migration is read for it, and they are the same as long as this code runs
def head_revision() -> str:
    """Return the revision that this code needs."""
    head = ScriptDirectory(str(Path(__file__).parent / "migrations")).get_current_head()
    assert head is not None  # noqa: S101 - the package carries its migrations
    return head


def _known_revisions() -> set[str]:
    scripts = ScriptDirectory(str(Path(__file__).parent / "migrations"))
    return {script.revision for script in scripts.walk_revisions()}


def _refuse_unknown(store: "Store") -> None:
    raise StoreError(
        "the database holds tables that this orchardmap does not know",
        where=str(store.path or "PostgreSQL"),
        todo="Use the newer orchardmap that made it, or another database.",
    )


def refuse_other_tables(store: "Store") -> None:
    """Raise where a store that is open for reading alone has no tables, or not those that this code reads.

    Raises
    ------
    StoreError
        With what brings them up to date.
    """
    with store.read() as conn:
        here = current_revision(conn)
    if here == head_revision():
        return
    where = str(store.path or "PostgreSQL")
    if here is None:
        raise StoreError(
            "there is nothing of orchardmap in this database yet",
            where=where,
            todo="`orchardmap farm` begins one, then load a file.",
        )
    if here not in _known_revisions():
        _refuse_unknown(store)
    raise StoreError(
        "an older orchardmap made this database, and this command only reads",
        where=where,
        todo="Start the service once: it brings the database up to date.",
    )


def migrate(store: "Store") -> None:
    """Bring the tables to this code's revision.

    Parameters
    ----------
    store : Store
        Open for writing.

    Raises
    ------
    StoreError
        If the tables were made by a newer orchardmap, or the file holds something else.
    """
    with store.read() as conn:
        here = current_revision(conn)
        strangers = here is None and bool(
            set(inspect(conn).get_table_names()) - {"spatial_ref_sys", "alembic_version"}
        )
    if here == head_revision():
        return
    if strangers or (here is not None and here not in _known_revisions()):
        _refuse_unknown(store)
    if here is not None and store.path is not None:
        copy = store.path.with_name(f"{store.path.name}.before-{head_revision()}")
        if not copy.exists():
            copy_verified(store.path, copy)
    with store.write() as conn:
        if not store.is_sqlite:
            conn.execute(text("SELECT pg_advisory_xact_lock(:key)"), {"key": _MIGRATION_LOCK})
            conn.execute(text("CREATE EXTENSION IF NOT EXISTS postgis"))
        command.upgrade(alembic_config(conn), "head")
        if conn.execute(select(settings.c.value).where(settings.c.name == "epoch")).first() is None:
            # names this database; a restored backup gets a new one, so that devices offer their marks again
            conn.execute(insert(settings).values(name="epoch", value=str(uuid.uuid4())))
