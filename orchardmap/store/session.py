"""Open the store and hand out connections: many readers, one writer, nothing acknowledged before it is on disk."""

import fcntl
import json
import re
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event, text
from sqlalchemy.exc import ArgumentError, DBAPIError, OperationalError
from sqlalchemy.pool import QueuePool

from orchardmap.errors import StoreError
from orchardmap.store.bell import Bell, PostgresBell, take_changed
from orchardmap.store.schema import migrate
from orchardmap.store.sqlite_files import keep_private, refuse_network_folder

__all__ = ["Connection", "Store", "open_store", "sqlite_url"]

_NO_ADDRESS = "that is no address of a database"
"""Which it is, is not told: there may be a password in it."""
_ADDRESSES = (
    "Write sqlite:///FILE, with a fourth slash where FILE begins at the root, or postgresql://USER@HOST/NAME."
)
_BUSY_MS = 10_000


def sqlite_url(path: Path) -> str:
    """Return the database URL of a SQLite file."""
    return f"sqlite:///{path.resolve()}"


class Store:
    """One database. `read` and `write` hand out connections for use in a ``with`` statement.

    On SQLite all writes of the process wait in one line, first come first served, and the writer's
    connection is the only one that writes or checkpoints; a lock on ``<file>.lock`` keeps a second
    writing process out. On PostgreSQL the writers of one farm wait for each other at the farm's
    own counter (see `orchardmap.store.log.lock_farm`).
    """

    def __init__(self, url: str, *, read_only: bool = False) -> None:
        self.url = url
        self.is_sqlite = url.startswith("sqlite")
        self._line = threading.Lock()
        self._lock_file: Any = None
        self.path = Path(url.removeprefix("sqlite:///")) if self.is_sqlite else None
        if self.path is not None:
            refuse_network_folder(self.path)
            if not read_only:
                self._take_file_lock(self.path)
                keep_private(self.path)
        elif url.startswith("postgresql://"):
            url = url.replace("postgresql://", "postgresql+psycopg://", 1)
        self._writer: Engine | None = None if read_only else self._engine(url, writes=True)
        self._reader: Engine = self._engine(url, writes=False)
        self.bell = Bell() if self.is_sqlite else PostgresBell(self._reader)

    def _engine(self, url: str, *, writes: bool) -> Engine:
        if not self.is_sqlite:
            return create_engine(url, pool_pre_ping=True, pool_size=8, json_serializer=_compact_json)
        engine = create_engine(
            url,
            poolclass=QueuePool,
            pool_size=1 if writes else 8,
            max_overflow=0 if writes else 24,
            connect_args={"check_same_thread": False, "timeout": _BUSY_MS / 1000},
            json_serializer=_compact_json,
        )
        event.listen(engine, "connect", _sqlite_writer if writes else _sqlite_reader)
        event.listen(engine, "begin", _begin_immediate if writes else _begin_deferred)
        return engine

    def _take_file_lock(self, path: Path) -> None:
        path.parent.mkdir(parents=True, exist_ok=True)
        self._lock_file = Path(f"{path}.lock").open("a", encoding="utf-8")  # noqa: SIM115 - held until close()
        try:
            fcntl.flock(self._lock_file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError as error:
            self._lock_file.close()
            raise StoreError(
                "another orchardmap process is writing to this file",
                where=path.name,
                todo="Stop it first, or use the running service.",
            ) from error

    @contextmanager
    def read(self) -> Iterator[Connection]:
        """Yield a connection that sees one moment of the database and cannot write."""
        with _told_plainly(), self._reader.connect() as conn:
            if not self.is_sqlite:
                conn.execute(text("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY"))
            yield conn

    @contextmanager
    def write(self) -> Iterator[Connection]:
        """Yield a connection in a write transaction: committed, and on disk, when the block ends; else nothing happened.

        Yields
        ------
        Connection
            In an open transaction.

        Raises
        ------
        StoreError
            If the store was opened for reading, or the database cannot write now.
        """
        if self._writer is None:
            raise StoreError("this store was opened for reading only")
        with _told_plainly():
            if self.is_sqlite:
                with self._line, self._writer.begin() as conn:
                    take_changed(conn)  # of a transaction that came to nothing
                    yield conn
                    changed = take_changed(conn)
                for farm_id in changed:
                    self.bell.ring(farm_id)
            else:
                with self._writer.begin() as conn:
                    yield conn

    def close(self) -> None:
        """Give back all connections and the file lock."""
        self.bell.close()
        self._reader.dispose()
        if self._writer is not None:
            self._writer.dispose()
        if self._lock_file is not None:
            self._lock_file.close()


def open_store(url: str, *, read_only: bool = False) -> Store:
    """Open a database, making or upgrading its tables where needed.

    Parameters
    ----------
    url : str
        ``sqlite:///path`` or ``postgresql://…``.
    read_only : bool
        For reports beside a running service: takes no lock, changes nothing.

    Returns
    -------
    Store

    Raises
    ------
    StoreError
        If that is no address of a database, or the database cannot be used safely: a network folder, a second writer,
        unsafe settings, damage, or tables made by a newer orchardmap.
    """
    if not re.match(r"sqlite:///.|postgresql(\+psycopg)?://", url):
        raise StoreError(_NO_ADDRESS, where="--database", todo=_ADDRESSES)
    if read_only and url.startswith("sqlite") and not Path(url.removeprefix("sqlite:///")).exists():
        raise StoreError("there is no database yet", todo="Start the service or load a file first.")
    try:
        store = Store(url, read_only=read_only)
    except ArgumentError as error:
        raise StoreError(_NO_ADDRESS, where="--database", todo=_ADDRESSES) from error
    try:
        if not store.is_sqlite:
            _refuse_unsafe_postgres(store)
        if not read_only:
            with _told_plainly():
                migrate(store)
    except BaseException:
        store.close()
        raise
    return store


def _refuse_unsafe_postgres(store: Store) -> None:
    with store.read() as conn:
        for name, safe in (
            ("fsync", {"on"}),
            ("full_page_writes", {"on"}),
            ("synchronous_commit", {"on", "remote_write", "remote_apply"}),
        ):
            if conn.execute(text(f"SHOW {name}")).scalar_one() not in safe:
                raise StoreError(
                    f"PostgreSQL runs with {name} off: an acknowledged mark could be lost in a power cut",
                    todo=f"Set {name} = on.",
                )


def _compact_json(value: object) -> str:
    return json.dumps(value, separators=(",", ":"), ensure_ascii=False)


def _sqlite_settings(dbapi: Any, *, writes: bool) -> None:  # noqa: ANN401 - a driver's connection
    dbapi.isolation_level = None  # BEGIN is ours (see the begin events): the driver's own is deferred
    cursor = dbapi.cursor()
    if writes:
        cursor.execute("PRAGMA journal_mode=WAL")
    cursor.execute("PRAGMA synchronous=FULL")
    cursor.execute("PRAGMA foreign_keys=ON")
    cursor.execute(f"PRAGMA busy_timeout={_BUSY_MS}")
    if not writes:
        # one connection alone checkpoints: SQLite before 3.51.3 can corrupt the file when two do
        cursor.execute("PRAGMA wal_autocheckpoint=0")
        cursor.execute("PRAGMA query_only=ON")
    cursor.close()


def _sqlite_writer(dbapi: Any, _record: object) -> None:  # noqa: ANN401
    _sqlite_settings(dbapi, writes=True)


def _sqlite_reader(dbapi: Any, _record: object) -> None:  # noqa: ANN401
    _sqlite_settings(dbapi, writes=False)


def _begin_immediate(conn: Connection) -> None:
    conn.exec_driver_sql("BEGIN IMMEDIATE")


def _begin_deferred(conn: Connection) -> None:
    conn.exec_driver_sql("BEGIN")


@contextmanager
def _told_plainly() -> Iterator[None]:
    """Turn what a driver says when it cannot serve into one error of ours; mistakes in our SQL stay what they are."""
    try:
        yield
    except OperationalError as error:
        raise StoreError(
            "the database cannot do it now", where=str(error.orig), todo="Try again; nothing was changed."
        ) from error
    except DBAPIError as error:
        if "malformed" in str(error.orig) or "not a database" in str(error.orig):
            raise StoreError(
                "the database file is damaged",
                where=str(error.orig),
                todo="Keep the file, restore the last backup beside it.",
            ) from error
        raise
