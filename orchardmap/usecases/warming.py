"""What every page asks first, worked out before anybody asks: right after a start nothing is remembered yet."""

import logging
import threading
from collections.abc import Callable
from datetime import datetime

from orchardmap.store.session import Store
from orchardmap.usecases.forecasting import forecast
from orchardmap.usecases.glance import overview
from orchardmap.usecases.reporting import all_farms

__all__ = ["Warming"]

_PATIENCE_S = 5
"""A service that is asked to stop waits no longer for an answer that nobody asked for."""


class Warming:
    """One round over all farms, in a thread of its own; who asks meanwhile waits for the answer that is being worked out."""

    def __init__(self, store: Store, *, clock: Callable[[], datetime]) -> None:
        self._store = store
        self._clock = clock
        self._ended = threading.Event()
        self._thread: threading.Thread | None = None

    def start(self) -> None:
        """Begin; returns at once."""
        self._thread = threading.Thread(target=self._run, name="orchardmap warming", daemon=True)
        self._thread.start()

    def end(self) -> None:
        """Stop after what is being worked out: the store is about to be closed."""
        self._ended.set()
        self.join()

    def join(self) -> None:
        """Wait for its end; where that takes long it goes with the process."""
        if self._thread is not None:
            self._thread.join(timeout=_PATIENCE_S)

    def _run(self) -> None:
        try:
            farms = all_farms(self._store)
            # what stands on the page first is there for every farm before what comes later is for any
            for look in (overview, forecast):
                for farm in farms:
                    if self._ended.is_set():
                        return
                    look(self._store, farm.id, day=None, now=self._clock())
        except Exception:
            # nobody waits for it: whoever asks is told what is wrong
            logging.getLogger("orchardmap").exception(
                "what pages ask first could not be worked out beforehand"
            )
