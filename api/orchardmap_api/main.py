"""Put the service together."""

import logging
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from datetime import UTC, datetime

from fastapi import FastAPI
from uvicorn.middleware.proxy_headers import ProxyHeadersMiddleware

from orchardmap import __version__
from orchardmap.store.session import Store, open_store
from orchardmap.usecases import accounts
from orchardmap.usecases.warming import Warming
from orchardmap_api.access import refuse_unguarded
from orchardmap_api.denials import Denials
from orchardmap_api.errors import Unforeseen, install_problem_handlers
from orchardmap_api.guards import BodyLimit, Compressed, KnownHost, SameOrigin, SecurityHeaders
from orchardmap_api.requestlog import RequestLog
from orchardmap_api.routes import (
    blocks,
    brief_cards,
    briefs,
    farm_features,
    farms,
    features,
    files,
    giving,
    ground,
    hazards,
    health,
    imports,
    labels,
    live,
    lots,
    network,
    packs,
    pages,
    paper,
    pay,
    people,
    photos,
    planning,
    pruning,
    quality,
    reading_keys,
    records,
    returns,
    settling,
    tablets,
    timing,
    who,
)
from orchardmap_api.settings import Settings, full_database_url
from orchardmap_api.streams import Streams

__all__ = ["create_app"]

ROUTERS = (
    health.router,
    features.router,  # asked most often a second, and what stands before it is looked at first
    who.router,
    people.router,
    tablets.router,
    reading_keys.router,
    farms.router,
    live.router,
    hazards.router,
    farm_features.router,
    blocks.router,
    records.router,
    photos.router,
    settling.router,
    lots.router,
    returns.router,
    briefs.router,
    brief_cards.router,
    pruning.router,
    planning.router,
    giving.router,
    ground.router,
    timing.router,
    pay.router,
    packs.router,
    quality.router,
    imports.router,
    labels.router,
    paper.router,
    files.router,
    network.router,
    pages.router,
)


def _wall_clock() -> datetime:
    return datetime.now(UTC)


def create_app(
    settings: Settings, *, clock: Callable[[], datetime] = _wall_clock, opened: Store | None = None
) -> FastAPI:
    """Return the service for the given settings; it opens its database when it starts and closes it when it stops.

    Parameters
    ----------
    settings : Settings
        See `orchardmap_api.settings`.
    clock : callable returning datetime with time zone
        Another clock for tests.
    opened : Store, optional
        Its database, where that is open already: whoever starts it tells in a sentence of his own why it cannot be.

    Returns
    -------
    FastAPI
    """
    log = logging.getLogger("orchardmap")

    @asynccontextmanager
    async def life(app: FastAPI) -> AsyncIterator[None]:
        store = opened or open_store(full_database_url(settings))
        app.state.store = store
        app.state.streams = Streams(store)
        app.state.warming = Warming(store, clock=clock)
        try:
            app.state.set_up_token = accounts.prepare_first_start(store)
            yield
        finally:
            app.state.streams.end()
            app.state.warming.end()
            store.close()

    app = FastAPI(title="orchardmap", version=__version__, lifespan=life, docs_url=None, redoc_url=None)
    app.state.settings = settings
    app.state.clock = clock
    app.state.log = log
    app.state.denials = Denials()
    app.state.set_up_token = None
    install_problem_handlers(app)
    for router in ROUTERS:
        app.include_router(router)
    refuse_unguarded(app)
    _seek_once(app)
    # the last one added is the first one to see a request
    app.add_middleware(Unforeseen, log=log)
    app.add_middleware(BodyLimit)
    app.add_middleware(SameOrigin)
    app.add_middleware(KnownHost, allowed=settings.allowed_hosts)
    app.add_middleware(Compressed)
    app.add_middleware(SecurityHeaders, https_only=_is_https_only(settings), tile_url=settings.tile_url)
    app.add_middleware(RequestLog, log=log)
    if settings.trusted_proxies:
        app.add_middleware(ProxyHeadersMiddleware, trusted_hosts=settings.trusted_proxies)
    return app


def _seek_once(app: FastAPI) -> None:
    """Look for a page that is not there: what each route takes is worked out when it is first come by.

    Else the first page after a start would wait for it, 0.15 s for 190 routes.
    """
    nowhere = {"type": "http", "method": "GET", "path": "/no such page", "root_path": "", "headers": []}
    for route in app.routes:
        route.matches(nowhere)


def _is_https_only(settings: Settings) -> bool:
    """Tell whether browsers may be told to come by https alone for a year.

    Not with certificates of the farm's own: the promise holds for all ports of a host, and would
    lock tablets out of the plain page on which they learn to trust a new authority.
    """
    by_https = settings.public_address.startswith("https://") or bool(settings.tls_cert)
    return by_https and not settings.certificates
