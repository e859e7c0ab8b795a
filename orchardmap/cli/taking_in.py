"""``orchardmap take-in``: records that a tablet saved as a file because it could not send them."""

from collections import Counter
from dataclasses import asdict
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from orchardmap.cli.main import DEFAULT_DATABASE, Database, app, print_json
from orchardmap.cli.reading import read_bytes

if TYPE_CHECKING:
    from orchardmap_api.queue_files import Fate

__all__ = ["take_in"]

_ONE = {
    "marks": "mark",
    "withdrawals": "withdrawal",
    "checks": "check",
    "crew_days": "crew-day",
    "tree_counts": "tree count",
}
_OUTCOMES = {
    "taken": "taken",
    "already_there": "already there",
    "set_aside": "set aside: stored, not counted until a manager settles it",
    "refused": "refused: nothing of it is stored",
}


@app.command("take-in")
def take_in(
    file: Annotated[Path, typer.Argument(help="File that a tablet saved under What waits.")],
    as_json: Annotated[
        bool, typer.Option("--json", help="Print what became of each record as JSON.")
    ] = False,
    database: Database = DEFAULT_DATABASE,
) -> None:
    """Take in the records of a tablet that cannot send.

    They are taken as if the tablet had sent them, whichever crew's they are. It may be done again, and the tablet may
    send them after all: what is there already stays as it is. On SQLite stop the service first: one process writes at a
    time. Exit code 1 when a record was refused.

    Example: orchardmap take-in orchardmap-records-2026-01-20.json
    """
    from orchardmap.cli.opening import opened_store
    from orchardmap_api import queue_files

    queue = queue_files.read_queue_file(read_bytes(file), where=file.name)
    store = opened_store(database)
    try:
        fates = queue_files.take_in(store, queue, now=datetime.now(UTC))
    finally:
        store.close()
    if as_json:
        print_json([asdict(fate) for fate in fates])
    else:
        _tell(fates)
    if any(fate.outcome == "refused" for fate in fates):
        raise typer.Exit(1)


def _tell(fates: "list[Fate]") -> None:
    for fate in fates:
        if fate.reason:
            row = "" if fate.row is None else f" row {fate.row}"
            typer.echo(f"{_ONE[fate.kind]}{row} {fate.id} {fate.outcome.replace('_', ' ')}: {fate.reason}")
    counts = Counter[str](fate.outcome for fate in fates)
    typer.echo(f"{len(fates)} records in the file.")
    for outcome, words in _OUTCOMES.items():
        if counts[outcome]:
            typer.echo(f"{counts[outcome]} {words}.")
