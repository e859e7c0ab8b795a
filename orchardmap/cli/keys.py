"""``orchardmap key``: keys by which programs read a farm's features, by whoever has the shell."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Annotated, Any

import typer

from orchardmap.cli.main import DEFAULT_DATABASE, AsJson, Database, app, print_json, tell

if TYPE_CHECKING:
    from orchardmap.model.access import KeySight
    from orchardmap.model.orchard import Farm as ChosenFarm
    from orchardmap.store.session import Store

__all__ = ["key"]

key = typer.Typer(
    no_args_is_help=True,
    help="Reading keys: each lets a program such as QGIS read one farm. On SQLite stop the service before one is made or ended.",
)
app.add_typer(key, name="key")

Name = Annotated[str, typer.Argument(help="Name of the key, such as QGIS in the office.")]
Farm = Annotated[str, typer.Option("--farm", help="Name of the farm, where there are several.")]


@contextmanager
def _opened(database: str, farm: str, *, read_only: bool = False) -> Iterator[tuple["Store", "ChosenFarm"]]:
    from orchardmap.cli.opening import opened_store
    from orchardmap.usecases import reporting

    store = opened_store(database, read_only=read_only)
    try:
        yield store, reporting.chosen_farm(store, farm)
    finally:
        store.close()


@key.command()
def make(
    name: Name,
    without_checks: Annotated[
        bool,
        typer.Option(
            "--without-checks", help="It sees what an adviser reads, but no checks and no weak areas."
        ),
    ] = False,
    until: Annotated[
        datetime | None,
        typer.Option(formats=["%Y-%m-%d"], help="Its last day; a year from today when left out."),
    ] = None,
    address: Annotated[
        str, typer.Option(help="Of the service, as programs reach it.")
    ] = "http://127.0.0.1:8420",
    farm: Farm = "",
    as_json: AsJson = False,
    database: Database = DEFAULT_DATABASE,
) -> None:
    """Make a reading key and show it, this once, with the address that it opens.

    Example: orchardmap key make "QGIS in the office" --until 2027-10-31 --address https://orchard.lan
    """
    from orchardmap.usecases import reading_keys

    with _opened(database, farm) as (store, chosen):
        sight: KeySight = "work" if without_checks else "all"
        wish = reading_keys.KeyWish(name, sight, until.date() if until else None)
        made, secret = reading_keys.make(
            store, actor="shell", farm_id=chosen.id, wish=wish, now=datetime.now(UTC)
        )
    place = f"{address.rstrip('/')}/ogc/farms/{chosen.id}"
    words = (
        f"Address: {place}\nKey:     {secret}\n"
        f"It is shown only now, and is good up to {made['ends_on']}. As user and password: any user, the key as password. "
        "As a header: Authorization: Bearer, a blank, the key."
    )
    tell(words, {"reading_key": made, "key": secret, "address": place}, as_json=as_json)


@key.command("list")
def list_keys(farm: Farm = "", as_json: AsJson = False, database: Database = DEFAULT_DATABASE) -> None:
    """List a farm's reading keys, the last made first; ended ones too. The keys themselves are not kept.

    Example: orchardmap key list
    """
    from orchardmap.usecases import reading_keys

    with _opened(database, farm, read_only=True) as (store, chosen):
        found = reading_keys.listed_json(store, chosen.id, now=datetime.now(UTC))
    if as_json:
        print_json(found)
        return
    for one in found:
        typer.echo(_line(one))


def _line(one: dict[str, Any]) -> str:
    state = f"good up to {one['ends_on']}" if one["is_good"] else f"ended {one['ended_at'] or one['ends_on']}"
    sees = "all that an adviser reads" if one["sees"] == "all" else "the work without checks"
    used = f"last used {one['last_used_at']}" if one["last_used_at"] else "never used"
    made = f"made {one['made_at']} by {one['made_by'] or 'the shell'}"
    return f"{one['name']}: {state}; sees {sees}; {made}; {used}"


@key.command()
def end(name: Name, farm: Farm = "", as_json: AsJson = False, database: Database = DEFAULT_DATABASE) -> None:
    """End a reading key: the next request with it is refused.

    Example: orchardmap key end "QGIS in the office"
    """
    from orchardmap.usecases import reading_keys

    with _opened(database, farm) as (store, chosen):
        reading_keys.end_named(store, actor="shell", farm_id=chosen.id, name=name, now=datetime.now(UTC))
    tell(f"{name} has ended: the next request with it is refused.", {"ended": name}, as_json=as_json)
