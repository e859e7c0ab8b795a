"""How far a document is, for whoever waits for it: sheets that are drawn, pages that are set."""

import logging
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass

__all__ = ["expect_pages", "heard_by", "tell", "telling_of_pages"]

Steps = Callable[[str, int, int], None]
_SETTING, _WRITING = "Step 5 - Creating layout - Page", "Step 6"
"""As WeasyPrint (70) begins what it says in its own log."""


@dataclass
class _Heard:
    told: Steps
    pages: int = 0


_heard: ContextVar[_Heard | None] = ContextVar("heard", default=None)


@contextmanager
def heard_by(told: Steps | None) -> Iterator[None]:
    """Let somebody hear of what is made in a ``with`` block: what is being done, how many steps of it are done, and of how many (0: nobody knows)."""
    token = _heard.set(_Heard(told) if told else None)
    try:
        yield
    finally:
        _heard.reset(token)


def tell(words: str, done: int, of: int) -> None:
    """Say how far something is, if anybody hears."""
    heard = _heard.get()
    if heard is not None:
        heard.told(words, done, of)


def expect_pages(count: int) -> None:
    """Say how many pages the document will have, where that is known before."""
    heard = _heard.get()
    if heard is not None:
        heard.pages = count


@contextmanager
def telling_of_pages() -> Iterator[None]:
    """Tell of each page that WeasyPrint sets in a ``with`` block."""
    heard = _heard.get()
    if heard is None:
        yield
        return
    log, listener = logging.getLogger("weasyprint.progress"), _Pages(heard)
    level = log.level
    log.addFilter(listener)
    log.setLevel(logging.INFO)
    try:
        yield
    finally:
        log.setLevel(level)
        log.removeFilter(listener)


class _Pages(logging.Filter):
    """Hears from WeasyPrint which page it sets, and lets nothing through."""

    def __init__(self, heard: _Heard) -> None:
        super().__init__()
        self._heard = heard

    def filter(self, record: logging.LogRecord) -> bool:
        if record.msg.startswith(_SETTING) and isinstance(record.args, tuple) and record.args:
            self._heard.told("Setting pages", int(str(record.args[0])), self._heard.pages)
        elif record.msg.startswith(_WRITING):
            self._heard.told("Writing the PDF", 0, 0)
        return False
