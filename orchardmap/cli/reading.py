"""Read what the command line is given."""

import json
import sys
from pathlib import Path
from typing import Any

from orchardmap.errors import InputError

__all__ = ["read_bytes", "read_json"]


def read_bytes(file: Path) -> bytes:
    """Return a file's bytes; ``-`` is standard input.

    Raises
    ------
    InputError
        If it cannot be read.
    """
    if str(file) == "-":
        return sys.stdin.buffer.read()
    try:
        return file.read_bytes()
    except OSError as error:
        raise InputError(f"cannot be read: {error.strerror}", where=str(file)) from error


def read_json(file: Path) -> object:
    """Return what a JSON file holds.

    Raises
    ------
    InputError
        If it cannot be read, is not JSON, or says a key twice: which of the two is meant nobody can tell.
    """
    try:
        return json.loads(read_bytes(file), object_pairs_hook=_once)
    except InputError as error:
        raise InputError(error.what, where=f"{file}, {error.where}", todo=error.todo) from error
    except ValueError as error:
        raise InputError(f"is not JSON: {error}", where=str(file)) from error
    except RecursionError as error:
        raise InputError("is nested too deeply to be a job", where=str(file)) from error


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    told = dict(pairs)
    if len(told) < len(pairs):
        twice = next(key for at, (key, _) in enumerate(pairs) if key in dict(pairs[:at]))
        raise InputError("It stands there twice.", where=twice, todo="Keep the one that is meant.")
    return told
