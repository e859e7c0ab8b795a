"""Keep a store safe: back it up while it is in use, check a backup, make a store from one."""

from datetime import datetime
from pathlib import Path

from orchardmap import __version__
from orchardmap.errors import StoreError
from orchardmap.store import backup as files
from orchardmap.store import backup_postgres as dumps
from orchardmap.store.backup import Manifest
from orchardmap.store.session import Store

__all__ = ["back_up", "restore", "verify"]


def back_up(store: Store, file: Path, *, now: datetime) -> Manifest:
    """Write a backup and its manifest; everything that was acknowledged before is in it.

    Parameters
    ----------
    store : Store
        Open for reading; others may write meanwhile.
    file : Path
        To write; the manifest is put beside it.
    now : datetime with time zone
        The moment.

    Returns
    -------
    Manifest

    Raises
    ------
    ConflictError
        If there is a file of that name already.
    StoreError
        If it cannot be written, or does not pass its check.
    """
    part = files.new_part(file)
    with files.saved_or_gone(part):
        if store.path is None:
            schema, epoch, counts = dumps.dump(store, part)
        else:
            files.copy_whole(store.path, part)
            schema, epoch, counts = files.inside(part)
        engine = "sqlite" if store.is_sqlite else "postgresql"
        told = Manifest(engine, now.isoformat(), __version__, schema, epoch, counts)
        return files.finish(part, file, told)


def verify(file: Path) -> Manifest:
    """Return what a backup holds, after holding the file against its manifest (see `orchardmap.store.backup.verified`)."""
    return files.verified(file)


def restore(file: Path, url: str, *, epoch: str) -> Manifest:
    """Make a store from a backup, under a new epoch.

    Parameters
    ----------
    file : Path
        The backup, its manifest beside it.
    url : str
        Of a database that does not exist yet (SQLite), or is empty (PostgreSQL).
    epoch : str
        A UUID: the new name of the database, by which tablets know to offer their records again.

    Returns
    -------
    Manifest
        Of the backup.

    Raises
    ------
    ConflictError
        If there is a database already.
    StoreError
        If the backup is damaged, or of the other engine.
    """
    told = files.verified(file)
    is_sqlite = url.startswith("sqlite")
    if (told.engine == "sqlite") != is_sqlite:
        raise StoreError(
            f"this is a backup of {told.engine}", where=str(file), todo="Name a database of that kind."
        )
    if is_sqlite:
        files.restore_file(file, Path(url.removeprefix("sqlite:///")), told=told, epoch=epoch)
        return told
    store = Store(url)
    try:
        dumps.restore_dump(file, store, tables=sorted(told.counts), epoch=epoch)
    finally:
        store.close()
    return told
