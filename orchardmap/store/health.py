"""Can the store serve: tables of this version, a real write and its undoing, room on the disk."""

import shutil
import sqlite3

from sqlalchemy import insert

from orchardmap.errors import StoreError
from orchardmap.store import tables as t
from orchardmap.store.schema import current_revision, head_revision
from orchardmap.store.session import Store
from orchardmap.store.sqlite_files import SAFE_SQLITE

__all__ = ["faults", "notes"]

_LEAST_FREE_BYTES = 200 * 1024 * 1024


class _Undo(Exception):  # noqa: N818 - not an error: it rolls a trial write back
    pass


def faults(store: Store) -> list[str]:
    """Return what keeps the store from serving, in sentences; empty when nothing does."""
    found = []
    try:
        with store.read() as conn:
            if current_revision(conn) != head_revision():
                found.append("the tables are not of this version")
        with store.write() as conn:
            conn.execute(insert(t.settings).values(name="trial", value="written and undone"))
            raise _Undo
    except _Undo:
        pass
    except StoreError as error:
        found.append(str(error))
    if store.path is not None and shutil.disk_usage(store.path.parent).free < _LEAST_FREE_BYTES:
        found.append("less than 200 MB are free on the disk")
    return found


def notes(store: Store) -> list[str]:
    """Return what whoever runs the service should know, in sentences."""
    if not store.is_sqlite or sqlite3.sqlite_version_info >= SAFE_SQLITE:
        return []
    wanted = ".".join(map(str, SAFE_SQLITE))
    return [
        f"SQLite {sqlite3.sqlite_version} is older than {wanted}; one connection does all checkpoints, which keeps clear of its "
        "write-ahead-log fault"
    ]
