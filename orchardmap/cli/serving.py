"""Start the service, and make the demo that it shows."""

import logging
import signal
import socket
import sys
from dataclasses import replace
from datetime import date, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import typer
import uvicorn

from orchardmap.demo.people import FARM_NAME
from orchardmap.errors import StoreError
from orchardmap.store import health
from orchardmap.store.session import open_store, sqlite_url
from orchardmap.usecases import reporting
from orchardmap_api.main import create_app
from orchardmap_api.settings import settings_from

__all__ = ["make_demo", "serve_until_stopped"]

_GRACE_S = 10


class _Server(uvicorn.Server):
    """Says where it listens once it really does."""

    def __init__(self, config: uvicorn.Config, address: str) -> None:
        super().__init__(config)
        self._address = address

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        await super().startup(sockets)
        if self.started:
            typer.echo(f"orchardmap is ready at {self._address}")
            sys.stdout.flush()


def serve_until_stopped(
    *, database_url: str | None = None, host: str | None = None, port: int | None = None
) -> None:
    """Serve until SIGTERM or Ctrl-C; requests under way are finished first.

    Raises
    ------
    StoreError
        If the address is taken.
    """
    settings = settings_from()
    settings = replace(
        settings,
        database_url=settings.database_url if database_url is None else database_url,
        host=settings.host if host is None else host,
        port=settings.port if port is None else port,
    )
    logging.basicConfig(stream=sys.stderr, level=logging.WARNING, format="%(message)s")
    logging.getLogger("orchardmap").setLevel(logging.INFO if settings.request_log else logging.WARNING)
    family = socket.AF_INET6 if ":" in settings.host else socket.AF_INET
    listener = socket.socket(family)
    listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listener.bind((settings.host, settings.port))
    except OSError as error:
        listener.close()
        raise StoreError(
            f"port {settings.port} is taken",
            where=settings.host,
            todo="Stop what listens there, or give --port another one.",
        ) from error
    app = create_app(settings)
    config = uvicorn.Config(
        app, log_config=None, access_log=False, timeout_graceful_shutdown=_GRACE_S, server_header=False
    )
    for asked_to_stop in (signal.SIGTERM, signal.SIGINT):
        # uvicorn ends in good order and then raises the signal again; being asked to stop is no failure
        signal.signal(asked_to_stop, lambda *_: None)
    _Server(config, f"http://{settings.host}:{listener.getsockname()[1]}/").run(sockets=[listener])


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
    if day is None and any(farm.name != FARM_NAME for farm in farms):
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
