"""The command ``orchardmap``: one subcommand a job. Heavy imports wait until their command runs."""

import os
from datetime import UTC, datetime
from pathlib import Path
from typing import Annotated, Any

import typer

from orchardmap import __version__
from orchardmap.cli.lasting import lasting
from orchardmap.cli.running import in_good_order

__all__ = ["app", "run"]

app = typer.Typer(
    name="orchardmap",
    no_args_is_help=True,
    help="Get an apple orchard pruned in one dormant season: rows, trees, marks, checks, one map.",
    rich_markup_mode="markdown",
)
Database = Annotated[
    str,
    typer.Option(
        "--database",
        envvar="ORCHARDMAP_DATABASE_URL",
        help="sqlite:///path/to/file or postgresql://user@host/name.",
    ),
]
AsJson = Annotated[bool, typer.Option("--json", help="Say it as JSON, for a script.")]
DEFAULT_DATABASE = "sqlite:///orchardmap.sqlite"


def _tell_version(asked: bool) -> None:
    if asked:
        typer.echo(f"orchardmap {__version__}")
        raise typer.Exit


@app.callback()
def _begin(
    version: Annotated[
        bool,
        typer.Option("--version", callback=_tell_version, is_eager=True, help="Say which version this is."),
    ] = False,
) -> None:
    pass


def run() -> None:
    """Run the command line; an error of ours is one sentence on the error stream and exit code 1."""
    # read once, with numpy: its matrices here are small, and threads that wait for each other on a busy machine took a
    # forecast from half a second to two
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    with in_good_order():
        app()


def print_json(value: Any) -> None:  # noqa: ANN401 - anything that JSON can carry
    """Print a value as indented JSON."""
    import json

    typer.echo(json.dumps(value, ensure_ascii=False, indent=2))


def tell(words: str, value: Any, *, as_json: bool) -> None:  # noqa: ANN401 - anything that JSON can carry
    """Say what came of a command: in words to people, as JSON to a script."""
    if as_json:
        print_json(value)
    else:
        typer.echo(words)


@app.command("map")
def write_map(
    out: Annotated[
        Path,
        typer.Option(
            "--out", help="HTML file to write; it opens from disk with no network. - is standard output."
        ),
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
    from orchardmap.cli.making import write_paper
    from orchardmap.usecases import sharing

    asked = day.date() if day else None
    write_paper(
        out,
        (database, farm_name),
        lambda store, chosen: sharing.map_document(
            store, chosen.id, day=asked, now=datetime.now(UTC)
        ).encode(),
    )


@app.command()
def rebuild(
    check: Annotated[bool, typer.Option("--check", help="Only compare, change nothing.")] = False,
    as_json: AsJson = False,
    database: Database = DEFAULT_DATABASE,
) -> None:
    """Fold the whole log anew and prove that the stored state of every row equals it.

    With --check exit code 1 when a row differs.

    Example: orchardmap rebuild --check
    """
    from orchardmap.cli.opening import opened_store
    from orchardmap.cli.waiting import at_work
    from orchardmap.usecases import folding, reporting

    store = opened_store(database)
    try:
        with at_work("Folding the log anew ..."):
            differing = [
                row
                for one in reporting.all_farms(store)
                for row in folding.rebuild(store, one.id, write=not check)
            ]
    finally:
        store.close()
    words = "Every stored row equals the log."
    if differing:
        words = f"{len(differing)} rows differed{'.' if check else ' and were replaced.'}"
    rows = [{"block": block_id, "row": number} for block_id, number in differing]
    tell(words, {"differing": rows, "replaced": not check}, as_json=as_json)
    raise typer.Exit(1 if check and differing else 0)


@app.command()
def demo(
    seed: Annotated[int, typer.Option(help="Another seed, another season.")] = 7,
    file: Annotated[Path, typer.Option(help="SQLite file of the demo.")] = Path("demo-data/demo.sqlite"),
    serve_it: Annotated[
        bool, typer.Option("--serve/--no-serve", help="Start the service when the farm is ready.")
    ] = True,
    port: Annotated[
        int | None,
        typer.Option(
            min=0, max=65_535, help="Port of the service, 0 takes a free one; the setting when left out."
        ),
    ] = None,
) -> None:
    """Make an invented farm in the middle of its season, and serve it.

    Links to come in as manager, auditor, adviser and foreman are printed; they work until the demo is started again,
    more than once. A demo made earlier today is kept with what was marked in it; an older one is set aside and made anew. A file that
    holds any other farm is refused.

    Example: orchardmap demo --port 8421
    """
    with lasting():
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
        int | None,
        typer.Option(min=0, max=65_535, help="Port, 0 takes a free one; the setting when left out."),
    ] = None,
    certificates: Annotated[
        str | None, typer.Option(help="Folder that `orchardmap certificates` made: serve https with it.")
    ] = None,
    plain_port: Annotated[
        int | None,
        typer.Option(
            min=0, max=65_535, help="With --certificates: where the page for trusting them is on plain http."
        ),
    ] = None,
    tls_cert: Annotated[str | None, typer.Option(help="A certificate of your own (PEM), for https.")] = None,
    tls_key: Annotated[str | None, typer.Option(help="Its key (PEM).")] = None,
) -> None:
    """Start the service.

    Where there is no account yet, it prints an address at which the first one is made. Off this machine serve https
    only; a tablet keeps marks without a signal only over https that it trusts: see `orchardmap certificates`.

    Example: orchardmap serve --database sqlite:///farm.sqlite --host 0.0.0.0 --certificates certificates
    """
    with lasting():
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


from orchardmap.cli import (  # noqa: E402, F401 - register their commands on the app above
    briefs,
    calculating,
    calculating_pay,
    exporting,
    farms,
    forecasting,
    importing,
    keeping,
    keys,
    loading,
    network,
    paper,
    people,
    planning,
    printing,
    recording,
    season_report,
    seasons,
    taking_in,
)
from orchardmap.cli.panels import arranged  # noqa: E402 - once all of them are registered

arranged(app)
