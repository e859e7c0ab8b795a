"""Start the service, and make the demo that it shows."""

import logging
import signal
import socket
import sys
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import typer
import uvicorn

from orchardmap.errors import StoreError
from orchardmap.store import health
from orchardmap.store.session import open_store
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


def make_demo(database_url: str, *, seed: int, now: datetime) -> None:
    """Make the demo farm, unless the database holds one made for this day."""
    from orchardmap.demo.build import build_demo
    from orchardmap.demo.people import TIME_ZONE

    today = now.astimezone(ZoneInfo(TIME_ZONE)).date()
    path = Path(database_url.removeprefix("sqlite:///")) if database_url.startswith("sqlite") else None
    if path is not None and path.exists() and not _made_for(path, today.isoformat()):
        # refuses while a service has it open, and brings what only the write-ahead log holds into the file
        open_store(database_url).close()
        path.replace(path.with_name(f"{path.name}.older"))
        for beside in ("-wal", "-shm"):
            path.with_name(path.name + beside).unlink(missing_ok=True)
    store = open_store(database_url)
    try:
        for note in health.notes(store):
            typer.echo(f"Note: {note}.", err=True)
        if reporting.all_farms(store):
            typer.echo("The demo of today is there already; what was marked in it stays.")
            return
        typer.echo("Making the demo farm: blocks, rows, half a season of marks and checks ...")
        build_demo(store, seed=seed, today=today, now=now)
        _remember(path, today.isoformat())
    finally:
        store.close()


def _day_file(path: Path) -> Path:
    return path.with_name(f"{path.name}.day")


def _made_for(path: Path, day: str) -> bool:
    file = _day_file(path)
    return file.exists() and file.read_text("utf-8").strip() == day


def _remember(path: Path | None, day: str) -> None:
    if path is not None:
        _day_file(path).write_text(day + "\n", "utf-8")
