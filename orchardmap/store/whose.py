"""Whose is it: the farm of a block, of a return or of a file read in, and what is said where there is none."""

from typing import NoReturn

from sqlalchemy import Connection, select

from orchardmap.errors import UnknownError
from orchardmap.store import tables as t
from orchardmap.store.check_photo_tables import check_photos
from orchardmap.store.lot_tables import lots
from orchardmap.store.return_tables import returns

__all__ = [
    "farm_of_block",
    "farm_of_draft",
    "farm_of_lot",
    "farm_of_photo",
    "farm_of_return",
    "refuse_block",
    "refuse_draft",
    "refuse_lot",
    "refuse_photo",
    "refuse_return",
]


def farm_of_block(conn: Connection, block_id: str) -> str | None:
    """Return the id of a block's farm, None where there is no such block."""
    return conn.execute(select(t.blocks.c.farm_id).where(t.blocks.c.id == block_id)).scalar_one_or_none()


def farm_of_draft(conn: Connection, token: str) -> str | None:
    """Return the id of the farm that a file was read in for, None where nothing waits under that token."""
    drafts = t.import_drafts.c
    return conn.execute(select(drafts.farm_id).where(drafts.token == token)).scalar_one_or_none()


def farm_of_lot(conn: Connection, lot_id: str) -> str | None:
    """Return the id of a lot's farm, None where there is no such lot."""
    return conn.execute(select(lots.c.farm_id).where(lots.c.id == lot_id)).scalar_one_or_none()


def farm_of_photo(conn: Connection, photo_id: str) -> str | None:
    """Return the id of the farm that a photo was taken on, None where there is no such photo."""
    photos = check_photos.c
    return conn.execute(select(photos.farm_id).where(photos.id == photo_id)).scalar_one_or_none()


def farm_of_return(conn: Connection, return_id: str) -> str | None:
    """Return the id of a return's farm, None where there is no such return."""
    return conn.execute(select(returns.c.farm_id).where(returns.c.id == return_id)).scalar_one_or_none()


def refuse_block(block_id: str) -> NoReturn:
    """Say of a block that it is not there, or not for whoever asks: in the same words.

    Raises
    ------
    UnknownError
        Always.
    """
    raise UnknownError("no such block", where=block_id)


def refuse_lot(lot_id: str) -> NoReturn:
    """Say of a lot that it is not there, or not for whoever asks: in the same words.

    Raises
    ------
    UnknownError
        Always.
    """
    raise UnknownError("no such lot", where=lot_id)


def refuse_photo(photo_id: str) -> NoReturn:
    """Say of a photo that it is not there, or not for whoever asks: in the same words.

    Raises
    ------
    UnknownError
        Always.
    """
    raise UnknownError("no such photo", where=photo_id)


def refuse_return(return_id: str) -> NoReturn:
    """Say of a return that it is not there, or not for whoever asks: in the same words.

    Raises
    ------
    UnknownError
        Always.
    """
    raise UnknownError("no such return", where=return_id)


def refuse_draft(token: str) -> NoReturn:
    """Say of a file that it does not wait there, or not for whoever asks: in the same words.

    Raises
    ------
    UnknownError
        Always.
    """
    raise UnknownError(
        "no file waits under that token",
        where=token,
        todo="Read the file again: a preview is kept for two days.",
    )
