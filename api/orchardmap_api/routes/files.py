"""Files of a farm for everyone else's tools."""

import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from threading import BoundedSemaphore
from typing import IO, Annotated
from urllib.parse import quote

from fastapi import APIRouter, Depends
from fastapi import Path as InPath
from fastapi.responses import StreamingResponse

from orchardmap.errors import StoreError
from orchardmap.usecases import farm_files, whole_farm
from orchardmap.usecases.farm_files import FileWish
from orchardmap_api.access import READERS, FarmCaller, NamedRoles, needs
from orchardmap_api.dependencies import AskedDay, AskedLanguage, FarmId, Now, ServiceStore

router = APIRouter(prefix="/api/farms/{farm_id}", tags=["files"])
_CHUNK = 1 << 18
_MAKING = BoundedSemaphore(2)
"""Each takes a core for as long as it is made, and crews mark meanwhile."""
_PATIENCE_S = 20.0


def _wish(
    file: Annotated[str, InPath(max_length=100)],
    names: NamedRoles,
    day: AskedDay = None,
    lang: AskedLanguage = "en",
) -> FileWish:
    return FileWish(farm_files.file_of(file).name, day, names, lang)


@router.get("/files/{file}", response_class=StreamingResponse, dependencies=[needs(*READERS)])
def read_file(
    farm_id: FarmId, wish: Annotated[FileWish, Depends(_wish)], store: ServiceStore, now: Now
) -> StreamingResponse:
    """Return blocks, rows, positions, marks, checks, weak areas or progress as a file, as of a day.

    Names: ``orchard.gpkg``, ``orchard_with_positions.gpkg``, ``orchard.xlsx``, and ``.geojson`` and ``.csv`` of each layer.
    """
    file = farm_files.file_of(wish.name)
    with _scratch(wish.name) as path:
        made = farm_files.write_farm_file(store, str(farm_id), wish, path, now=now)
        told = f"{made.farm_name} {made.day.isoformat()} {file.name}"
        return _download(path, file.media_type, told)


@router.get("/farm.zip", response_class=StreamingResponse, dependencies=[needs("manager", confirmed=True)])
def read_whole_farm(farm_id: FarmId, store: ServiceStore, caller: FarmCaller, now: Now) -> StreamingResponse:
    """Return all of the farm for another server: people's names, pay and photos too; no accounts and no secret."""
    with _scratch("farm.zip") as path:
        made = whole_farm.pack_farm(store, str(farm_id), path)
        whole_farm.note_export(store, str(farm_id), actor=caller.actor, now=now)
        return _download(path, "application/zip", f"{made.name} {now.date().isoformat()} farm.zip")


@contextmanager
def _scratch(name: str) -> Iterator[Path]:
    """Yield where a file is made: on disk before its first byte leaves, for a slow reader must not hold a transaction open.

    Raises
    ------
    StoreError
        If so many are being made already that marks would have to wait for them.
    """
    if not _MAKING.acquire(timeout=_PATIENCE_S):
        raise StoreError("other files are being made just now", todo="Try again in a minute.")
    try:
        with tempfile.TemporaryDirectory(prefix="orchardmap-file-") as folder:
            yield Path(folder) / name
    finally:
        _MAKING.release()


def _download(path: Path, media_type: str, name: str) -> StreamingResponse:
    """Return a file that outlives its own name: it is gone with whoever reads it, also where they go away half-way."""
    content = path.open("rb")
    return StreamingResponse(
        _pieces(content),
        media_type=media_type,
        headers={
            "Content-Disposition": _saved_as(name, plain=path.name),
            "Content-Length": str(path.stat().st_size),
        },
    )


def _pieces(content: IO[bytes]) -> Iterator[bytes]:
    with content:
        while piece := content.read(_CHUNK):
            yield piece


def _saved_as(name: str, *, plain: str) -> str:
    """Return the header that names a download (RFC 6266): any letters, and a plain name for whoever reads only that."""
    return f"attachment; filename=\"{plain}\"; filename*=UTF-8''{quote(name, safe='')}"
