"""``orchardmap rows``, ``mark`` and ``check``: what is in a block, and records by the shell."""

from collections import Counter
from collections.abc import Sequence
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Annotated, Any

import typer

from orchardmap.cli.main import DEFAULT_DATABASE, AsJson, Database, app, print_json
from orchardmap.cli.seasons import FarmName, of_farm
from orchardmap.cli.tables import print_table
from orchardmap.model.check import TreeVerdict
from orchardmap.model.people import Method

if TYPE_CHECKING:
    from orchardmap.model.work import Receipt

__all__ = ["check", "mark", "rows"]

BlockCode = Annotated[str, typer.Argument(help="Code of the block.")]
AskedDay = Annotated[
    datetime | None, typer.Option("--day", formats=["%Y-%m-%d"], help="As of this day; today when left out.")
]
Worked = Annotated[
    datetime | None, typer.Option("--day", formats=["%Y-%m-%d"], help="Day of the work; today when left out.")
]


@app.command()
def rows(
    block: BlockCode,
    day: AskedDay = None,
    as_json: AsJson = False,
    farm: FarmName = "",
    database: Database = DEFAULT_DATABASE,
) -> None:
    """List a block's rows: length, trees, and how many are pruned.

    Example: orchardmap rows H6
    """
    from orchardmap.usecases import blocks, named
    from orchardmap.usecases.moments import moment, refuse_day_to_come

    now, asked = datetime.now(UTC), day.date() if day else None
    with of_farm(database, farm, read_only=True) as (store, chosen):
        found = named.block_named(store, chosen.id, block)
        with store.read() as conn:
            refuse_day_to_come(moment(conn, chosen.id, asked, now))
        told = blocks.block_rows(store, found.id, day=asked, now=now)
    lines = [one["properties"] for one in told["features"]]
    if as_json:
        return print_json(lines)
    print_table(
        ("row", "length m", "positions", "trees", "pruned"),
        (
            (
                str(one["row"]),
                f"{one['length_m']:.1f}",
                str(one["positions"]),
                str(one["trees"]),
                str(one["pruned"]),
            )
            for one in lines
        ),
        nothing=f"Block {found.code} has no rows.",
    )
    return None


@app.command()
def mark(
    block: BlockCode,
    asked: Annotated[str, typer.Argument(metavar="ROWS", help="Rows, as 1-20,25.")],
    crew: Annotated[str, typer.Option(help="Name of the crew that pruned them.")],
    first: Annotated[int, typer.Option("--from", min=1, help="First position in each row.")] = 1,
    last: Annotated[
        int | None, typer.Option("--to", min=1, help="Last position in each row; its end when left out.")
    ] = None,
    method: Annotated[
        Method | None, typer.Option(help="How they pruned; as the crew does when left out.")
    ] = None,
    day: Worked = None,
    as_json: AsJson = False,
    farm: FarmName = "",
    database: Database = DEFAULT_DATABASE,
) -> None:
    """Mark rows as pruned by a crew.

    What does not fit is stored and set aside, as from a tablet; a manager settles it in the browser. On SQLite stop the
    service first: one process writes at a time.

    Example: orchardmap mark H6 1-4 --crew Rook --day 2026-01-20
    """
    from orchardmap.usecases.pruned_now import pruned_now
    from orchardmap.usecases.shell_records import ShellMarks, mark_rows

    now = datetime.now(UTC)
    wish = ShellMarks(block, asked, crew, first, last, method, day.date() if day else None)
    with of_farm(database, farm) as (store, chosen):
        before = _pruned(pruned_now(store, chosen.id, day=None, now=now))
        receipts = mark_rows(store, chosen.id, wish, now=now)
        more = _pruned(pruned_now(store, chosen.id, day=None, now=now)) - before
    _tell(receipts, "mark", as_json=as_json)
    if not as_json:
        typer.echo(_newly(more))


@app.command()
def check(
    block: BlockCode,
    row: Annotated[int, typer.Argument(min=1, help="Number of the row.")],
    position: Annotated[int, typer.Argument(min=1, help="Position of the tree in it.")],
    verdict: Annotated[TreeVerdict, typer.Argument(help="What was found.")],
    auditor: Annotated[str, typer.Option(help="Name of the auditor.")] = "",
    note: Annotated[str, typer.Option(help="What others should know of it.")] = "",
    day: Worked = None,
    as_json: AsJson = False,
    farm: FarmName = "",
    database: Database = DEFAULT_DATABASE,
) -> None:
    """Record a tree that was looked at while walking.

    It never enters the verdict of a lot: trees of a lot are drawn, and checked on a tablet. On SQLite stop the service
    first: one process writes at a time.

    Example: orchardmap check H6 3 17 faulty --auditor "Marit Solbakken" --note "stubs on the west side"
    """
    from orchardmap.usecases.shell_records import ShellCheck, check_tree

    wish = ShellCheck(block, row, position, verdict, auditor, note, day.date() if day else None)
    with of_farm(database, farm) as (store, chosen):
        receipt = check_tree(store, chosen.id, wish, now=datetime.now(UTC))
    _tell([receipt], "check", as_json=as_json)


def _pruned(told: dict[str, Any]) -> int:
    return sum(trees for trees, *_ in told["blocks"].values())


def _newly(trees: int) -> str:
    """Say how many trees marks have pruned that were not: the same rows marked again are taken and add none."""
    if trees == 0:
        return "No more trees are pruned by that than were before."
    return f"{trees:,} {'tree is' if trees == 1 else 'trees are'} pruned by that for the first time."


def _tell(receipts: "Sequence[Receipt]", what: str, *, as_json: bool) -> None:
    if as_json:
        told: list[dict[str, Any]] = [
            {"id": one.id, "outcome": one.outcome, "reason": one.reason} for one in receipts
        ]
        return print_json(told)
    for outcome, n in sorted(Counter(one.outcome for one in receipts).items()):
        typer.echo(f"{n} {what}{'' if n == 1 else 's'} {outcome.replace('_', ' ')}.")
    for reason in sorted({one.reason for one in receipts if one.reason}):
        typer.echo(f"Set aside: {reason}", err=True)
    return None
