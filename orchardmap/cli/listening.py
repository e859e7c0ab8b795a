"""Sockets and servers: bind them, put TLS on them, say where they listen."""

import socket
import ssl
import sys
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import typer
import uvicorn

from orchardmap.certificates.folder import SERVER, SERVER_KEY
from orchardmap.errors import InputError, StoreError
from orchardmap.paper.trust_page import TRUST_PATH
from orchardmap.usecases import network
from orchardmap_api.plain_service import create_plain_app
from orchardmap_api.settings import Settings

__all__ = ["Listening", "bound", "listening_address", "plain_service", "ready_words", "with_tls"]

_STARTING_S = 20


def bound(host: str, port: int, *, option: str = "--port") -> socket.socket:
    """Return a socket that holds an address, so that a taken one is known before anything else begins.

    Raises
    ------
    StoreError
        If the address is taken.
    """
    # named TCP, or asyncio leaves Nagle's delay on: each small answer of a kept connection then waits 40 ms for the client's acknowledgement
    listener = socket.socket(
        socket.AF_INET6 if ":" in host else socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP
    )
    listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listener.bind((host, port))
    except OSError as error:
        listener.close()
        raise StoreError(
            f"port {port} is taken",
            where=host,
            todo=f"Stop what listens there, or give another one: {option}, or the setting {_setting(option)}.",
        ) from error
    return listener


def _setting(option: str) -> str:
    """Return the environment variable of an option: `make` passes no options on."""
    return f"ORCHARDMAP_{option.lstrip('-').replace('-', '_').upper()}"


def with_tls(settings: Settings) -> Settings:
    """Return settings with the certificate files to serve with, and the names they speak for among the known hosts.

    Raises
    ------
    InputError
        If the files cannot be used.
    """
    if settings.certificates and (settings.tls_cert or settings.tls_key):
        raise InputError("a folder of certificates and a certificate of your own: give one of them")
    if bool(settings.tls_cert) != bool(settings.tls_key):
        raise InputError("https needs a certificate and its key", todo="Give --tls-cert and --tls-key.")
    if settings.certificates:
        folder = Path(settings.certificates)
        settings = replace(settings, tls_cert=str(folder / SERVER), tls_key=str(folder / SERVER_KEY))
    if not settings.tls_cert:
        return settings
    _try(settings)
    server = network.server_told(Path(settings.tls_cert))
    if soon := network.end_in_words(server, datetime.now(UTC)):
        typer.echo(f"Note: {soon}.", err=True)
    hosts = ",".join([settings.allowed_hosts, *map(str, server.names)])
    return replace(settings, allowed_hosts=hosts)


def _try(settings: Settings) -> None:
    try:
        ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER).load_cert_chain(settings.tls_cert, settings.tls_key)
    except ssl.SSLError as error:
        raise InputError(
            "the certificate and its key do not belong together, or one is damaged",
            where=settings.tls_cert,
            todo="Make them anew: orchardmap certificates.",
        ) from error
    except OSError as error:
        raise InputError(
            f"cannot be read: {error.strerror}",
            where=f"{settings.tls_cert}, {settings.tls_key}",
            todo="Make them: orchardmap certificates --for NAME.",
        ) from error


def ready_words(settings: Settings) -> str:
    """Return what to say when the service listens: its address, and with the farm's certificates where tablets begin."""
    said = f"orchardmap is ready at {listening_address(settings)}/"
    if not settings.certificates:
        return said
    host = _certified_host(settings)
    if settings.host in {"127.0.0.1", "::1", "localhost"} and host != settings.host:
        said += "\nIt listens on this machine alone: tablets need --host 0.0.0.0."
    return f"{said}\nA new tablet begins at http://{host}:{settings.plain_port}{TRUST_PATH}"


def listening_address(settings: Settings) -> str:
    """Return the address it listens at, as a browser on this machine or network would type it."""
    if settings.tls_cert:
        return f"https://{_certified_host(settings)}:{settings.port}"
    return f"http://{_in_address(settings.host)}:{settings.port}"


def _certified_host(settings: Settings) -> str:
    return _in_address(str(network.server_told(Path(settings.tls_cert)).names[0]))


def _in_address(host: str) -> str:
    return f"[{host}]" if ":" in host else host


class Listening(uvicorn.Server):
    """Says where it listens, and who may come in how, once it really does; before it stops it ends what would not end by itself."""

    def __init__(
        self,
        config: uvicorn.Config,
        said: str,
        welcome: Callable[[], Sequence[str]],
        ready: Callable[[], None],
        leaving: Callable[[], None],
    ) -> None:
        super().__init__(config)
        self._said = said
        self._welcome = welcome
        self._ready = ready
        self._leaving = leaving

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        """Start, then say so."""
        await super().startup(sockets)
        if self.started:
            typer.echo("\n".join([self._said, *self._welcome()]))
            sys.stdout.flush()
            self._ready()

    async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
        """End the open streams, which it would else wait for until its patience ends, then stop."""
        self._leaving()
        await super().shutdown(sockets)


@contextmanager
def plain_service(settings: Settings, listener: socket.socket | None) -> Iterator[None]:
    """Run the plain-http service in a thread of its own for the length of a ``with`` block; nothing without a socket.

    Raises
    ------
    StoreError
        If it does not start.
    """
    if listener is None:
        yield
        return
    config = uvicorn.Config(
        create_plain_app(settings),
        log_config=None,
        access_log=False,
        server_header=False,
        lifespan="off",
        proxy_headers=False,
        timeout_graceful_shutdown=1,
    )
    server = uvicorn.Server(config)
    # outside the main thread uvicorn leaves the signals alone
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]}, daemon=True)
    thread.start()
    deadline = time.monotonic() + _STARTING_S
    while not server.started:
        if time.monotonic() > deadline or not thread.is_alive():
            raise StoreError("the plain-http page did not start", todo="Give --plain-port another one.")
        time.sleep(0.01)
    try:
        yield
    finally:
        server.should_exit = True
        thread.join(timeout=_STARTING_S)
