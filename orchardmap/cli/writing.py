"""Write what the command line is asked for: a file whole or not at all, or on to the next program, and what was written in words."""

import shutil
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import typer

from orchardmap.errors import InputError

__all__ = ["goes_on", "put_in_place", "tell_written", "write_bytes", "write_text"]


def goes_on(path: Path) -> bool:
    """Tell whether what is written there goes on to a program or a device: ``-`` is standard output, and a pipe is no file to be replaced."""
    if str(path) in {"-", "/dev/stdout"} or path.parts[:3] == ("/", "dev", "fd"):
        return True
    try:
        return path.exists() and not path.is_file() and not path.is_dir()
    except OSError:
        return False


@contextmanager
def put_in_place(path: Path, *, named: str) -> Iterator[Path]:
    """Yield a path in a folder of its own; what is written there takes the file's place when all is done, or goes on where ``path`` leads.

    Parameters
    ----------
    path : Path
        Where the file shall be; a link stays, and what it leads to is replaced.
    named : str
        What it is called until then: writers go by its ending.

    Yields
    ------
    Path
        With nothing there yet.

    Raises
    ------
    InputError
        If nothing can be written there, or not all of it; what was there before is as it was.
    """
    try:
        if path.is_dir():
            raise InputError("is a folder", where=str(path), todo="Name the file in it.")
        with tempfile.TemporaryDirectory(prefix=".orchardmap-", dir=_scratch(path)) as name:
            written = Path(name) / named
            yield written
            if goes_on(path):
                _hand_on(written, path)
            else:
                written.replace(path.resolve())
    except BrokenPipeError:
        raise  # whoever reads has seen enough: that is no error of ours
    except OSError as error:
        raise InputError(f"cannot be written: {error.strerror}", where=str(path)) from error


def _scratch(path: Path) -> Path | None:
    """Return the folder of the file, for what lies beside it can take its place at once; None is the system's own."""
    return None if goes_on(path) else path.resolve().parent


def _hand_on(written: Path, path: Path) -> None:
    with written.open("rb") as content:
        if str(path) in {"-", "/dev/stdout"}:
            sys.stdout.flush()
            shutil.copyfileobj(content, sys.stdout.buffer)
            sys.stdout.flush()
        else:
            with path.open("wb") as onward:
                shutil.copyfileobj(content, onward)


def write_text(path: Path, text: str) -> None:
    """Write a text file; see `write_bytes`."""
    write_bytes(path, text.encode())


def write_bytes(path: Path, content: bytes) -> None:
    """Write a file, whole or not at all.

    Raises
    ------
    InputError
        If it cannot be written; what was there before is as it was.
    """
    with put_in_place(path, named="written") as written:
        written.write_bytes(content)


def tell_written(path: Path, size: int, more: str = "") -> None:
    """Say what was written, how many bytes and what else: beside it, where it went to standard output."""
    typer.echo(f"Wrote {path} ({size / 1000:.0f} kB){more}", err=goes_on(path))
