"""Say anew what a variety is, what a block is planted with, and how steep it is."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime
from typing import Any

from orchardmap.errors import UnknownError
from orchardmap.model.orchard import Block, Variety
from orchardmap.store import audit, log, orchard
from orchardmap.store import farm as farm_store
from orchardmap.store.session import Store
from orchardmap.usecases.planting import tidy_name

__all__ = ["edit_block", "edit_variety"]


def edit_variety(
    store: Store,
    *,
    farm_id: str,
    variety_id: str,
    changes: Mapping[str, Any],
    actor: str = "shell",
    now: datetime,
) -> Variety:
    """Say anew what a variety is called, where it fruits and what it leans to; tablets fetch its blocks again.

    Parameters
    ----------
    store : Store
        Open for writing.
    farm_id, variety_id : str
        The variety.
    changes : mapping of str
        Parts of `Variety` by name; what is left out stays as it is.
    actor : str
        As the audit log names who says so.
    now : datetime with time zone
        The server's clock.

    Returns
    -------
    Variety
        As it is now.

    Raises
    ------
    UnknownError
        If the farm has no such variety.
    """
    with store.write() as conn:
        log.lock_farm(conn, farm_id)
        kept = next((v for v in farm_store.varieties(conn, farm_id) if v.id == variety_id), None)
        if kept is None:
            raise UnknownError("no such variety on this farm", where=variety_id)
        name = tidy_name(changes.get("name", kept.name), "variety")
        made = replace(kept, **{**changes, "name": name})
        if made != kept:
            farm_store.edit_named(conn, made)
            planted = [b.id for b in orchard.blocks(conn, farm_id) if b.variety_id == variety_id]
            named: list[str | None] = [*planted] or [None]
            log.append_changes(
                conn, farm_id, [log.Change("variety", variety_id, block_id) for block_id in named]
            )
            parts = ", ".join(sorted(changes))
            audit.note(
                conn, "variety_edited", at=now, actor=actor, subject=variety_id, farm_id=farm_id, parts=parts
            )
    return made


def edit_block(
    store: Store, *, block_id: str, changes: Mapping[str, Any], actor: str = "shell", now: datetime
) -> Block:
    """Say anew what a block is planted with, or how steep it is; tablets fetch it again.

    Parameters
    ----------
    store : Store
        Open for writing.
    block_id : str
        The block.
    changes : mapping of str
        ``variety_id`` of the farm's, or None; ``slope_percent``, rise over run at its steepest, or None.
        What is left out stays as it is.
    actor : str
        As the audit log names who says so.
    now : datetime with time zone
        The server's clock.

    Returns
    -------
    Block
        As it is now.

    Raises
    ------
    UnknownError
        If no block has that id, or the variety is not one of its farm's.
    """
    with store.write() as conn:
        farm_id = orchard.block(conn, block_id).farm_id
        log.lock_farm(conn, farm_id)
        kept = orchard.block(conn, block_id)
        made = replace(kept, **changes)
        if made != kept:
            farm_store.refuse_foreign_varieties(conn, farm_id, [made.variety_id])
            orchard.edit_block(conn, block_id, changes)
            log.append_changes(conn, farm_id, [log.Change("block", block_id, block_id)])
            parts = ", ".join(sorted(changes))
            audit.note(
                conn, "block_edited", at=now, actor=actor, subject=block_id, farm_id=farm_id, parts=parts
            )
    return made
