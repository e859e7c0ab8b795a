"""``orchardmap export``: files of a farm for everyone else's tools."""

from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from orchardmap.cli.main import DEFAULT_DATABASE, Database, app, print_json
from orchardmap.errors import InputError

if TYPE_CHECKING:
    from orchardmap.store.session import Store
    from orchardmap.usecases.farm_files import FileWish

__all__ = ["export"]

_WHOLE = "farm.zip"


@app.command()
def export(
    name: Annotated[
        str,
        typer.Argument(
            help="orchard.gpkg, orchard_with_positions.gpkg, orchard.xlsx, a layer with its ending (blocks, rows, positions, "
            "marks, checks, weak_areas, progress, farm_points, farm_lines, farm_areas or power_lines; .geojson or .csv), "
            "or farm.zip for the whole farm; a folder before it is where it goes."
        ),
    ],
    out: Annotated[
        Path | None, typer.Option(help="File to write; NAME, in its folder or this one, when left out.")
    ] = None,
    day: Annotated[
        datetime | None, typer.Option(formats=["%Y-%m-%d"], help="As of this day; today when left out.")
    ] = None,
    names: Annotated[
        bool, typer.Option("--names/--no-names", help="Tell who marked and who checked, by name.")
    ] = False,
    language: Annotated[str, typer.Option(help="Of headings and sentences: en, es.")] = "en",
    farm: Annotated[str, typer.Option(help="Name of the farm, where there are several.")] = "",
    as_json: Annotated[bool, typer.Option("--json", help="Tell what was written as JSON.")] = False,
    database: Database = DEFAULT_DATABASE,
) -> None:
    """Write blocks, rows, marks, checks, weak areas or progress as a file for a GIS or a spreadsheet, or the whole farm.

    Units stand in the names of columns. People's names are left out unless you ask for them. A file that is there is replaced.
    farm.zip is all of the farm for `orchardmap import` on another server, with people's names, pay and photos, and without
    accounts, PINs or any other secret: keep it as you keep pay.

    Example: orchardmap export orchard.gpkg --day 2026-01-20 --out orchard.gpkg
    """
    from orchardmap.cli.opening import opened_store
    from orchardmap.cli.writing import goes_on, tell_written
    from orchardmap.locale.catalogue import languages
    from orchardmap.usecases import reporting
    from orchardmap.usecases.farm_files import FileWish

    path = out or Path(name)
    name = name if out else path.name
    if language not in languages():
        raise InputError(
            "no file is made in this language",
            where=language[:20],
            todo=f"Take one of: {', '.join(languages())}.",
        )
    if as_json and goes_on(path):
        raise InputError("--json and the file both want standard output", todo="Name a file with --out.")
    store = opened_store(database, read_only=True)
    try:
        chosen = reporting.chosen_farm(store, farm)
        if name == _WHOLE:
            size, told, words = _write_whole(store, chosen.id, path)
        else:
            wish = FileWish(name, day.date() if day else None, None if names else (), language)
            size, told, words = _write_layers(store, chosen.id, wish, path)
    finally:
        store.close()
    if as_json:
        print_json({"file": str(path), "bytes": size, "farm": chosen.name, **told})
    else:
        tell_written(path, size, f": {words}.")


def _write_layers(
    store: "Store", farm_id: str, wish: "FileWish", path: Path
) -> tuple[int, dict[str, Any], str]:
    from orchardmap.cli.waiting import shown_steps
    from orchardmap.cli.writing import put_in_place
    from orchardmap.usecases.farm_files import file_of, write_farm_file

    file = file_of(wish.name)
    with shown_steps() as told, put_in_place(path, named=file.name) as written:
        made = write_farm_file(store, farm_id, replace(wish, told=told), written, now=datetime.now(UTC))
        size = written.stat().st_size
    day = made.day.isoformat()
    return size, {"day": day, "features": made.features}, f"{made.features} features, as of {day}"


def _write_whole(store: "Store", farm_id: str, path: Path) -> tuple[int, dict[str, Any], str]:
    from orchardmap.cli.waiting import shown_steps
    from orchardmap.cli.writing import put_in_place
    from orchardmap.usecases.whole_farm import pack_farm

    with shown_steps() as told, put_in_place(path, named=_WHOLE) as written:
        made = pack_farm(store, farm_id, written, told=told)
        written.chmod(0o600)  # it holds what only whoever manages the farm may read
        size = written.stat().st_size
    return size, {"lines": dict(made.lines)}, f"{sum(made.lines.values())} lines of {len(made.lines)} tables"
