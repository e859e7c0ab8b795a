"""Photos of checked trees."""

from typing import Annotated, Any
from uuid import UUID

from fastapi import APIRouter, Body, Depends, Query
from fastapi.responses import Response
from pydantic import AfterValidator

from orchardmap.usecases import check_photos
from orchardmap.usecases.check_photos import NewPhoto
from orchardmap_api.access import FarmCaller, needs
from orchardmap_api.caching import FOREVER
from orchardmap_api.dependencies import FarmId, Now, PathId, ServiceStore

router = APIRouter(prefix="/api", tags=["checks"])
Json = dict[str, Any]
Jpeg = Annotated[
    bytes,
    Body(
        media_type="image/jpeg",
        description="A picture and nothing beside it (no EXIF, no XMP), at most 400 kB.",
    ),
]
OfCheck = Annotated[UUID, AfterValidator(str), Query(description="Id of the check, handed in before.")]


def _handed_in(photo_id: PathId, check_id: OfCheck, jpeg: Jpeg) -> NewPhoto:
    return NewPhoto(str(photo_id), str(check_id), jpeg)


HandedIn = Annotated[NewPhoto, Depends(_handed_in)]


@router.put("/farms/{farm_id}/photos/{photo_id}", dependencies=[needs("manager", "auditor")])
def put_photo(farm_id: FarmId, photo: HandedIn, store: ServiceStore, caller: FarmCaller, now: Now) -> Json:
    """Keep a photo of a checked tree; the same one again changes nothing."""
    kept = check_photos.keep_photo(store, farm_id=str(farm_id), photo=photo, actor=caller.actor, now=now)
    return {"id": kept.id, "width": kept.width, "height": kept.height, "sha256": kept.sha256}


@router.get("/photos/{photo_id}", dependencies=[needs("manager", "auditor", "adviser")])
def get_photo(photo_id: PathId, store: ServiceStore) -> Response:
    """Return a photo as JPEG; its id never stands for another one."""
    jpeg = check_photos.read_photo(store, str(photo_id))
    return Response(jpeg, media_type="image/jpeg", headers={"Cache-Control": FOREVER})
