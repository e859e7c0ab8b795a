"""Whoever waits for a farm's changes is rung once some are committed: a bell says "look", the table of changes says what."""

import threading
from collections.abc import Callable
from contextlib import suppress
from typing import Any

from sqlalchemy import Connection, Engine, text

__all__ = ["Bell", "PostgresBell", "name_changed", "take_changed"]

Listener = Callable[[str | None], None]
"""Called with a farm's id; with None where changes of any farm may have been missed. From any thread, and must not wait."""
_CHANNEL = "orchardmap_changes"
_CHANGED = "farms_changed"
_AGAIN_S = 0.3
_LOOK_UP_S = 0.5


def name_changed(conn: Connection, farm_id: str) -> None:
    """Have the bell rung for a farm when this transaction is committed, and not if it never is."""
    if conn.dialect.name == "postgresql":
        # told to every process at the commit, by the database itself
        conn.execute(text("SELECT pg_notify(:channel, :farm)"), {"channel": _CHANNEL, "farm": farm_id})
    else:
        conn.info.setdefault(_CHANGED, set()).add(farm_id)


def take_changed(conn: Connection) -> set[str]:
    """Return the farms whose bell waits for this connection's transaction to end, and forget them."""
    found: set[str] = conn.info.pop(_CHANGED, set())
    return found


class Bell:
    """Rings within one process, which on SQLite is all there is: one process writes to a file."""

    def __init__(self) -> None:
        self._listeners: set[Listener] = set()
        self._lock = threading.Lock()

    def listen(self, listener: Listener) -> Callable[[], None]:
        """Have a listener called from now on; return the way to stop it."""
        with self._lock:
            self._listeners.add(listener)

        def stop() -> None:
            with self._lock:
                self._listeners.discard(listener)

        return stop

    def ring(self, farm_id: str | None) -> None:
        """Call everybody who listens."""
        with self._lock:
            called = list(self._listeners)
        for listener in called:
            listener(farm_id)

    def close(self) -> None:
        """Ring no more."""
        with self._lock:
            self._listeners.clear()


class PostgresBell(Bell):
    """Rings in every process that has the database open; its thread and its connection begin with the first listener.

    NOTIFY is the bell only. What was said while the connection was away is lost, so everybody is rung once after each
    new one.
    """

    def __init__(self, engine: Engine) -> None:
        super().__init__()
        self._engine = engine
        self._ended = threading.Event()
        self._thread: threading.Thread | None = None

    def listen(self, listener: Listener) -> Callable[[], None]:
        """As `Bell.listen`."""
        stop = super().listen(listener)
        with self._lock:
            if self._thread is None and not self._ended.is_set():
                self._thread = threading.Thread(target=self._hear, name="orchardmap bell", daemon=True)
                self._thread.start()
        return stop

    def close(self) -> None:
        """Give the connection back and end the thread."""
        self._ended.set()
        super().close()
        if self._thread is not None:
            self._thread.join(timeout=10 * _LOOK_UP_S)

    def _hear(self) -> None:
        while not self._ended.is_set():
            # whatever a lost connection says: the next one is tried until the store closes
            with suppress(Exception):
                self._hear_once()
            self._ended.wait(_AGAIN_S)

    def _hear_once(self) -> None:
        held = self._engine.raw_connection()
        conn: Any = held.driver_connection
        held.detach()  # none of the pool's: it listens for good
        try:
            conn.rollback()
            conn.autocommit = True
            conn.execute(f"LISTEN {_CHANNEL}")
            self.ring(None)
            while not self._ended.is_set():
                for said in conn.notifies(timeout=_LOOK_UP_S):
                    self.ring(said.payload)
        finally:
            conn.close()
