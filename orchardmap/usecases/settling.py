"""A manager's word: append a settlement and recompute what follows from it, in one transaction."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from orchardmap.errors import ConflictError, InputError, UnknownError
from orchardmap.model.work import RecordSettlement, StretchSettlement
from orchardmap.store import audit, log, row_tables
from orchardmap.store import farm as farm_store
from orchardmap.store.session import Connection, Store
from orchardmap.store.settlements import append_settlement, settlement
from orchardmap.usecases.folding import refold_rows
from orchardmap.usecases.taking import Upload, facts_of
from orchardmap.work.acceptance import hindrance
from orchardmap.work.intake import SET_ASIDE, Facts

__all__ = ["Settled", "record_facts", "settle"]

Settlement = StretchSettlement | RecordSettlement
_HASH_LENGTH = 64
Place = tuple[str, str, int]
"""Season id, block id, row number."""


@dataclass(frozen=True, slots=True)
class Settled:
    """What a settlement became."""

    number: int
    cursor: int
    is_new: bool
    """False for a repeat of one that is there already."""


def settle(store: Store, *, farm_id: str, said: Settlement, settled_by: str | None, now: datetime) -> Settled:
    """Append a settlement, unless it is there already.

    Parameters
    ----------
    store : Store
        Open for writing.
    farm_id : str
        The farm.
    said : StretchSettlement or RecordSettlement
        What the manager decides, with all that was looked at; its number is given here, and the reason it holds for,
        which must be the one that was shown where that is told.
    settled_by : str or None
        Account of the manager.
    now : datetime with time zone
        The server's clock.

    Returns
    -------
    Settled

    Raises
    ------
    ConflictError
        If its id was used for something else, or the record is set aside for another reason than was shown.
    InputError
        If it cannot count.
    UnknownError
        If it names something that the farm does not have.
    """
    with store.write() as conn:
        log.lock_farm(conn, farm_id)
        known = settlement(conn, farm_id, said.id)
        if known is not None:
            if _as_sent(known) != _as_sent(said):
                raise ConflictError(
                    "the id was used for another settlement", where=said.id, todo="Give this one its own id."
                )
            return Settled(known.number, log.cursor(conn, farm_id), is_new=False)
        if isinstance(said, StretchSettlement):
            touched = _checked_stretch(conn, farm_id, said)
        else:
            versions, touched = _checked_record(conn, farm_id, said, now)
            # every version of an id is set aside for the same reason; a word on a crew-day that fits has none
            shown, reason = said.reason, versions[0].set_aside
            if shown is not None and shown != reason:
                raise ConflictError(
                    f"it is set aside for another reason now: {SET_ASIDE.get(reason or '', 'none')}",
                    where=said.record_id,
                    todo="Look at the record again.",
                )
            said = replace(said, reason=reason)
        number = append_settlement(conn, farm_id, said, settled_by=settled_by, now=now)
        for season_id in {season_id for season_id, _, _ in touched}:
            refold_rows(conn, farm_id, season_id, {(b, r) for s, b, r in touched if s == season_id})
        places: list[Any] = sorted({(block_id, row) for _, block_id, row in touched}) or [(None, None)]
        cursor = log.append_changes(
            conn, farm_id, [log.Change("settlement", said.id, *place) for place in places]
        )
        actor = f"account:{settled_by}" if settled_by else "shell"
        audit.note(conn, "settled", at=now, actor=actor, subject=said.id, farm_id=farm_id, number=number)
    return Settled(number, cursor, is_new=True)


def _as_sent(said: Settlement) -> Settlement:
    plain = replace(said, number=0)
    return replace(plain, reason=None) if isinstance(plain, RecordSettlement) else plain


def _checked_stretch(conn: Connection, farm_id: str, said: StretchSettlement) -> set[Place]:
    """Raise if the settlement names what is not there; return the row that it touches."""
    if said.season_id not in {season.id for season in farm_store.seasons(conn, farm_id)}:
        raise UnknownError("no such season on this farm", where=said.season_id)
    if said.credited_crew_id not in {crew.id for crew in farm_store.crews(conn, farm_id)} | {None}:
        raise UnknownError("no such crew on this farm", where=said.credited_crew_id or "")
    rows = {(said.block_id, said.row)}
    table = row_tables.named_rows(conn, farm_id, rows)
    if not table.block_id:
        raise UnknownError("no such row on this farm", where=f"row {said.row}")
    if not 1 <= said.first <= said.last <= int(table.positions[0]):
        raise InputError(
            "the stretch does not lie within the row",
            where=f"row {said.row}, positions {said.first} to {said.last}",
            todo="Look at the row again: it was counted anew.",
        )
    if not said.seen <= _marks_here(conn, farm_id, said):
        raise InputError(
            "it names a mark that is not here", where=f"row {said.row}", todo="Look at the row again."
        )
    marks = log.standing_marks(conn, said.season_id, rows=rows)
    if not any(mark.first <= said.last and said.first <= mark.last for mark in marks):
        raise InputError(
            "no mark stands on this stretch",
            where=f"row {said.row}, positions {said.first} to {said.last}",
            todo="Look at the row again: its marks were taken back.",
        )
    return {(said.season_id, said.block_id, said.row)}


def _marks_here(conn: Connection, farm_id: str, said: StretchSettlement) -> set[str]:
    """Return by what the settlement may name marks: content hashes of those of its row, and ids, as before 0.2."""
    ids = sorted(one for one in said.seen if len(one) < _HASH_LENGTH)
    by_id = {mark.id for mark in log.records_by_id(conn, "mark", farm_id, ids)}
    return by_id | log.content_hashes_of_row(conn, said.season_id, said.block_id, said.row)


def _checked_record(
    conn: Connection, farm_id: str, said: RecordSettlement, now: datetime
) -> tuple[list[Any], set[Place]]:
    """Raise if the settlement cannot count; return all versions of its record, and the rows that it touches."""
    kind = said.record_kind
    versions = {r.content_hash: r for r in log.records_by_id(conn, kind, farm_id, [said.record_id])}
    if not versions:
        raise UnknownError("no such record on this farm", where=said.record_id)
    # crew-days need not be set aside: of several entries of one day a manager says which stands
    if kind != "crew_day" and all(one.set_aside is None for one in versions.values()):
        raise InputError(
            "the record was not set aside, it counts", where=said.record_id, todo="Take it back instead."
        )
    if not said.seen <= versions.keys():
        raise InputError(
            "it names a version that is not here", where=said.record_id, todo="Look at the record again."
        )
    if said.content_hash is not None:
        if said.content_hash not in said.seen:
            raise InputError(
                "the version to count is not among those seen",
                where=said.record_id,
                todo="Look at the record again.",
            )
        facts = record_facts(conn, farm_id, kind, list(versions.values()), now)
        reason = hindrance(kind, versions[said.content_hash], facts)
        if reason is not None:
            raise InputError(
                f"it cannot count: {SET_ASIDE[reason]}",
                where=said.record_id,
                todo="Record the work again where it was done, and leave this one out.",
            )
    found = list(versions.values())
    return found, _rows_of(conn, farm_id, kind, found)


def record_facts(conn: Connection, farm_id: str, kind: str, records: Sequence[Any], now: datetime) -> Facts:
    """Gather what `orchardmap.work.acceptance.hindrance` must know of records of one kind."""
    rows = {(one.block_id, one.row) for one in records} if kind in {"mark", "check", "tree_count"} else set()
    lots = {one.lot_id for one in records if one.lot_id is not None} if kind == "check" else set()
    return facts_of(conn, Upload(farm_id, now, now), rows, lots)


def _rows_of(conn: Connection, farm_id: str, kind: str, records: Sequence[Any]) -> set[Place]:
    """Return the rows whose view may change with a record: its own, or those of the marks that a withdrawal names."""
    if kind == "withdrawal":
        records = log.records_by_id(conn, "mark", farm_id, sorted({one.mark_id for one in records}))
    elif kind == "crew_day":
        return set()
    own = {season.id for season in farm_store.seasons(conn, farm_id)}
    return {(one.season_id, one.block_id, one.row) for one in records if one.season_id in own}
