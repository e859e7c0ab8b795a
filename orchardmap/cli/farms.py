"""The commands that make a farm and correct what it is called."""

from datetime import UTC, datetime
from typing import Annotated

import typer

from orchardmap.cli.main import DEFAULT_DATABASE, AsJson, Database, app, tell
from orchardmap.cli.seasons import FarmName, of_farm


@app.command()
def farm(
    name: Annotated[str, typer.Argument(help="Name of the farm.")],
    time_zone: Annotated[str, typer.Option(help="IANA name of the farm's time zone.")] = "UTC",
    manager: Annotated[
        str,
        typer.Option(
            help="Login of the account that manages it: without one the browser shows it to nobody."
        ),
    ] = "",
    as_json: AsJson = False,
    database: Database = DEFAULT_DATABASE,
) -> None:
    """Make a farm.

    Where there are accounts already, say which of them manages it. The first account of all manages what was there before.

    Example: orchardmap farm "Long Meadow" --time-zone Europe/London
    """
    from orchardmap.cli.opening import opened_store
    from orchardmap.usecases import account_keeping, planting

    store = opened_store(database, makes=True)
    try:
        manages = account_keeping.by_login(store, manager).id if manager else None
        made = planting.create_farm(
            store, name=name, time_zone=time_zone, now=datetime.now(UTC), manager_id=manages
        )
        logins = [] if manager else account_keeping.logins_to_manage(store)
    finally:
        store.close()
    value = {"id": made.id, "name": made.name, "time_zone": made.time_zone}
    tell(
        "\n".join([f"Made the farm {made.name} ({made.id}).", *_unmanaged(made.name, logins, database)]),
        value,
        as_json=as_json,
    )


@app.command("correct-farm")
def correct_farm(
    name: Annotated[str, typer.Option(help="What it is to be called.")] = "",
    time_zone: Annotated[str, typer.Option(help="IANA name of the time zone that it lies in.")] = "",
    as_json: AsJson = False,
    farm: FarmName = "",
    database: Database = DEFAULT_DATABASE,
) -> None:
    """Correct a farm's name or time zone; the days that records tell stay as they are.

    Example: orchardmap correct-farm --farm "Long Medow" --name "Long Meadow"
    """
    from orchardmap.usecases import correcting, planting

    said = {"name": name, "time_zone": time_zone}
    with of_farm(database, farm) as (store, chosen):
        made = correcting.correct_farm(
            store,
            farm_id=chosen.id,
            changes={part: value for part, value in said.items() if value},
            by=planting.By("shell", datetime.now(UTC)),
        )
    value = {"id": made.id, "name": made.name, "time_zone": made.time_zone}
    tell(f"{made.name}, {made.time_zone}.", value, as_json=as_json)


def _unmanaged(name: str, logins: list[str], database: str) -> list[str]:
    """Say what makes a farm visible that no account manages; nothing where there is no account that could."""
    from shlex import quote

    if not logins:
        return []
    login, more = logins[0], []
    if len(logins) > 1:
        login, more = "LOGIN", [f"LOGIN is one of {', '.join(logins)}."]
    where = "" if database == DEFAULT_DATABASE else f" --database {quote(database)}"
    return [
        "No account manages it, so the browser shows it to nobody yet. Next (on SQLite stop the service first):",
        f"  orchardmap user role {login} manager --farm {quote(name)}{where}",
        *more,
    ]
