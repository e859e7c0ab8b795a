"""How a command ends: in good order whatever happens, with one sentence and an exit code."""

import json
import signal
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from io import TextIOWrapper
from typing import NoReturn

import typer

from orchardmap.errors import InputError, OrchardmapError

__all__ = ["in_good_order"]

_ASKED_TO_STOP = (signal.SIGTERM, signal.SIGHUP)


@contextmanager
def in_good_order() -> Iterator[None]:
    """Let a command run in a ``with`` block: an error of ours is one sentence on the error stream and exit code 1."""
    for stream in (sys.stdout, sys.stderr):
        # what another program reads is UTF-8 in every place; a terminal that lacks a letter still gets the rest
        if isinstance(stream, TextIOWrapper) and stream.encoding.lower() != "utf-8":
            encoding = None if stream.isatty() else "utf-8"
            stream.reconfigure(encoding=encoding, errors="backslashreplace")
    before = [signal.signal(one, _stop) for one in _ASKED_TO_STOP]
    try:
        yield
    except OrchardmapError as error:
        _end(error)
    except OSError as error:  # a full disk behind standard output, a folder nobody may read
        what = error.strerror or type(error).__name__
        _end(InputError(what, where=str(error.filename or "the answer")))
    finally:
        for one, handler in zip(_ASKED_TO_STOP, before, strict=True):
            signal.signal(one, handler)


def _stop(number: int, _frame: object) -> None:
    """End as a shell expects of a signal, but in good order: what was begun beside a file is taken away again."""
    sys.exit(128 + number)


def _end(error: OrchardmapError) -> NoReturn:
    """Say what went wrong in one sentence on the error stream, also as JSON to a script that asked for JSON; exit code 1."""
    typer.secho(f"orchardmap: {error}", err=True, fg=typer.colors.RED)
    if "--json" in sys.argv:
        told = {"error": {"what": error.what, "where": error.where, "todo": error.todo}}
        with suppress(OSError):
            typer.echo(json.dumps(told, ensure_ascii=False, indent=2))
    sys.unraisablehook = lambda _: None  # files that are given up on the way out would say the same again
    sys.exit(1)
