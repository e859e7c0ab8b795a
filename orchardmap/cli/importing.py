"""``orchardmap import``: a whole farm from a file of another server."""

from datetime import UTC, datetime
from pathlib import Path
from typing import Annotated

import typer

from orchardmap.cli.main import DEFAULT_DATABASE, Database, app, print_json

__all__ = ["import_farm"]


@app.command("import")
def import_farm(
    file: Annotated[Path, typer.Argument(help="That `orchardmap export farm.zip` wrote.")],
    name: Annotated[str, typer.Option("--as", help="Name of the farm here; as it was when left out.")] = "",
    manager: Annotated[str, typer.Option(help="Login of an account here that shall manage it.")] = "",
    as_json: Annotated[bool, typer.Option("--json", help="Tell what was taken as JSON.")] = False,
    database: Database = DEFAULT_DATABASE,
) -> None:
    """Take a whole farm from a file, in one piece or not at all. A farm that is here already is never touched.

    Accounts, PINs and paired tablets stayed on the other server: let people in with `orchardmap user`, pair tablets anew. On a
    server without accounts whoever makes the first one manages the farm.

    Example: orchardmap import farm.zip --database sqlite:///new.sqlite
    """
    from orchardmap.cli.opening import opened_store
    from orchardmap.cli.waiting import shown_steps
    from orchardmap.usecases import account_keeping
    from orchardmap.usecases.whole_farm import take_farm

    now = datetime.now(UTC)
    store = opened_store(database, makes=True)
    try:
        account = account_keeping.by_login(store, manager) if manager else None
        with shown_steps() as told:
            made = take_farm(store, file, now=now, name=name, told=told)
        if account is not None:
            account_keeping.give_role(store, account, farm_id=made.id, role="manager", now=now)
    finally:
        store.close()
    if as_json:
        print_json({"id": made.id, "farm": made.name, "lines": dict(made.lines)})
    else:
        typer.echo(f"Took the farm {made.name} ({made.id}): {sum(made.lines.values())} records.")
