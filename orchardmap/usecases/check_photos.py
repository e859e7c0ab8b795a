"""Keep and show photos of checked trees: the picture itself, and nothing of what cameras write beside it."""

import hashlib
from dataclasses import dataclass
from datetime import datetime

from orchardmap.errors import ConflictError, InputError, UnknownError
from orchardmap.quality.bare_jpeg import picture_size
from orchardmap.store import audit, log, whose
from orchardmap.store import check_photos as photo_store
from orchardmap.store.session import Connection, Store

__all__ = ["MOST_BYTES", "MOST_PHOTOS", "KeptPhoto", "NewPhoto", "keep_photo", "read_photo"]

MOST_BYTES = 400_000
MOST_PHOTOS = 8
"""Of one check: enough to show what is wrong with a tree, and no way to fill the disk."""


@dataclass(frozen=True, slots=True)
class NewPhoto:
    """A photo as a device hands it in."""

    id: str
    """Made by the device."""
    check_id: str
    """Of a check handed in before."""
    jpeg: bytes
    """As `picture_size` lets it pass, at most `MOST_BYTES`."""


@dataclass(frozen=True, slots=True)
class KeptPhoto:
    """A photo as it is kept."""

    id: str
    width: int
    """In pixels."""
    height: int
    sha256: str
    """Of the file, in hex."""


def keep_photo(store: Store, *, farm_id: str, photo: NewPhoto, actor: str, now: datetime) -> KeptPhoto:
    """Keep a photo of a check; the same one again is answered as kept.

    Parameters
    ----------
    store : Store
        Open for writing.
    farm_id : str
        The farm.
    photo : NewPhoto
    actor : str
        As the audit log names who hands it in.
    now : datetime with time zone
        The server's clock.

    Returns
    -------
    KeptPhoto

    Raises
    ------
    InputError
        If it is too large or carries more than a picture.
    UnknownError
        If the check is not known on this farm.
    ConflictError
        If another photo has that id, or the check has `MOST_PHOTOS` already.
    """
    if len(photo.jpeg) > MOST_BYTES:
        todo = f"Make it smaller: at most {MOST_BYTES // 1000} kB."
        raise InputError(f"the photo has {len(photo.jpeg) // 1000} kB", where="photo", todo=todo)
    width, height = picture_size(photo.jpeg)
    made = KeptPhoto(photo.id, width, height, hashlib.sha256(photo.jpeg).hexdigest())
    with store.write() as conn:
        log.lock_farm(conn, farm_id)
        check = photo_store.check_of(conn, farm_id, photo.check_id)
        if check is None:
            raise UnknownError("no such check", where=photo.check_id, todo="Send the check before its photo.")
        before = photo_store.photo(conn, photo.id)
        if before is not None:
            if (before.farm_id, before.check_id, before.sha256) == (farm_id, photo.check_id, made.sha256):
                return made
            raise ConflictError("another photo has that id", where=photo.id)
        _refuse_too_many(conn, photo.check_id)
        photo_store.add_photo(conn, {
            "id": photo.id, "farm_id": farm_id, "check_id": photo.check_id, "taken_on": check.day, "jpeg": photo.jpeg,
            "width": width, "height": height, "sha256": made.sha256, "received_at": now,
            "handed_in_by": actor.partition(":")[2] or None,
        })  # fmt: skip
        audit.note(
            conn, "photo_kept", at=now, actor=actor, subject=photo.id, farm_id=farm_id, check=photo.check_id
        )
        # of no block: tablets need not fetch a pack anew for it
        log.append_changes(conn, farm_id, [log.Change("photo", photo.id, None)])
    return made


def _refuse_too_many(conn: Connection, check_id: str) -> None:
    if photo_store.photos_of_check(conn, check_id) >= MOST_PHOTOS:
        raise ConflictError(
            f"the check has {MOST_PHOTOS} photos already", where=check_id, todo="Leave this one out."
        )


def read_photo(store: Store, photo_id: str) -> bytes:
    """Return a photo as JPEG.

    Raises
    ------
    UnknownError
        If there is none of that id.
    """
    with store.read() as conn:
        found = photo_store.photo(conn, photo_id)
        if found is None:
            whose.refuse_photo(photo_id)
        return bytes(found.jpeg)
