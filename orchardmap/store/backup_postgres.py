"""Backups of a PostgreSQL store, by PostgreSQL's own tools: pg_dump's custom format, of one snapshot."""

import os
import shutil
import subprocess
import tempfile
from collections.abc import Sequence
from pathlib import Path

from sqlalchemy import Connection, func, inspect, make_url, select, table, text

from orchardmap.errors import ConflictError, StoreError
from orchardmap.store import tables as t
from orchardmap.store.backup import renewal
from orchardmap.store.schema import current_revision
from orchardmap.store.session import Store

__all__ = ["dump", "restore_dump"]


def dump(store: Store, part: Path) -> tuple[str, str, dict[str, int]]:
    """Write a dump of the store and return schema, epoch and the number of records by table, all of one moment.

    Raises
    ------
    StoreError
        If PostgreSQL's tools are missing, or fail.
    """
    with store.read() as conn:
        snapshot = conn.execute(text("SELECT pg_export_snapshot()")).scalar_one()
        names = _our_tables(conn)
        counts = {
            name: int(conn.execute(select(func.count()).select_from(table(name))).scalar_one())
            for name in names
        }
        asked = select(t.settings.c.value).where(t.settings.c.name == "epoch")
        schema, epoch = current_revision(conn), conn.execute(asked).scalar_one()
        wanted = [f"--table=public.{name}" for name in names]
        _run("pg_dump", store.url, "--format=custom", f"--snapshot={snapshot}", "--no-owner", "--no-privileges", f"--file={part}", *wanted)  # fmt: skip
    return str(schema), str(epoch), counts


def _our_tables(conn: Connection) -> list[str]:
    return sorted(set(inspect(conn).get_table_names()) - {"spatial_ref_sys"})


def restore_dump(file: Path, store: Store, *, tables: Sequence[str], epoch: str) -> None:
    """Fill an empty database from a dump, in one transaction with its new epoch.

    Raises
    ------
    ConflictError
        If the database holds tables already.
    StoreError
        If PostgreSQL's tools are missing, or fail; then the database is as empty as before.
    """
    with store.read() as conn:
        if _our_tables(conn):
            raise ConflictError(
                "the database holds tables already, and stays as it is", todo="Make an empty one first."
            )
    with store.write() as conn:
        conn.execute(text("CREATE EXTENSION IF NOT EXISTS postgis"))
    with tempfile.TemporaryDirectory() as folder:
        script = Path(folder) / "restore.sql"
        _run("pg_restore", None, "--no-owner", "--no-privileges", f"--file={script}", str(file))
        with script.open("a", encoding="utf-8") as more:
            more.write("\nSET search_path = public;\n")
            more.writelines(f"{statement};\n" for statement in renewal(tables, epoch))
        _run("psql", store.url, "--quiet", "--no-psqlrc", "--single-transaction", "--set=ON_ERROR_STOP=1", f"--file={script}")  # fmt: skip


def _run(tool: str, url: str | None, *arguments: str) -> None:
    """Run one of PostgreSQL's tools; a password goes by the environment, where no list of processes shows it."""
    program = shutil.which(tool)
    if program is None:
        raise StoreError(
            f"{tool} is not installed here",
            todo="Install PostgreSQL's client tools, of the server's version or newer.",
        )
    environment, command = dict(os.environ), [program, *arguments]
    if url is not None:
        place = make_url(url).set(drivername="postgresql")
        if place.password is not None:
            environment["PGPASSWORD"] = place.password
        command.append("--dbname=" + place.set(password=None).render_as_string(hide_password=False))
    done = subprocess.run(command, env=environment, capture_output=True, text=True, check=False)  # noqa: S603 - our own arguments
    if done.returncode:
        last = (done.stderr.strip().splitlines() or ["nothing"])[-1]
        raise StoreError(f"{tool} failed", where=last[:300], todo="Nothing was changed.")
