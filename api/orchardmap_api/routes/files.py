"""Files of a farm for everyone else's tools."""

import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import IO, Annotated
from urllib.parse import quote

from fastapi import APIRouter, Depends
from fastapi import Path as InPath
from fastapi.responses import StreamingResponse

from orchardmap.usecases import farm_files
from orchardmap.usecases.farm_files import FileWish
from orchardmap_api.access import READERS, NamedRoles, needs
from orchardmap_api.dependencies import AskedDay, AskedLanguage, FarmId, Now, ServiceStore

router = APIRouter(prefix="/api/farms/{farm_id}", tags=["files"])
_CHUNK = 1 << 18


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
    # on disk before the first byte leaves: a slow reader must not hold a transaction open
    with tempfile.TemporaryDirectory(prefix="orchardmap-file-") as folder:
        path = Path(folder) / wish.name
        made = farm_files.write_farm_file(store, str(farm_id), wish, path, now=now)
        content = path.open("rb")  # it outlives its name, and goes with whoever reads it
        size = path.stat().st_size
    told = f"{made.farm_name} {made.day.isoformat()} {wish.name}"
    return StreamingResponse(
        _pieces(content),
        media_type=farm_files.file_of(wish.name).media_type,
        headers={"Content-Disposition": _saved_as(told, plain=wish.name), "Content-Length": str(size)},
    )


def _pieces(content: IO[bytes]) -> Iterator[bytes]:
    with content:
        while piece := content.read(_CHUNK):
            yield piece


def _saved_as(name: str, *, plain: str) -> str:
    """Return the header that names a download (RFC 6266): any letters, and a plain name for whoever reads only that."""
    return f"attachment; filename=\"{plain}\"; filename*=UTF-8''{quote(name, safe='')}"
