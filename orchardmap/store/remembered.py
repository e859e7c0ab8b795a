"""Answers that are kept in the process as long as nothing of a farm changes."""

from collections.abc import Callable, Hashable
from threading import Lock, RLock
from typing import Generic, TypeVar
from weakref import WeakKeyDictionary

from sqlalchemy import Connection, Engine

from orchardmap.store import farm as farm_store
from orchardmap.store import log

__all__ = ["Remembered"]

Answer = TypeVar("Answer")
_RECKONING = RLock()
"""Held by whoever works an answer out: one at a time, for Python runs one at a time anyway, and a short question beside it is
answered sooner the fewer it shares with. An answer may rest on others, so it is taken again by who holds it."""


class Remembered(Generic[Answer]):
    """So many answers of each database, the latest ones, each for the change of its farm that it was worked out at.

    An answer that is short itself goes `at_once`: it waits for nobody who works out something long, and may rest on no other answer.
    """

    def __init__(self, most: int, *, at_once: bool = False) -> None:
        self._most = most
        self._reckoning = RLock() if at_once else _RECKONING
        self._lock = Lock()
        self._answers: WeakKeyDictionary[Engine, dict[Hashable, Answer]] = WeakKeyDictionary()

    def answer(
        self, conn: Connection, farm_id: str, asked: Hashable, work_out: Callable[[], Answer]
    ) -> Answer:
        """Return the answer to what is asked of a farm, worked out anew where the farm's log has moved on.

        Parameters
        ----------
        conn : Connection
            Open for reading: what a transaction has written and not committed may be taken back.
        farm_id : str
            The farm; nothing but what its changes are numbered for may enter the answer.
        asked : hashable
            All else that the answer hangs on.
        work_out : callable
            Told nothing. Who asks the same while it is worked out waits for it: all open pages ask after each mark at once.

        Returns
        -------
        Answer
            Shared: nobody may change it.
        """
        # the cursor first: what is read after it is as new, or newer
        key = (farm_store.setting(conn, "epoch"), farm_id, log.cursor(conn, farm_id), asked)
        with self._lock:
            answers = self._answers.setdefault(conn.engine, {})
            if key in answers:
                return answers[key]
        with self._reckoning:
            with self._lock:
                if key in answers:
                    return answers[key]
            made = work_out()
            with self._lock:
                answers[key] = made
                while len(answers) > self._most:
                    del answers[next(iter(answers))]
        return made
