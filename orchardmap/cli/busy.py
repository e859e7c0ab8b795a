"""What somebody who waits at the shell sees of work that takes its time."""

import sys
from collections.abc import Iterator
from contextlib import contextmanager

__all__ = ["at_work"]


@contextmanager
def at_work(words: str) -> Iterator[None]:
    """Show that something is being done, for the length of a ``with`` block; nothing where nobody looks.

    Parameters
    ----------
    words : str
        What is being done. They go to the error stream, if it is a terminal, and are gone afterwards: what a script reads
        stays clean.
    """
    if not sys.stderr.isatty():
        yield
        return
    from rich.console import Console

    with Console(stderr=True).status(words):
        yield
