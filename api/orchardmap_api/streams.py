"""The streams that tell open pages where a farm's log stands: woken by the store's bell, bounded, and ended before the service is."""

import asyncio
from collections.abc import AsyncIterator, Awaitable, Callable
from dataclasses import dataclass, field
from typing import Any

from orchardmap.store.session import Store

__all__ = ["Stream", "Streams"]

Json = dict[str, Any]
BEAT_S = 15.0
"""So often a stream says where the log stands though nobody rang, and whether whoever reads may still: a proxy keeps it open, a
page knows that it is alive, and a bell that was missed costs no more than this."""
GAP_S = 0.2
"""A stream speaks no more often: many tablets that send at once make one event."""
LIFE_S = 3600.0
"""Then a stream ends and the page opens another one."""
MOST = 256
"""Of one process."""
MOST_OF_ONE = 12
"""Of one account or tablet; one more ends its oldest."""


@dataclass(eq=False)
class Stream:
    """One open answer. Made, woken and ended on the event loop."""

    farm_id: str
    caller: str
    woken: asyncio.Event = field(default_factory=asyncio.Event)
    ended: bool = False

    def end(self) -> None:
        """Have it end once it has said what it is saying."""
        self.ended = True
        self.woken.set()


class Streams:
    """All open streams of a process."""

    def __init__(self, store: Store, *, beat_s: float = BEAT_S, life_s: float = LIFE_S) -> None:
        self.beat_s, self.life_s = beat_s, life_s
        self._open: list[Stream] = []
        self._loop: asyncio.AbstractEventLoop | None = None
        self._bell = store.bell
        self._stop_listening: Callable[[], None] = lambda: None
        self._ended = False

    def open(self, farm_id: str, caller: str) -> Stream | None:
        """Return a new stream, which hears the bell from now on; None where the process has as many as it may, or ends."""
        if self._ended or len(self._open) >= MOST:
            return None
        if self._loop is None:
            self._loop = asyncio.get_running_loop()
            self._stop_listening = self._bell.listen(self._rung)
        of_caller = [one for one in self._open if one.caller == caller and not one.ended]
        for oldest in of_caller[: max(0, len(of_caller) + 1 - MOST_OF_ONE)]:
            oldest.end()
        made = Stream(farm_id, caller)
        self._open.append(made)
        return made

    def close(self, stream: Stream) -> None:
        """Forget a stream."""
        self._open.remove(stream)

    def end(self) -> None:
        """End all streams, and open none from now on: the service is about to stop, and would wait for them."""
        self._ended = True
        self._stop_listening()
        for one in self._open:
            one.end()

    async def told(self, stream: Stream, look: Callable[[], Awaitable[Json | None]]) -> AsyncIterator[Json]:
        """Yield where the log stands: at once, whenever it went on, and at each beat.

        Parameters
        ----------
        stream : Stream
            Of `open`.
        look : async callable returning dict or None
            Reads where the log stands, in a session of its own; None once whoever reads may no longer. A stream never says what it
            has not just read, so nothing is lost by a bell that rings twice, too early or not at all.
        """
        loop = asyncio.get_running_loop()
        end = loop.time() + self.life_s
        last: Json | None = None
        beats = False
        while not stream.ended:
            stream.woken.clear()
            looked = loop.time()
            place = await look()
            if place is None:
                return
            if beats or place != last:
                last = place
                yield place
            if loop.time() >= end:
                return
            beats = not await _within(stream.woken, self.beat_s)
            await asyncio.sleep(max(0.0, looked + GAP_S - loop.time()))

    def _rung(self, farm_id: str | None) -> None:
        loop = self._loop
        if loop is not None and not loop.is_closed():
            loop.call_soon_threadsafe(self._wake, farm_id)

    def _wake(self, farm_id: str | None) -> None:
        for one in self._open:
            if farm_id is None or one.farm_id == farm_id:
                one.woken.set()


async def _within(event: asyncio.Event, seconds: float) -> bool:
    """Tell whether an event was set within some time."""
    try:
        await asyncio.wait_for(event.wait(), seconds)
    except TimeoutError:
        return False
    return True
