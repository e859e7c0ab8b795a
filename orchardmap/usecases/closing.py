"""Close a block for a time, and end a closure earlier than was said. What they say of marks already taken is judged at once.

A mark is inside a closure or not, whichever came first: the mark, the closure or its end.
"""

from collections import defaultdict
from collections.abc import Callable
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from orchardmap.errors import InputError, UnknownError
from orchardmap.model.orchard import Block
from orchardmap.model.season import Closure
from orchardmap.store import audit, log, orchard, senders
from orchardmap.store import closures as closure_store
from orchardmap.store import farm as farm_store
from orchardmap.store.session import Connection, Store
from orchardmap.usecases.folding import refold_rows
from orchardmap.usecases.planting import new_id, tidy_name
from orchardmap.work.closed import is_inside_closure
from orchardmap.work.speaking import judged_by_senders

__all__ = ["close_block", "closures_of", "end_closure"]


def closures_of(store: Store, block_id: str) -> list[Closure]:
    """Return a block's closures, past ones too, each with the end that holds now; not those that were taken back."""
    with store.read() as conn:
        return closure_store.closures(conn, [orchard.block(conn, block_id).id])


def close_block(
    store: Store,
    *,
    block_id: str,
    span: tuple[datetime, datetime],
    reason: str,
    actor: str = "shell",
    now: datetime,
) -> Closure:
    """Close a block for a time: nobody may work it. Marks already taken that fall into it are set aside.

    Raises
    ------
    InputError
        If it would end before it starts, or lies wholly in the past.
    """
    starts_at, ends_at = span
    if ends_at <= starts_at:
        raise InputError("a closure must end after it starts", where="ends_at")
    if ends_at <= now:
        raise InputError("the closure would be over already", where="ends_at", todo="Give a later end.")
    made = Closure(new_id(), block_id, starts_at, ends_at, tidy_name(reason, "closure"))
    with store.write() as conn:
        block = orchard.block(conn, block_id)
        log.lock_farm(conn, block.farm_id)
        closure_store.add_closure(conn, made)
        is_inside = _inside(conn, block, [made])
        _judge(conn, block, [(m, "block_closed") for m in log.fitting_marks(conn, block_id) if is_inside(m)])
        log.append_changes(conn, block.farm_id, [log.Change("closure", made.id, block_id)])
        audit.note(conn, "block_closed", at=now, actor=actor, subject=block_id, farm_id=block.farm_id)
    return made


def end_closure(
    store: Store, *, block_id: str, closure_id: str, ends_at: datetime, actor: str = "shell", now: datetime
) -> None:
    """End a closure earlier than it does, or take it back: marks set aside by it, and by no other, are judged anew.

    Parameters
    ----------
    store : Store
        Open for writing.
    block_id, closure_id : str
        Which one.
    ends_at : datetime with time zone
        Its end from now on; its start takes it back wholly.
    actor : str
        As the audit log names who says so.
    now : datetime with time zone
        The server's clock.

    Raises
    ------
    UnknownError
        If the block has no such closure, or it was taken back.
    InputError
        If that is before its start, or not earlier than its end.
    """
    with store.write() as conn:
        block = orchard.block(conn, block_id)
        log.lock_farm(conn, block.farm_id)
        ended = next((c for c in closure_store.closures(conn, [block_id]) if c.id == closure_id), None)
        if ended is None:
            raise UnknownError("the block has no such closure", where=closure_id)
        if not ended.starts_at <= ends_at < ended.ends_at:
            raise InputError(
                "a closure can only end earlier, and not before it starts",
                where="ends_at",
                todo="Give its start to take it back wholly; enter another closure for a longer time.",
            )
        closure_store.add_end(conn, closure_id, ends_at=ends_at, said_by=actor, now=now)
        is_inside = _inside(conn, block, closure_store.closures(conn, [block_id]))
        freed = [mark for mark in log.closed_out_marks(conn, block_id) if not is_inside(mark)]
        _judge(conn, block, _without_closure(conn, block, freed))
        log.append_changes(conn, block.farm_id, [log.Change("closure", closure_id, block_id)])
        audit.note(conn, "closure_ended", at=now, actor=actor, subject=closure_id, farm_id=block.farm_id)


def _inside(conn: Connection, block: Block, closures: list[Closure]) -> Callable[[Any], bool]:
    zone = ZoneInfo(farm_store.farm(conn, block.farm_id).time_zone)
    return lambda m: is_inside_closure(m.block_id, m.day, m.corrected_at, closures=closures, zone=zone)


def _without_closure(conn: Connection, block: Block, marks: list[Any]) -> list[tuple[Any, str | None]]:
    """Return each mark with what speaks against it besides a closure: only what is asked after it can."""
    revoked = senders.revoked_devices(conn, block.farm_id)
    scopes = senders.scopes(conn, "mark", block.farm_id, {mark.id for mark in marks})
    judged = []
    for mark in marks:
        gone_at = revoked.get(mark.device_id)
        # as it was when the mark came: what a tablet handed in before it was let go counts
        reason = "device_revoked" if gone_at is not None and gone_at <= mark.server_at else None
        judged.append((mark, judged_by_senders(reason, scopes[mark.id, mark.content_hash], {mark.crew_id})))
    return judged


def _judge(conn: Connection, block: Block, judged: list[tuple[Any, str | None]]) -> None:
    """Keep what speaks against marks now, and fold their rows anew."""
    touched: dict[str, set[tuple[str, int]]] = defaultdict(set)
    for mark, reason in judged:
        log.set_reason(conn, "mark", block.farm_id, mark.id, reason)
        touched[mark.season_id].add((mark.block_id, mark.row))
    for season_id, rows in touched.items():
        refold_rows(conn, block.farm_id, season_id, rows)
