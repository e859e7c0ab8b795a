"""``orchardmap plan``: which crew prunes which block next, and a proposal of it."""

from datetime import UTC, datetime
from typing import Annotated, Any

import typer

from orchardmap.cli.main import DEFAULT_DATABASE, AsJson, Database, app, print_json
from orchardmap.cli.seasons import FarmName, of_farm
from orchardmap.cli.tables import print_table

__all__ = ["plan"]


@app.command()
def plan(
    propose: Annotated[
        bool,
        typer.Option("--propose", help="Show a proposal instead of what is given out, with the reasons."),
    ] = False,
    save: Annotated[
        bool,
        typer.Option(
            "--save", help="With --propose: give the blocks out so. Stop the service first on SQLite."
        ),
    ] = False,
    as_json: AsJson = False,
    farm: FarmName = "",
    database: Database = DEFAULT_DATABASE,
) -> None:
    """Show which crew prunes which block next, and when each is likely done.

    Example: orchardmap plan --propose
    """
    from orchardmap.usecases import shell_plan

    if save and not propose:
        raise typer.BadParameter("--save goes with --propose: what is given out is saved already.")
    with of_farm(database, farm, read_only=not save) as (store, chosen):
        told = shell_plan.plan_lines(store, chosen.id, propose=propose, save=save, now=datetime.now(UTC))
    if as_json:
        return print_json(told)
    _show(told, propose=propose)
    if save:
        typer.echo("Given out.")
    return None


def _show(told: list[dict[str, Any]], *, propose: bool) -> None:
    heads = ("crew", "block", "trees left", "likely done", "must finish", *(("why",) if propose else ()))
    print_table(
        heads,
        (
            (
                one["crew"] or "nobody yet",
                one["block"],
                str(one["trees_left"]),
                one["likely_on"] or "",
                one["must_finish_on"],
                *((one["why"],) if propose else ()),
            )
            for one in told
        ),
        nothing="Nothing is left to prune.",
    )
