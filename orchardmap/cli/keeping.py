"""Commands that keep a store safe: backup, verify, restore."""

from dataclasses import asdict
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from orchardmap.cli.main import DEFAULT_DATABASE, AsJson, Database, app, tell

if TYPE_CHECKING:
    from orchardmap.store.backup import Manifest

__all__ = ["backup", "restore", "verify"]

Backup = Annotated[Path, typer.Argument(help="File that the command backup made.")]


def _told(manifest: "Manifest") -> str:
    of = (
        "farms",
        "blocks",
        "rows",
        "marks",
        "withdrawals",
        "checks",
        "crew_days",
        "tree_counts",
        "settlements",
    )
    found = ", ".join(f"{manifest.counts.get(name, 0)} {name.replace('_', '-')}" for name in of)
    return f"{found}; {manifest.bytes / 1_000_000:.1f} MB, made at {manifest.made_at}"


def _value(file: Path, manifest: "Manifest") -> dict[str, Any]:
    return {"file": str(file), **asdict(manifest)}


@app.command()
def backup(
    to: Annotated[
        Path, typer.Argument(help="File to write, or a folder that is there: it gets a dated file.")
    ],
    as_json: AsJson = False,
    database: Database = DEFAULT_DATABASE,
) -> None:
    """Write a checked copy of the database, while the service runs.

    Beside it stands a manifest with counts and a checksum. Keep both on another disk.

    Example: orchardmap backup /mnt/stick/
    """
    from orchardmap.cli.opening import opened_store
    from orchardmap.cli.waiting import at_work
    from orchardmap.usecases import backup as keeping

    now = datetime.now(UTC)
    store = opened_store(database, read_only=True, of_any_age=True)
    ending = "sqlite" if store.is_sqlite else "dump"
    file = to / f"orchardmap-{now:%Y%m%d-%H%M%S}.{ending}" if to.is_dir() else to
    try:
        with at_work("Copying the database, and checking the copy ..."):
            made = keeping.back_up(store, file, now=now)
    finally:
        store.close()
    tell(f"Wrote and checked {file}: {_told(made)}.", _value(file, made), as_json=as_json)


@app.command()
def verify(file: Backup, as_json: AsJson = False) -> None:
    """Hold a backup against its manifest: checksum, integrity, counts.

    Example: orchardmap verify /mnt/stick/orchardmap-20260120-181500.sqlite
    """
    from orchardmap.cli.waiting import at_work
    from orchardmap.usecases import backup as keeping

    with at_work("Reading the backup ..."):
        found = keeping.verify(file)
    tell(f"{file} is whole: {_told(found)}.", _value(file, found), as_json=as_json)


@app.command()
def restore(file: Backup, as_json: AsJson = False, database: Database = DEFAULT_DATABASE) -> None:
    """Make a database from a backup. A database that is there already is never touched.

    Tablets notice the new database and offer what they recorded in the last 14 days again. Everybody signs in anew,
    and reading keys have ended: make them anew. Tablets that were let go and accounts that were disabled after the backup must be let go and disabled again.

    Example: orchardmap restore /mnt/stick/orchardmap-20260120-181500.sqlite --database sqlite:///farm.sqlite
    """
    import uuid

    from orchardmap.cli.opening import with_password
    from orchardmap.cli.waiting import at_work
    from orchardmap.usecases import backup as keeping

    with at_work("Making the database from the backup ..."):
        made = keeping.restore(file, with_password(database), epoch=str(uuid.uuid4()))
    words = (
        f"Restored {file}: {_told(made)}.\n"
        "Prove it now: orchardmap rebuild --check. Then start the service; tablets offer their records again."
    )
    tell(words, _value(file, made), as_json=as_json)
