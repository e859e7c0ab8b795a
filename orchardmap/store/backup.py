"""Backups of a SQLite store: one file, checked before it gets its name, and a manifest that says what must be in it."""

import hashlib
import json
import os
import sqlite3
from collections.abc import Iterable, Iterator, Mapping
from contextlib import closing, contextmanager
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from orchardmap.errors import ConflictError, InputError, StoreError

__all__ = [
    "Manifest",
    "copy_whole",
    "digest",
    "finish",
    "inside",
    "manifest_path",
    "new_part",
    "read_manifest",
    "renewal",
    "restore_file",
    "saved_or_gone",
    "verified",
]

FORMAT = "orchardmap backup 1"
_ONCE_ONLY = {
    "sessions": "ended_at",
    "sign_in_links": "used_at",
    "pair_codes": "used_at",
    "reading_keys": "ended_at",
}


@dataclass(frozen=True, slots=True)
class Manifest:
    """What a backup must hold. Stands beside it as ``<file>.json``."""

    engine: str
    """sqlite, or postgresql for a dump in PostgreSQL's custom format."""
    made_at: str
    made_by: str
    """Version of orchardmap."""
    schema: str
    epoch: str
    counts: Mapping[str, int]
    """Table -> records."""
    bytes: int = 0
    sha256: str = ""
    format: str = FORMAT


def manifest_path(file: Path) -> Path:
    """Return where the manifest of a backup stands."""
    return file.with_name(f"{file.name}.json")


def new_part(file: Path) -> Path:
    """Make an empty file of this user alone, to be filled and then named as the backup.

    Raises
    ------
    ConflictError
        If there is a backup of that name already.
    StoreError
        If the folder cannot be written.
    """
    for taken in (file, manifest_path(file)):
        if taken.exists():
            raise ConflictError(
                "there is a file of that name already", where=str(taken), todo="Name another one."
            )
    part = file.with_name(f".{file.name}.{os.getpid()}.part")
    try:
        part.parent.mkdir(parents=True, exist_ok=True)
        part.unlink(missing_ok=True)
        os.close(os.open(part, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600))
    except OSError as error:
        raise StoreError("the folder cannot be written", where=str(part.parent), todo=str(error)) from error
    return part


@contextmanager
def saved_or_gone(part: Path) -> Iterator[None]:
    """Take a part away when what fills it fails, and say plainly what the disk or SQLite said."""
    try:
        yield
    except (OSError, sqlite3.Error) as error:
        raise StoreError(
            "the copy could not be made", where=str(part.parent), todo=f"It said: {error}."
        ) from error
    finally:
        for end in ("", ".json", "-wal", "-shm", "-journal"):
            part.with_name(part.name + end).unlink(missing_ok=True)


def copy_whole(source: Path, part: Path) -> None:
    """Copy a database as it is at this moment, while others write to it; what was acknowledged before is in the copy."""
    # read-only: this connection never checkpoints, which is the running service's alone
    with closing(sqlite3.connect(f"{source.resolve().as_uri()}?mode=ro", uri=True, timeout=30)) as conn:
        conn.execute("VACUUM INTO ?", (str(part),))


def inside(file: Path) -> tuple[str, str, dict[str, int]]:
    """Return schema, epoch and the number of records by table of a SQLite file that passes every check.

    Raises
    ------
    StoreError
        If it is damaged, or no database of ours.
    """
    try:
        with closing(sqlite3.connect(f"{file.resolve().as_uri()}?immutable=1", uri=True)) as conn:
            if conn.execute("PRAGMA integrity_check").fetchall() != [("ok",)]:
                raise StoreError("the file is damaged", where=str(file), todo="Use another backup.")
            if conn.execute("PRAGMA foreign_key_check").fetchone() is not None:
                raise StoreError("the file holds loose ends", where=str(file), todo="Use another backup.")
            (schema,) = conn.execute("SELECT version_num FROM alembic_version").fetchone()
            (epoch,) = conn.execute("SELECT value FROM settings WHERE name = 'epoch'").fetchone()
            tables = conn.execute(
                "SELECT name FROM sqlite_master WHERE type = 'table' AND sql NOT LIKE '%VIRTUAL%'"
            )
            names = [
                name for (name,) in tables if not name.startswith(("sqlite_", "row_boxes", "block_boxes"))
            ]
            counts = {name: _count(conn, name) for name in sorted(names)}
    except (sqlite3.Error, TypeError) as error:
        raise StoreError(
            "the file is damaged, or no database of orchardmap", where=str(file), todo="Use another backup."
        ) from error
    return str(schema), str(epoch), counts


def _count(conn: sqlite3.Connection, name: str) -> int:
    return int(conn.execute(f'SELECT count(*) FROM "{name}"').fetchone()[0])  # noqa: S608 - from the file's own table of tables


def digest(file: Path) -> str:
    """Return the SHA-256 of a file."""
    with file.open("rb") as opened:
        return hashlib.file_digest(opened, "sha256").hexdigest()


def finish(part: Path, file: Path, told: Manifest) -> Manifest:
    """Put a checked part and its manifest on the disk for good, under their own names."""
    whole = Manifest(**asdict(told) | {"bytes": part.stat().st_size, "sha256": digest(part)})
    beside = part.with_name(f"{part.name}.json")
    beside.write_text(json.dumps(asdict(whole), indent=2) + "\n", "utf-8")
    for one in (part, beside):
        _to_disk(one)
    beside.rename(manifest_path(file))
    part.rename(file)
    _to_disk(file.parent)
    return whole


def _to_disk(path: Path) -> None:
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def read_manifest(file: Path) -> Manifest:
    """Return the manifest of a backup.

    Raises
    ------
    InputError
        If file or manifest is missing or is none.
    """
    try:
        told: Any = json.loads(manifest_path(file).read_text("utf-8"))
        found = Manifest(**told)
    except (OSError, ValueError, TypeError):
        found = None
    if found is None or found.format != FORMAT or not file.is_file():
        raise InputError(
            "this is no backup with its manifest beside it",
            where=str(file),
            todo=f"Give the file that orchardmap backup made, with {manifest_path(file).name} in the same folder.",
        )
    return found


def verified(file: Path) -> Manifest:
    """Return the manifest of a backup whose content was held against it.

    Raises
    ------
    StoreError
        If the file is not what was written, or (SQLite) holds something else than the manifest says.
    """
    told = read_manifest(file)
    if (told.bytes, told.sha256) != (file.stat().st_size, digest(file)):
        raise StoreError(
            "the file is not what was written", where=str(file), todo="Use another copy of this backup."
        )
    if told.engine == "sqlite" and inside(file) != (told.schema, told.epoch, dict(told.counts)):
        raise StoreError(
            "the file does not hold what its manifest says", where=str(file), todo="Use another backup."
        )
    return told


def renewal(tables: Iterable[str], epoch: str) -> list[str]:
    """Return the SQL that turns a copy into a database of its own.

    A new epoch lets tablets offer their records again. What was good for one use or one session may have been
    used or ended since the copy was made: none of it works again.
    """
    ended = [
        f"UPDATE {name} SET {column} = made_at WHERE {column} IS NULL"  # noqa: S608 - names of our own
        for name, column in _ONCE_ONLY.items()
        if name in set(tables)
    ]
    return [f"UPDATE settings SET value = '{epoch}' WHERE name = 'epoch'", *ended]  # noqa: S608 - a UUID of our own


def restore_file(file: Path, path: Path, *, told: Manifest, epoch: str) -> None:
    """Make a SQLite database from a backup; it is there whole under its name, or not at all.

    Raises
    ------
    ConflictError
        If there is a database already.
    """
    there = [one for one in (path, path.with_name(f"{path.name}-wal")) if one.exists()]
    if there:
        raise ConflictError(
            "there is a database already, and it stays as it is",
            where=str(there[0]),
            todo="Name a file that does not exist yet, or move this one away first.",
        )
    part = new_part(path)
    with saved_or_gone(part):
        with file.open("rb") as source, part.open("wb") as copy:
            while piece := source.read(1 << 20):
                copy.write(piece)
        with closing(sqlite3.connect(part, isolation_level=None)) as conn:
            conn.execute("BEGIN IMMEDIATE")
            for statement in renewal(told.counts, epoch):
                conn.execute(statement)
            conn.execute("COMMIT")
        _to_disk(part)
        part.rename(path)
        _to_disk(path.parent)
