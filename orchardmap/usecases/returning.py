"""Make a return, so that a crew goes over trees again by a day, and take one back."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from orchardmap.errors import ConflictError, InputError, UnknownError
from orchardmap.model.orchard import Block
from orchardmap.model.returns import Return, Stretch
from orchardmap.store import audit, log, orchard, row_tables, states
from orchardmap.store import farm as farm_store
from orchardmap.store import returns as return_store
from orchardmap.store.recheck_lots import lot_of_block
from orchardmap.store.session import Connection, Store
from orchardmap.usecases.moments import Moment, moment
from orchardmap.work.returns import common, joined, open_stretches

__all__ = ["NewReturn", "cancel_return", "make_return"]


@dataclass(frozen=True, slots=True)
class NewReturn:
    """A return as whoever makes it says it."""

    id: str
    """Made by the page: the same one again is answered as the first time."""
    block_id: str
    crew_id: str
    due_on: date
    lot_id: str | None = None
    area: Mapping[str, Any] | None = None
    """Its ``rows`` and ``positions`` are first and last, as a weak area tells them."""
    points: tuple[str, ...] = ()
    note: str = ""
    stretches: tuple[Stretch, ...] | None = None
    """None: all trees of the lot, or the pruned ones of the area."""


def make_return(
    store: Store,
    *,
    farm_id: str,
    asked: NewReturn,
    by: str | None = None,
    actor: str = "shell",
    now: datetime,
) -> Return:
    """Make a return over trees that are pruned.

    Parameters
    ----------
    store : Store
        Open for writing.
    farm_id : str
        The farm.
    asked : NewReturn
    by : str or None
        Account or tablet; None for the shell.
    actor : str
        The same as the audit log names it.
    now : datetime with time zone
        The server's clock.

    Returns
    -------
    Return
        With what of the asked stretches holds pruned trees; the one that was made, where that id is there already.

    Raises
    ------
    UnknownError
        If the farm has no such block, crew or lot of the block.
    ConflictError
        If another farm has a return of that id.
    InputError
        If the day is over, no season is open, or nothing of it is pruned.
    """
    with store.write() as conn:
        log.lock_farm(conn, farm_id)
        kept = return_store.find_return(conn, asked.id)
        if kept is not None:
            if kept.farm_id != farm_id:
                raise ConflictError("another return goes by that id", where=asked.id, todo="Make it anew.")
            return kept
        at = moment(conn, farm_id, None, now)
        made = _made(conn, at, asked, by)
        return_store.add_return(conn, made)
        _tell(conn, made)
        audit.note(
            conn,
            "return_made",
            at=now,
            actor=actor,
            subject=made.id,
            farm_id=farm_id,
            number=made.number,
        )
    return made


def _made(conn: Connection, at: Moment, asked: NewReturn, by: str | None) -> Return:
    if at.season is None or at.season.closed:
        raise InputError("no season is open", where="season", todo="Open one in Set-up.")
    block = orchard.block(conn, asked.block_id)
    if block.farm_id != at.farm.id:
        raise UnknownError("no such block", where=asked.block_id)
    if asked.crew_id not in {crew.id for crew in farm_store.crews(conn, at.farm.id)}:
        raise UnknownError("no such crew on this farm", where=asked.crew_id)
    if asked.due_on < at.today:
        raise InputError("the day is over", where="due_on", todo="Give today or a later day.")
    return Return(
        id=asked.id,
        farm_id=at.farm.id,
        season_id=at.season.id,
        number=return_store.next_number(conn, at.farm.id, at.season.id),
        block_id=block.id,
        crew_id=asked.crew_id,
        due_on=asked.due_on,
        made_on=at.today,
        made_at=at.now,
        made_by=by,
        lot_id=asked.lot_id,
        area=asked.area,
        points=tuple(dict.fromkeys(asked.points)),
        note=asked.note.strip(),
        stretches=_pruned(conn, at.season.id, block, _asked(conn, block, asked)),
    )


def _asked(conn: Connection, block: Block, asked: NewReturn) -> Sequence[Stretch]:
    """Return what is to be gone over again: as said, or what the lot or the area holds."""
    lot = lot_of_block(conn, block.id, asked.lot_id) if asked.lot_id is not None else None
    if asked.stretches is not None:
        return asked.stretches
    if asked.area is not None:
        (first_row, last_row), (first, last) = asked.area["rows"], asked.area["positions"]
        return [Stretch(row, first, last) for row in range(first_row, last_row + 1)]
    if lot is not None:
        return [Stretch(*run) for run in lot.eligible]
    raise InputError("which trees is not said", where="stretches", todo="Name a lot, an area or stretches.")


def _pruned(conn: Connection, season_id: str, block: Block, asked: Sequence[Stretch]) -> tuple[Stretch, ...]:
    """Return what of the asked stretches holds trees that are pruned."""
    found = states.row_states(conn, season_id, [block.id])
    pruned = joined(Stretch(state.row, run.first, run.last) for state in found for run in state.runs)
    kept = common(asked, pruned)
    table = row_tables.named_rows(conn, block.farm_id, {(block.id, one.row) for one in kept})
    not_trees = {(int(table.number[row]), position) for row, position in table.not_trees}
    kept = open_stretches(kept, (), not_trees)
    if not kept:
        raise InputError(
            "nothing of that is pruned",
            where="stretches",
            todo="A return is over trees that a crew has marked as pruned.",
        )
    return kept


def cancel_return(
    store: Store,
    *,
    return_id: str,
    reason: str,
    by: str | None = None,
    actor: str = "shell",
    now: datetime,
) -> Return:
    """Take a return back: its trees need not be gone over again. One that was taken back stays as it was.

    Raises
    ------
    UnknownError
        If there is no such return.
    InputError
        If no reason is given.
    """
    said = " ".join(reason.split())
    if not said:
        raise InputError("a reason is needed", where="reason", todo="Say in a few words why.")
    with store.write() as conn:
        farm_id = return_store.return_of(conn, return_id).farm_id
        log.lock_farm(conn, farm_id)
        kept = return_store.return_of(conn, return_id)
        if kept.cancelled_at is not None:
            return kept
        return_store.cancel_return(conn, return_id, cancelled_at=now, cancelled_by=by, reason=said)
        _tell(conn, kept)
        audit.note(conn, "return_cancelled", at=now, actor=actor, subject=return_id, farm_id=farm_id)
        return return_store.return_of(conn, return_id)


def _tell(conn: Connection, of: Return) -> None:
    """Let tablets fetch the block again."""
    log.append_changes(conn, of.farm_id, [log.Change("return", of.id, of.block_id)])
