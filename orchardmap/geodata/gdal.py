"""The parent's side of reading binary files: bytes into a private folder, a locked-in child, plain answers back."""

import json
import os
import signal
import subprocess
import sys
import tempfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import shapely

from orchardmap.errors import ImportFileError
from orchardmap.geodata import child
from orchardmap.geodata.lockdown import environment
from orchardmap.geodata.preview import MAX_FEATURES, Choice, Format, Question, RawFeature, RawFile
from orchardmap.geodata.text import clean_properties, clean_text

WALL_S = 30.0
MAX_BYTES = 200_000_000
_DRIVERS: dict[Format, str] = {
    "GeoPackage": "GPKG",
    "Shapefile": "ESRI Shapefile",
    "FlatGeobuf": "FlatGeobuf",
    "file geodatabase": "OpenFileGDB",
    "DXF": "DXF",
}


@dataclass(frozen=True, slots=True)
class Stored:
    """One set of bytes to put in the private folder under a name of ours, and how GDAL is to open it."""

    files: Mapping[str, bytes]
    path: str
    """The file or folder among them that GDAL is given."""
    title: str = ""
    """What to show as the layer's name instead of ours."""
    encoding: str | None = None
    prj: str | None = None
    """For a Shapefile, what its .prj says. It is not given to GDAL, which opens grid files that it names."""


def _run(order: dict[str, Any], folder: Path) -> None:
    command = [sys.executable, "-I", str(Path(child.__file__).resolve()), str(folder)]
    with subprocess.Popen(  # noqa: S603 - our own script
        command,
        cwd=folder,
        env=environment(order["driver"], str(folder)),
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        start_new_session=True,
        close_fds=True,
    ) as process:
        try:
            process.wait(WALL_S)
        except subprocess.TimeoutExpired as late:
            raise ImportFileError(
                f"Reading it took longer than {WALL_S:.0f} s.", todo="Save only the blocks that are needed."
            ) from late
        finally:
            if process.poll() is None:
                os.killpg(process.pid, signal.SIGKILL)


def _fault(answer: Mapping[str, Any], file_format: Format, *, folder: Path) -> ImportFileError:
    if answer.get("error") == "too_many":
        return ImportFileError(
            f"It holds {answer['count']:,} features; at most {MAX_FEATURES:,} are read.", where=file_format
        )
    if answer.get("error") == "memory":
        return ImportFileError("Reading it needs more memory than a file may take.", where=file_format)
    told = clean_text(str(answer.get("told", "")).replace(f"{folder}/", ""), limit=200)
    if "PROJ" in told:  # it would tell which files are there
        told = ""
    return ImportFileError(
        f"It is damaged or not a {file_format} that can be read" + (f" ({told})." if told else "."),
        where=file_format,
        todo="Save it again, or as GeoJSON.",
    )


def _asked(
    order: dict[str, Any], stored: Sequence[Stored], *, file_format: Format
) -> tuple[dict[str, Any], bytes]:
    """Return the child's answer about files, and the bytes of all geometries."""
    with tempfile.TemporaryDirectory(prefix="orchardmap-import-") as name:
        folder = Path(name)
        for item in stored:
            for path, content in item.files.items():
                (folder / path).parent.mkdir(exist_ok=True)
                (folder / path).write_bytes(content)
        (folder / "order.json").write_text(json.dumps(order))
        _run(order, folder)
        try:
            answer = json.loads((folder / "answer.json").read_text())
        except (OSError, ValueError):
            # killed by its limits, or by a fault in GDAL: that is what the child is for
            answer = {"error": "died"}
        if "error" in answer:
            raise _fault(answer, file_format, folder=folder)
        shapes = folder / "geometry.bin"
        return answer, shapes.read_bytes() if shapes.exists() else b""


def _raw_features(answer: Mapping[str, Any], blob: bytes) -> tuple[RawFeature, ...]:
    sizes = np.array(answer["sizes"], dtype=np.int64)
    ends = np.cumsum(np.maximum(sizes, 0)).tolist()
    wkb = [
        blob[end - size : end] if size > 0 else None for size, end in zip(sizes.tolist(), ends, strict=True)
    ]
    shapes = shapely.from_wkb(np.array(wkb, dtype=object), on_invalid="ignore")
    fields = answer["fields"]
    rows = zip(*answer["columns"], strict=True) if fields else (() for _ in wkb)
    return tuple(
        RawFeature(
            number,
            shape,
            clean_properties(dict(zip(fields, row, strict=True))),
            None
            if shape is not None
            else "has no geometry"
            if raw is None
            else "has a geometry that cannot be read",
        )
        for number, (shape, raw, row) in enumerate(zip(shapes, wkb, rows, strict=True), start=1)
    )


def _titles(answer: Mapping[str, Any], stored: Sequence[Stored]) -> tuple[str, ...]:
    """Return the layers' names to show, each once."""
    own = [item.title for item in stored]
    told = own if all(own) and len(own) == len(answer["layers"]) else answer["layers"]
    titles: list[str] = []
    for title in (clean_text(str(name), limit=100) or "layer" for name in told):
        same = sum(1 for other in titles if other == title or other.startswith(f"{title} ("))
        titles.append(f"{title} ({same + 1})" if same else title)
    return tuple(titles)


def read_binary(
    file_format: Format, stored: Sequence[Stored], *, layer: str | None, notes: tuple[str, ...] = ()
) -> RawFile:
    """Return the features of one layer of a binary file, read by GDAL in a locked-in child process.

    Parameters
    ----------
    file_format : Format
        Decides the only driver that is left in.
    stored : sequence of Stored
        The bytes, under names of ours.
    layer : str | None
        The layer to read, by the name that an earlier preview showed; None takes the only one.
    notes : tuple of str
        What is already known about the file.

    Returns
    -------
    RawFile
        Without features and with a question when there are several layers and none was named.

    Raises
    ------
    ImportFileError
        When GDAL cannot read it, it takes too long or too much, or there is no such layer.
    """
    if sum(len(content) for item in stored for content in item.files.values()) > MAX_BYTES:
        raise ImportFileError(f"It is larger than {MAX_BYTES / 1e6:.0f} MB.", where=file_format)
    order: dict[str, Any] = {
        "driver": _DRIVERS[file_format],
        "paths": [item.path for item in stored],
        "encodings": [item.encoding for item in stored],
        "layer": None,
        "most": MAX_FEATURES,
    }
    answer, blob = _asked(order, stored, file_format=file_format)
    titles = _titles(answer, stored)
    if not titles:
        raise ImportFileError("It has no layer with outlines, lines or points.", where=file_format)
    if len(titles) > 1:
        if layer is None:
            choices = tuple(Choice(title, title) for title in titles)
            question = Question(
                "layer", f"It has {len(titles)} layers. Which one holds the blocks?", choices, needed=True
            )
            return RawFile(file_format, None, (), titles, (question,), notes)
        if layer not in titles:
            raise ImportFileError(
                f"It has no layer {clean_text(layer, limit=60)!r}.",
                where="layer",
                todo=f"It has: {', '.join(titles)}.",
            )
        answer, blob = _asked({**order, "layer": titles.index(layer)}, stored, file_format=file_format)
    place = titles.index(layer) if layer in titles else 0
    crs = stored[place].prj if file_format == "Shapefile" else answer.get("crs")
    return RawFile(file_format, crs, _raw_features(answer, blob), titles, notes=notes)
