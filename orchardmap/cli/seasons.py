"""``orchardmap season`` and ``orchardmap crew``: what a farm needs before the first mark, by the shell."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Annotated

import typer

from orchardmap.cli.main import DEFAULT_DATABASE, AsJson, Database, app, print_json, tell
from orchardmap.cli.tables import print_table
from orchardmap.model.people import Method, Role

if TYPE_CHECKING:
    from orchardmap.model.orchard import Farm
    from orchardmap.store.session import Store

__all__ = ["FarmName", "crew", "of_farm", "season"]

season = typer.Typer(no_args_is_help=True, help="Seasons: from when to when a farm prunes.")
crew = typer.Typer(no_args_is_help=True, help="Crews and the people in them.")
app.add_typer(season, name="season")
app.add_typer(crew, name="crew")

FarmName = Annotated[str, typer.Option("--farm", help="Name of the farm, where there are several.")]
Day = Annotated[datetime, typer.Option(formats=["%Y-%m-%d"], help="A day, as 2026-01-31.")]


@contextmanager
def of_farm(database: str, farm: str, *, read_only: bool = False) -> Iterator[tuple["Store", "Farm"]]:
    """Open the store and choose the farm that a command names."""
    from orchardmap.cli.opening import opened_store
    from orchardmap.usecases import reporting

    store = opened_store(database, read_only=read_only)
    try:
        yield store, reporting.chosen_farm(store, farm)
    finally:
        store.close()


@season.command("add")
def add_season(
    name: Annotated[str, typer.Argument(help="What people call it.")],
    opens: Day,
    must_finish: Day,
    as_json: AsJson = False,
    farm: FarmName = "",
    database: Database = DEFAULT_DATABASE,
) -> None:
    """Add a season.

    Example: orchardmap season add "Winter 2026/27" --opens 2026-11-16 --must-finish 2027-03-12
    """
    from orchardmap.usecases import planting

    with of_farm(database, farm) as (store, chosen):
        made = planting.add_season(
            store,
            farm_id=chosen.id,
            name=name,
            opens_on=opens.date(),
            must_finish_on=must_finish.date(),
            by=planting.By("shell", datetime.now(UTC)),
        )
    days = {"opens_on": made.opens_on.isoformat(), "must_finish_on": made.must_finish_on.isoformat()}
    words = f"Added the season {made.name}: {made.opens_on} to {made.must_finish_on}."
    tell(words, {"id": made.id, "name": made.name, **days}, as_json=as_json)


@season.command("correct")
def correct_season(
    season: Annotated[str, typer.Argument(help="What it is called now.")],
    name: Annotated[str, typer.Option(help="What it is to be called.")] = "",
    opens: Annotated[datetime | None, typer.Option(formats=["%Y-%m-%d"], help="Another first day.")] = None,
    must_finish: Annotated[
        datetime | None, typer.Option(formats=["%Y-%m-%d"], help="Another day by which it must be finished.")
    ] = None,
    farm: FarmName = "",
    database: Database = DEFAULT_DATABASE,
) -> None:
    """Correct the name or the days of a season; what was recorded in it stays.

    Example: orchardmap season correct "Winter 2026/27" --must-finish 2027-03-19
    """
    from orchardmap.usecases import correcting, named, planting

    changes = {
        "name": name or None,
        "opens_on": opens.date() if opens else None,
        "must_finish_on": must_finish.date() if must_finish else None,
    }
    with of_farm(database, farm) as (store, chosen):
        made = correcting.correct_season(
            store,
            farm_id=chosen.id,
            season_id=named.season_named(store, chosen.id, season).id,
            changes={part: value for part, value in changes.items() if value is not None},
            by=planting.By("shell", datetime.now(UTC)),
        )
    typer.echo(f"{made.name}: {made.opens_on} to {made.must_finish_on}.")


@season.command("list")
def list_seasons(as_json: AsJson = False, farm: FarmName = "", database: Database = DEFAULT_DATABASE) -> None:
    """List the seasons of a farm; the one of today is marked.

    Example: orchardmap season list --json
    """
    from orchardmap.usecases import reporting

    with of_farm(database, farm, read_only=True) as (store, chosen):
        told = reporting.farm_pack(store, chosen.id, now=datetime.now(UTC))
    if as_json:
        return print_json(told["seasons"])
    now = told["season"]["id"] if told["season"] else None
    lines = [
        (one["name"], one["opens_on"], one["must_finish_on"], "now" if one["id"] == now else "")
        for one in told["seasons"]
    ]
    print_table(
        ("season", "opens", "must finish", ""), lines, nothing="No season yet: orchardmap season add."
    )
    return None


@crew.command("add")
def add_crew(
    name: Annotated[str, typer.Argument(help="What people call it.")],
    method: Annotated[Method, typer.Option(help="How it prunes.")] = "ladder",
    as_json: AsJson = False,
    farm: FarmName = "",
    database: Database = DEFAULT_DATABASE,
) -> None:
    """Add a crew.

    Example: orchardmap crew add Rook --method platform
    """
    from orchardmap.usecases import planting

    by = planting.By("shell", datetime.now(UTC))
    with of_farm(database, farm) as (store, chosen):
        made = planting.add_crew(store, farm_id=chosen.id, name=name, method=method, by=by)
    value = {"id": made.id, "name": made.name, "method": made.method}
    tell(f"Added the crew {made.name}.", value, as_json=as_json)


@crew.command("rename")
def rename_crew(
    crew: Annotated[str, typer.Argument(help="What it is called now.")],
    name: Annotated[str, typer.Argument(help="What it is to be called.")],
    as_json: AsJson = False,
    farm: FarmName = "",
    database: Database = DEFAULT_DATABASE,
) -> None:
    """Give a crew another name; what it did stays its own.

    Example: orchardmap crew rename Rok Rook
    """
    from orchardmap.usecases import correcting, named, planting

    by = planting.By("shell", datetime.now(UTC))
    with of_farm(database, farm) as (store, chosen):
        crew_id = named.crew_named(store, chosen.id, crew).id
        made = correcting.correct_crew(
            store, farm_id=chosen.id, crew_id=crew_id, changes={"name": name}, by=by
        )
    tell(f"The crew {crew} is called {made.name} now.", {"id": made.id, "name": made.name}, as_json=as_json)


@crew.command("method")
def change_method(
    crew: Annotated[str, typer.Argument(help="Its name.")],
    method: Annotated[Method, typer.Argument(help="How it prunes from now on.")],
    as_json: AsJson = False,
    farm: FarmName = "",
    database: Database = DEFAULT_DATABASE,
) -> None:
    """Say how a crew prunes; what it pruned so far keeps what was said of it.

    Example: orchardmap crew method Rook platform
    """
    from orchardmap.usecases import correcting, named, planting

    by = planting.By("shell", datetime.now(UTC))
    with of_farm(database, farm) as (store, chosen):
        crew_id = named.crew_named(store, chosen.id, crew).id
        made = correcting.correct_crew(
            store, farm_id=chosen.id, crew_id=crew_id, changes={"method": method}, by=by
        )
    value = {"id": made.id, "name": made.name, "method": made.method}
    tell(f"The crew {made.name} prunes by {made.method}.", value, as_json=as_json)


@crew.command("list")
def list_crews(as_json: AsJson = False, farm: FarmName = "", database: Database = DEFAULT_DATABASE) -> None:
    """List the crews of a farm with how they prune and how many people are in each.

    Example: orchardmap crew list
    """
    from orchardmap.usecases import reporting

    with of_farm(database, farm, read_only=True) as (store, chosen):
        crews = reporting.farm_pack(store, chosen.id, now=datetime.now(UTC))["crews"]
    if as_json:
        return print_json(crews)
    lines = [(one["name"], one["method"], str(one["people"])) for one in crews]
    print_table(("crew", "method", "people"), lines, nothing="No crew yet: orchardmap crew add.")
    return None


@crew.command("person")
def add_person(
    name: Annotated[str, typer.Argument(help="Name of the person.")],
    role: Annotated[Role, typer.Option(help="What the person does on the farm.")] = "worker",
    crew_name: Annotated[
        str, typer.Option("--crew", help="Name of the crew, where the person is in one.")
    ] = "",
    as_json: AsJson = False,
    farm: FarmName = "",
    database: Database = DEFAULT_DATABASE,
) -> None:
    """Add a person. It is no account: who comes in by a browser gets one by `orchardmap user`.

    Example: orchardmap crew person "Kwame Asare" --role foreman --crew Rook
    """
    from orchardmap.usecases import named, planting

    by = planting.By("shell", datetime.now(UTC))
    with of_farm(database, farm) as (store, chosen):
        crew_id = named.crew_named(store, chosen.id, crew_name).id if crew_name else None
        made = planting.add_person(store, farm_id=chosen.id, name=name, role=role, crew_id=crew_id, by=by)
    value = {"id": made.id, "name": made.name, "role": made.role, "crew_id": made.crew_id}
    tell(f"Added {made.name}, {made.role}.", value, as_json=as_json)
