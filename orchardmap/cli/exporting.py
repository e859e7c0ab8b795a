"""``orchardmap export``: files of a farm for everyone else's tools."""

from datetime import UTC, datetime
from pathlib import Path
from typing import Annotated

import typer

from orchardmap.cli.main import DEFAULT_DATABASE, Database, app, print_json

__all__ = ["export"]


@app.command()
def export(
    name: Annotated[
        str,
        typer.Argument(
            help="orchard.gpkg, orchard_with_positions.gpkg, orchard.xlsx, or a layer with its ending: blocks, rows, positions, "
            "marks, checks, weak_areas or progress, .geojson or .csv."
        ),
    ],
    out: Annotated[
        Path | None, typer.Option(help="File to write; NAME in this folder when left out.")
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
    """Write blocks, rows, marks, checks, weak areas or progress as a file for a GIS or a spreadsheet.

    Units stand in the names of columns. People's names are left out unless you ask for them. A file that is there is replaced.

    Example: orchardmap export orchard.gpkg --day 2026-01-20 --out orchard.gpkg
    """
    from orchardmap.cli.opening import opened_store
    from orchardmap.cli.waiting import counted_so_far, put_in_place
    from orchardmap.usecases import reporting
    from orchardmap.usecases.farm_files import FileWish, file_of, write_farm_file

    path = out or Path(file_of(name).name)
    store = opened_store(database, read_only=True)
    try:
        chosen = reporting.chosen_farm(store, farm)
        with counted_so_far("features") as told, put_in_place(path, named=name) as written:
            wish = FileWish(name, day.date() if day else None, None if names else (), language, told)
            made = write_farm_file(store, chosen.id, wish, written, now=datetime.now(UTC))
    finally:
        store.close()
    size = path.stat().st_size
    if as_json:
        print_json({
            "file": str(path), "farm": made.farm_name, "day": made.day.isoformat(), "features": made.features, "bytes": size,
        })  # fmt: skip
    else:
        typer.echo(
            f"Wrote {path} ({size / 1000:.0f} kB): {made.features} features, as of {made.day.isoformat()}."
        )
