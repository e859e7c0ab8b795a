"""The command ``orchardmap``: one subcommand a job. Heavy imports wait until their command runs."""

import sys
from datetime import UTC, datetime
from pathlib import Path
from typing import Annotated, Any

import typer

from orchardmap.errors import OrchardmapError

__all__ = ["app", "run"]

app = typer.Typer(
    name="orchardmap",
    no_args_is_help=True,
    help="Get an apple orchard pruned in one dormant season: rows, trees, marks, checks, one map.",
    rich_markup_mode="markdown",
)
calc = typer.Typer(no_args_is_help=True, help="Calculate from a JSON file, without a database.")
app.add_typer(calc, name="calc")

Database = Annotated[
    str,
    typer.Option(
        "--database",
        envvar="ORCHARDMAP_DATABASE_URL",
        help="sqlite:///path/to/file or postgresql://user@host/name.",
    ),
]
DEFAULT_DATABASE = "sqlite:///orchardmap.sqlite"


def run() -> None:
    """Run the command line; an error of ours is one sentence on the error stream and exit code 1."""
    try:
        app()
    except OrchardmapError as error:
        typer.secho(f"orchardmap: {error}", err=True, fg=typer.colors.RED)
        sys.exit(1)


def print_json(value: Any) -> None:  # noqa: ANN401 - anything that JSON can carry
    """Print a value as indented JSON."""
    import json

    typer.echo(json.dumps(value, ensure_ascii=False, indent=2))


@calc.command("rows")
def calc_rows(
    file: Annotated[
        Path, typer.Argument(help="JSON file with one job or a list of jobs; - reads standard input.")
    ],
    rows: Annotated[bool, typer.Option("--rows", help="Also list every row.")] = False,
) -> None:
    """Rows, lengths and positions of an outline.

    A job holds "outline" (a GeoJSON geometry, WGS 84; or the job is a Feature with these numbers as properties), "bearing_deg", "row_spacing_m", "tree_spacing_m",
    "end_offset_m", "first_row_offset_m", "headland_m", "min_row_length_m"; further "lines_per_row", "pair_spacing_m",
    "first_row" (two points) and "baseline" (a drawn first row).

    Example: orchardmap calc rows job.json --rows
    """
    from orchardmap.cli.reading import read_json
    from orchardmap.geometry.calc import calculated_jobs

    print_json(calculated_jobs(read_json(file), with_rows=rows))


@calc.command("crop-load")
def calc_crop_load(
    file: Annotated[
        Path, typer.Argument(help="JSON file with one job or a list of jobs; - reads standard input.")
    ],
    steps: Annotated[
        bool,
        typer.Option("--steps", help="Also tell densities, fruit per limb, and what each cut limb changes."),
    ] = False,
) -> None:
    """Buds to leave on a tree, fruit on a young trunk, limbs to take out.

    A job is one of three kinds. The answer has the keys after the arrow.

    1. "yield_t_per_ha", "fruit_mass_g", "trees_per_ha", "limbs_per_tree", and "insurance_factor" or "floral_share" (0.84 for 84 %) -> "fruit_per_tree", "buds_per_tree", "buds_per_limb". Or "yield_bu_per_acre" with "fruit_per_bushel"; or "fruit_per_tree" alone. Instead of "trees_per_ha": "trees_per_acre", or "row_spacing_m" and "tree_spacing_m", each also in "_ft".

    2. "trunk_diameter_cm", "fruit_per_cm2" -> "trunk_area_cm2", "fruit_per_tree".

    3. "trunk_diameter_cm", "limb_diameters_cm" (a list), "target_ratio" -> "ratio", "remove_cm" (largest first), "ratio_after".

    Buds are rounded up, and fruit on a trunk to the nearest whole one; all else has three decimals. Nothing is rounded on the way.

    Example: orchardmap calc crop-load job.json --steps
    """
    from orchardmap.cli.reading import read_json
    from orchardmap.pruning.calc import calculated_crop_loads

    print_json(calculated_crop_loads(read_json(file), with_steps=steps))


@app.command()
def farm(
    name: Annotated[str, typer.Argument(help="Name of the farm.")],
    time_zone: Annotated[str, typer.Option(help="IANA name of the farm's time zone.")] = "UTC",
    database: Database = DEFAULT_DATABASE,
) -> None:
    """Make a farm.

    Example: orchardmap farm "Long Meadow" --time-zone Europe/London
    """
    from orchardmap.cli.opening import opened_store
    from orchardmap.usecases import planting

    store = opened_store(database)
    try:
        made = planting.create_farm(store, name=name, time_zone=time_zone, now=datetime.now(UTC))
    finally:
        store.close()
    typer.echo(f"Made the farm {made.name} ({made.id}).")


@app.command("map")
def write_map(
    out: Annotated[
        Path, typer.Option("--out", help="HTML file to write; it opens from disk with no network.")
    ],
    farm_name: Annotated[str, typer.Option("--farm", help="Name of the farm, where there are several.")] = "",
    day: Annotated[
        datetime | None, typer.Option(formats=["%Y-%m-%d"], help="As of this day; today when left out.")
    ] = None,
    database: Database = DEFAULT_DATABASE,
) -> None:
    """Write the map as one file.

    Example: orchardmap map --out map.html
    """
    from orchardmap.cli.opening import opened_store
    from orchardmap.cli.reading import write_text
    from orchardmap.usecases import reporting, sharing

    store = opened_store(database, read_only=True)
    try:
        chosen = reporting.chosen_farm(store, farm_name)
        text = sharing.map_document(store, chosen.id, day=day.date() if day else None, now=datetime.now(UTC))
    finally:
        store.close()
    write_text(out, text)
    typer.echo(f"Wrote {out} ({len(text.encode()) / 1000:.0f} kB).")


@app.command()
def rebuild(
    check: Annotated[bool, typer.Option("--check", help="Only compare, change nothing.")] = False,
    database: Database = DEFAULT_DATABASE,
) -> None:
    """Fold the whole log anew and prove that the stored state of every row equals it.

    Example: orchardmap rebuild --check
    """
    from orchardmap.cli.opening import opened_store
    from orchardmap.usecases import folding, reporting

    store = opened_store(database)
    try:
        differing = [
            row
            for one in reporting.all_farms(store)
            for row in folding.rebuild(store, one.id, write=not check)
        ]
    finally:
        store.close()
    if differing:
        typer.echo(f"{len(differing)} rows differed{'.' if check else ' and were replaced.'}")
        raise typer.Exit(1 if check else 0)
    typer.echo("Every stored row equals the log.")


@app.command()
def demo(
    seed: Annotated[int, typer.Option(help="Another seed, another season.")] = 7,
    file: Annotated[Path, typer.Option(help="SQLite file of the demo.")] = Path("demo-data/demo.sqlite"),
    serve_it: Annotated[
        bool, typer.Option("--serve/--no-serve", help="Start the service when the farm is ready.")
    ] = True,
    port: Annotated[int, typer.Option(help="Port of the service; 0 takes a free one.")] = 8420,
) -> None:
    """Make an invented farm in the middle of its season, and serve it.

    Links to come in as manager, auditor, adviser and foreman are printed; they work until the demo is started again,
    more than once. A demo made earlier today is kept with what was marked in it; an older one is set aside and made anew. A file that
    holds any other farm is refused.

    Example: orchardmap demo --port 8421
    """
    from orchardmap.cli.serving import demo_ways, make_demo, serve_until_stopped
    from orchardmap.store.session import sqlite_url

    now = datetime.now(UTC)
    make_demo(file, seed=seed, now=now)
    if serve_it:
        serve_until_stopped(ways=demo_ways(file, now=now), database_url=sqlite_url(file), port=port)


@app.command()
def serve(
    database: Annotated[
        str | None,
        typer.Option(
            "--database", help="sqlite:///path or postgresql://user@host/name; the setting when left out."
        ),
    ] = None,
    host: Annotated[str | None, typer.Option(help="Address to listen on; the setting when left out.")] = None,
    port: Annotated[
        int | None, typer.Option(help="Port, 0 takes a free one; the setting when left out.")
    ] = None,
    certificates: Annotated[
        str | None, typer.Option(help="Folder that `orchardmap certificates` made: serve https with it.")
    ] = None,
    plain_port: Annotated[
        int | None,
        typer.Option(help="With --certificates: where the page for trusting them is on plain http."),
    ] = None,
    tls_cert: Annotated[str | None, typer.Option(help="A certificate of your own (PEM), for https.")] = None,
    tls_key: Annotated[str | None, typer.Option(help="Its key (PEM).")] = None,
) -> None:
    """Start the service.

    Where there is no account yet, it prints an address at which the first one is made. Off this machine serve https
    only; a tablet keeps marks without a signal only over https that it trusts: see `orchardmap certificates`.

    Example: orchardmap serve --database sqlite:///farm.sqlite --host 0.0.0.0 --certificates certificates
    """
    from orchardmap.cli.serving import serve_until_stopped

    serve_until_stopped(
        database_url=database,
        host=host,
        port=port,
        certificates=certificates,
        plain_port=plain_port,
        tls_cert=tls_cert,
        tls_key=tls_key,
    )


from orchardmap.cli import keeping, loading, network, people, printing, taking_in  # noqa: E402, F401 - register their commands on the app above
