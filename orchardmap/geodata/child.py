"""The child process in which GDAL looks at a file from a stranger. Run as a script, never imported for its effect.

It stands alone: the standard library, numpy and pyogrio, nothing of orchardmap, so that Python can be started in
isolated mode. It locks itself in before GDAL is loaded: the network is gone, memory, processor time, file sizes and
open files are limited, and all drivers but one are left out through the environment (setting ``GDAL_SKIP`` after
the import has no effect).

It reads ``input`` files that the parent wrote under names of its own, and answers with two files beside them:
``answer.json`` and ``geometry.bin`` (all WKB in a row). Nothing is pickled.
"""

import ctypes
import json
import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import numpy as np

MEMORY_BYTES = 1_024 * 1_024 * 1_024
CPU_S = 20
_CLONE_NEWNET = 0x40000000
_CLONE_NEWUSER = 0x10000000
_NO_NEW_PRIVILEGES = 38
_LEFT_IN = frozenset({"MEM", "Memory"})
"""Built into GDAL's core; it reads nothing from outside."""


def lock_in() -> None:
    """Give up the network and set the limits. What the system does not permit is left; the limits always hold."""
    import resource

    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY_BYTES, MEMORY_BYTES))
    resource.setrlimit(resource.RLIMIT_CPU, (CPU_S, CPU_S + 1))
    resource.setrlimit(resource.RLIMIT_FSIZE, (MEMORY_BYTES, MEMORY_BYTES))
    resource.setrlimit(resource.RLIMIT_NOFILE, (256, 256))
    if not sys.platform.startswith("linux"):
        return
    libc = ctypes.CDLL(None, use_errno=True)
    libc.prctl(_NO_NEW_PRIVILEGES, 1, 0, 0, 0)
    if libc.unshare(_CLONE_NEWNET) != 0:
        libc.unshare(_CLONE_NEWUSER | _CLONE_NEWNET)


def leave_out_tables() -> None:
    """Keep pyogrio from loading pandas and geopandas: arrays are enough, and half the start is theirs."""
    for name in ("geopandas", "pandas", "pyarrow"):
        sys.modules[name] = None  # type: ignore[assignment] # Python's own way to say "not there"


def leave_out_strangers(driver: str) -> None:
    """Start this process again without a driver that a newer GDAL brought, should one have been left in.

    Parameters
    ----------
    driver : str
        The only driver that may be there.

    Raises
    ------
    RuntimeError
        When drivers stay although they were left out, or the wanted one is missing.
    """
    import pyogrio

    there = set(pyogrio.list_drivers())
    strangers = there - {driver} - _LEFT_IN
    if strangers and os.environ.get("ORCHARDMAP_CHILD_AGAIN"):
        raise RuntimeError("drivers cannot be left out")
    if strangers:
        more = ",".join([os.environ.get("GDAL_SKIP", ""), *sorted(strangers)])
        again = {**os.environ, "GDAL_SKIP": more, "ORCHARDMAP_CHILD_AGAIN": "1"}
        os.execve(sys.executable, [sys.executable, "-I", *sys.argv], again)  # noqa: S606
    if driver not in there:
        raise RuntimeError("the driver is missing")


def _column(values: "np.ndarray[Any, Any]") -> list[Any]:
    import numpy as np

    if values.dtype.kind in "iufb":
        plain: list[Any] = values.tolist()
        return plain
    if values.dtype.kind == "M":
        return [None if np.isnat(value) else str(value) for value in values]
    return [value if isinstance(value, str | int | float | bool) else None for value in values.tolist()]


def _read(
    path: str, layer: int, *, encoding: str | None, most: int
) -> tuple[dict[str, Any], list[bytes | None]]:
    import pyogrio
    import pyogrio.raw

    info = pyogrio.read_info(path, layer=layer, encoding=encoding)
    if info["features"] > most:
        return {"error": "too_many", "count": int(info["features"])}, []
    meta, _, shapes, columns = pyogrio.raw.read(path, layer=layer, encoding=encoding, max_features=most + 1)
    answer = {
        "crs": meta["crs"],
        "fields": [str(name) for name in meta["fields"]],
        "columns": [_column(values) for values in columns],
    }
    return answer, list(shapes) if shapes is not None else []


def answer_for(order: dict[str, Any], folder: Path) -> dict[str, Any]:
    """Return what a file holds, and write its geometries.

    Parameters
    ----------
    order : dict
        ``paths`` (names in the folder, made by the parent), ``encodings`` beside them, ``layer`` (its place among
        all layers of all paths, or None to take the only one), ``most`` features.
    folder : Path
        The private folder.

    Returns
    -------
    dict
        ``layers``; and ``crs``, ``fields``, ``columns``, ``sizes`` of the layer when one was read.
    """
    import pyogrio

    layers: list[tuple[str, int, str | None, str]] = []
    for name, encoding in zip(order["paths"], order["encodings"], strict=True):
        path = str(folder / name)
        for place, (title, kind) in enumerate(pyogrio.list_layers(path).tolist()):
            if kind is not None:
                layers.append((path, place, encoding, str(title)))
    answer: dict[str, Any] = {"layers": [title for *_, title in layers]}
    wanted = 0 if order["layer"] is None and len(layers) == 1 else order["layer"]
    if wanted is None or not 0 <= wanted < len(layers):
        return answer
    path, place, encoding, _ = layers[wanted]
    told, shapes = _read(path, place, encoding=encoding, most=order["most"])
    answer.update(told)
    answer["sizes"] = [-1 if shape is None else len(shape) for shape in shapes]
    (folder / "geometry.bin").write_bytes(b"".join(shape for shape in shapes if shape))
    return answer


def main() -> None:
    """Read the order in the folder named by the only argument, and leave the answer there."""
    folder = Path(sys.argv[1])
    order = json.loads((folder / "order.json").read_text())
    try:
        lock_in()
        leave_out_tables()
        leave_out_strangers(order["driver"])
        answer = answer_for(order, folder)
    except MemoryError:
        answer = {"error": "memory"}
    except Exception as fault:
        answer = {"error": "unreadable", "told": str(fault)[:500]}
    (folder / "answer.json").write_text(json.dumps(answer))


if __name__ == "__main__":
    main()
