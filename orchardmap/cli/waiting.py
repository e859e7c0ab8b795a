"""Long work on the command line: say how far it is, to whoever looks."""

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager

__all__ = ["Steps", "at_work", "shown_steps"]

Steps = Callable[[str, int, int], None]
"""Called with what is being done, how many steps of all are done, and how many there are; 0 where nobody knows."""


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


@contextmanager
def shown_steps(words: str = "") -> Iterator[Steps | None]:
    """Yield what long work calls with what it is at, how many steps are done and how many there are; a bar shows them where somebody looks.

    Parameters
    ----------
    words : str
        What is being done, until the work says what it is at.

    Yields
    ------
    callable or None
        None where the error stream is no terminal.
    """
    if not sys.stderr.isatty():
        yield None
        return
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TaskProgressColumn, TextColumn, TimeElapsedColumn

    columns = TextColumn("{task.description}"), BarColumn(), TaskProgressColumn(), TimeElapsedColumn()
    with Progress(*columns, console=Console(stderr=True), transient=True) as shown:
        task = shown.add_task(words, total=None)

        def told(at: str, done: int, of: int) -> None:
            # of work whose steps are not known the bar only moves
            shown.update(task, description=at, completed=done, total=of or None)

        yield told
