"""Long work on the command line: say how far it is, and leave nothing half-written."""

import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from orchardmap.errors import InputError

__all__ = ["at_work", "counted_so_far", "put_in_place"]


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
def counted_so_far(things: str) -> Iterator[Callable[[str, int], None] | None]:
    """Yield what long work calls with what it is at and how many more it has done; it is shown where somebody looks.

    Parameters
    ----------
    things : str
        What is counted.

    Yields
    ------
    callable or None
        None where the error stream is no terminal.
    """
    if not sys.stderr.isatty():
        yield None
        return
    from rich.console import Console
    from rich.progress import Progress, SpinnerColumn, TextColumn, TimeElapsedColumn

    columns = SpinnerColumn(), TextColumn("{task.description}"), TimeElapsedColumn()
    with Progress(*columns, console=Console(stderr=True), transient=True) as shown:
        task = shown.add_task("")
        done = 0

        def told(at: str, more: int) -> None:
            nonlocal done
            done += more
            shown.update(task, description=f"{at}: {done:,} {things}")

        yield told


@contextmanager
def put_in_place(path: Path, *, named: str) -> Iterator[Path]:
    """Yield a path in a folder of its own beside a file; what is written there takes the file's place when all is done.

    Parameters
    ----------
    path : Path
        Where the file shall be.
    named : str
        What it is called until then: writers go by its ending.

    Yields
    ------
    Path
        With nothing there yet.

    Raises
    ------
    InputError
        If nothing can be written there.
    """
    try:
        folder = tempfile.TemporaryDirectory(prefix=".orchardmap-", dir=path.absolute().parent)
    except OSError as error:
        raise InputError(f"cannot be written: {error.strerror}", where=str(path)) from error
    with folder as name:
        yield Path(name) / named
        try:
            (Path(name) / named).replace(path)
        except OSError as error:
            raise InputError(f"cannot be written: {error.strerror}", where=str(path)) from error
