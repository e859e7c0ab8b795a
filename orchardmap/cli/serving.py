"""Start the service, and make the demo that it shows."""

import logging
import signal
import sys
from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import typer
import uvicorn
from fastapi import FastAPI

from orchardmap.cli.lasting import lasting
from orchardmap.cli.listening import Listening, bound, listening_address, plain_service, ready_words, with_tls
from orchardmap.demo.people import FARM_NAME, NEIGHBOUR_NAME
from orchardmap.demo.visitors import Way, ways_in
from orchardmap.errors import StoreError
from orchardmap.store import health
from orchardmap.store.session import open_store, sqlite_url
from orchardmap.usecases import reporting
from orchardmap_api.main import create_app
from orchardmap_api.settings import Settings, full_database_url, settings_from

__all__ = ["demo_ways", "make_demo", "serve_until_stopped"]

_GRACE_S = 10


def serve_until_stopped(*, ways: Sequence[Way] = (), **told: Any) -> None:  # noqa: ANN401 - a setting's own kind
    """Serve until SIGTERM or Ctrl-C; requests under way are finished first.

    Parameters
    ----------
    ways : sequence of Way
        Of the demo: said with the address once it is ready.
    **told : str or int
        Settings that the command line names; None leaves the environment's.
    """
    settings = replace(settings_from(), **{name: value for name, value in told.items() if value is not None})
    logging.basicConfig(stream=sys.stderr, level=logging.WARNING, format="%(message)s")
    logging.getLogger("orchardmap").setLevel(logging.INFO if settings.request_log else logging.WARNING)
    settings = with_tls(settings)
    listener, plain = bound(settings.host, settings.port), None
    settings = replace(settings, port=listener.getsockname()[1])
    if settings.certificates:
        plain = bound(settings.host, settings.plain_port, option="--plain-port")
        settings = replace(settings, plain_port=plain.getsockname()[1])
    store = open_store(full_database_url(settings))
    with lasting():
        app = create_app(settings, opened=store)
    config = uvicorn.Config(
        app,
        log_config=None,
        access_log=False,
        timeout_graceful_shutdown=_GRACE_S,
        server_header=False,
        # the app itself believes what a proxy's headers claim, and only from the proxies that the setting names
        proxy_headers=False,
        ssl_certfile=settings.tls_cert or None,
        ssl_keyfile=settings.tls_key or None,
    )
    for asked_to_stop in (signal.SIGTERM, signal.SIGINT):
        # uvicorn ends in good order and then raises the signal again; being asked to stop is no failure
        signal.signal(asked_to_stop, lambda *_: None)
    with plain_service(settings, plain):
        served = Listening(
            config,
            ready_words(settings),
            welcome=lambda: _welcome(app, settings, ways),
            ready=lambda: app.state.warming.start(),  # noqa: PLW0108 - it is made when the store is open
            leaving=lambda: app.state.streams.end(),  # noqa: PLW0108 - there are none before it has started
        )
        served.run(sockets=[listener])


def _welcome(app: FastAPI, settings: Settings, ways: Sequence[Way]) -> list[str]:
    """Return how to come in: by the demo's links, or by the set-up token where there is no account yet."""
    address = settings.public_address or listening_address(settings)
    if ways:
        report = f"{Path(sys.executable).with_name('orchardmap')} report --farm '{FARM_NAME}'"
        shell = f"In another shell, beside it: {report} --database {settings.database_url}"
        return ["", "Come in as", *(f"  {way.words}:\n    {address}{way.path}" for way in ways), "", shell]
    if app.state.set_up_token is None:
        return []
    return [
        "There is no account yet. Whoever opens this address makes the first one:",
        f"  {address}/first-start#token={app.state.set_up_token}",
    ]


def demo_ways(path: Path, *, now: datetime) -> list[Way]:
    """Return new ways into the demo of a file."""
    store = open_store(sqlite_url(path))
    try:
        return ways_in(store, now=now)
    finally:
        store.close()


def make_demo(path: Path, *, seed: int, now: datetime) -> None:
    """Make the demo farm in a SQLite file, unless it holds one made for this day.

    Parameters
    ----------
    path : Path
        Of the file; one that an earlier demo made is set aside under a name of its own.
    seed : int
        Another seed, another season.
    now : datetime with time zone
        The moment the demo is looked at.

    Raises
    ------
    StoreError
        If the file was not made by a demo: nothing of it is touched.
    """
    from orchardmap.demo.build import build_demo
    from orchardmap.demo.neighbour import build_neighbour
    from orchardmap.demo.people import TIME_ZONE

    today = now.astimezone(ZoneInfo(TIME_ZONE)).date().isoformat()
    if path.exists():
        if _made_for(path) == today:
            typer.echo("The demo of today is there already; what was marked in it stays.")
            return
        _set_aside(path, now)
    store = open_store(sqlite_url(path))
    try:
        for note in health.notes(store):
            typer.echo(f"Note: {note}.", err=True)
        typer.echo("Making the demo farm: blocks, rows, half a season of marks and checks ...")
        build_demo(store, seed=seed, today=date.fromisoformat(today), now=now)
        build_neighbour(store, seed=seed, today=date.fromisoformat(today), now=now)
        reporting.remember(store, _DEMO_DAY, today)
    finally:
        store.close()


_DEMO_DAY = "demo_day"


def _made_for(path: Path) -> str:
    """Return the day that a demo file was made for, empty for one that broke off; refuse any other file."""
    store = open_store(sqlite_url(path))
    try:
        day, farms = reporting.remembered(store, _DEMO_DAY), reporting.all_farms(store)
    finally:
        store.close()
    if day is None and any(farm.name not in {FARM_NAME, NEIGHBOUR_NAME} for farm in farms):
        raise StoreError(
            "this database was not made by the demo, and stays as it is",
            where=str(path),
            todo="Give --file another one.",
        )
    return day or ""


def _set_aside(path: Path, now: datetime) -> None:
    older = path.with_name(f"{path.stem}.{now:%Y%m%d-%H%M%S}{path.suffix}")
    for end in ("", "-wal", "-shm"):
        part = path.with_name(path.name + end)
        if part.exists():
            part.rename(older.with_name(older.name + end))
    typer.echo(f"The earlier demo was set aside as {older.name}.")
