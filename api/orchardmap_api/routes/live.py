"""Where a farm's log stands, told as it goes on."""

from collections.abc import AsyncIterator
from typing import Annotated, Any

from fastapi import APIRouter, Depends, HTTPException, Request
from fastapi.sse import EventSourceResponse, ServerSentEvent
from starlette.concurrency import run_in_threadpool

from orchardmap.usecases import following
from orchardmap_api.access import READERS, FarmCaller, needs
from orchardmap_api.cookies import device_token, session_token
from orchardmap_api.dependencies import FarmId, ServiceStore
from orchardmap_api.streams import Stream, Streams

router = APIRouter(prefix="/api/farms", tags=["farms"])
_RETRY_MS = 1_000
"""A stream that broke off, or ended after its hour, is opened again after this: what is marked meanwhile shows by then."""


async def _open_stream(request: Request, farm_id: FarmId, caller: FarmCaller) -> AsyncIterator[Stream]:
    streams: Streams = request.app.state.streams
    made = streams.open(str(farm_id), caller.actor)
    if made is None:
        raise HTTPException(
            503,
            "as many pages as may follow do so already; ask for changes now and then",
            {"Retry-After": "60"},
        )
    try:
        yield made
    finally:
        streams.close(made)


@router.get("/{farm_id}/events", dependencies=[needs(*READERS)], response_class=EventSourceResponse)
async def follow_farm(
    request: Request, farm_id: FarmId, store: ServiceStore, stream: Annotated[Stream, Depends(_open_stream)]
) -> AsyncIterator[ServerSentEvent]:
    """Tell where the farm's log stands, at once and whenever it goes on: a hint to read its changes after what one knows.

    Each event is a ``change`` with the log's ``cursor``, also as the event's id, and the ``epoch`` of the database. As each says where the
    log stands now, whoever comes back after any time misses nothing, with ``Last-Event-ID`` or without.
    """
    streams: Streams = request.app.state.streams
    secrets = {"session": session_token(request), "device": device_token(request)}

    def place() -> dict[str, Any] | None:
        return following.place(store, str(farm_id), roles=READERS, now=request.app.state.clock(), **secrets)

    async for told in streams.told(stream, lambda: run_in_threadpool(place)):
        yield ServerSentEvent(event="change", id=str(told["cursor"]), data=told, retry=_RETRY_MS)
