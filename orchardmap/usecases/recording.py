"""Take what was recorded in the rows: marks, withdrawals, checks. Kept always, counted where it fits.

Each call is one transaction; what it returns as taken is on disk.
"""

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, field, fields
from datetime import date, datetime
from typing import Any, Generic, TypeVar
from zoneinfo import ZoneInfo

from orchardmap.model.check import Check
from orchardmap.model.work import Mark, Outcome, Receipt, Withdrawal
from orchardmap.store import farm as farm_store
from orchardmap.store import log, orchard, row_tables
from orchardmap.store.session import Connection, Store
from orchardmap.usecases.folding import refold_rows
from orchardmap.work.identity import content_hash, corrected_at, corrected_day
from orchardmap.work.intake import SET_ASIDE, Facts, check_set_aside, mark_set_aside

__all__ = ["facts_of", "record_checks", "record_marks", "record_withdrawals"]

Record = TypeVar("Record", Mark, Withdrawal, Check)
Values = dict[str, Any]


@dataclass
class _Taken(Generic[Record]):
    """What one batch adds to the log, and what it must touch."""

    receipts: list[Receipt] = field(default_factory=list)
    values: list[Values] = field(default_factory=list)
    fresh: list[Record] = field(default_factory=list)
    contradicted: list[str] = field(default_factory=list)
    """Ids that came with more than one content: no version of theirs counts."""


def facts_of(conn: Connection, farm_id: str, rows: Collection[tuple[str, int]]) -> Facts:
    """Gather what intake must know of a farm, for records that name these rows (block id, number)."""
    farm = farm_store.farm(conn, farm_id)
    own = orchard.block_ids(conn, farm_id, {block_id for block_id, _ in rows})
    table = row_tables.named_rows(conn, farm_id, set(rows))
    keys = zip(table.block_id, table.number.tolist(), strict=True)
    return Facts(
        zone=ZoneInfo(farm.time_zone),
        seasons={season.id: season for season in farm_store.seasons(conn, farm_id)},
        crews=frozenset(crew.id for crew in farm_store.crews(conn, farm_id)),
        people=frozenset(person.id for person in farm_store.people(conn, farm_id)),
        blocks=frozenset(own),
        row_positions=dict(zip(keys, table.positions.tolist(), strict=True)),
        blanks=frozenset(table.blanks),
        closures=tuple(orchard.closures(conn, own)),
    )


def _taken(
    conn: Connection,
    kind: str,
    farm_id: str,
    records: Sequence[Record],
    decide: Callable[[Record, Values], str | None],
    *,
    sent_at: datetime,
    now: datetime,
) -> _Taken[Record]:
    """Sort a batch into new, already there and contradictory, and append it."""
    known = log.versions(conn, kind, farm_id, {record.id for record in records})
    batch: _Taken[Record] = _Taken()
    for record in records:
        digest = content_hash(record)
        if digest in known[record.id]:
            # a repeat is answered as its first copy was, for that answer may have been lost
            batch.receipts.append(_receipt(record.id, known[record.id][digest], otherwise="already_there"))
            continue
        values = {f.name: getattr(record, f.name) for f in fields(record)} | {
            "farm_id": farm_id,
            "content_hash": digest,
            "corrected_at": corrected_at(record.device_at, sent_at, now),
            "server_at": now,
        }
        reason = decide(record, values)
        if known[record.id]:
            reason = "other_content"
            batch.contradicted.append(record.id)
            for earlier in known[record.id]:
                known[record.id][earlier] = reason
        known[record.id][digest] = values["set_aside"] = reason
        batch.values.append(values)
        batch.fresh.append(record)
        batch.receipts.append(_receipt(record.id, reason, otherwise="taken"))
    log.append_records(conn, kind, batch.values)
    for record_id in batch.contradicted:
        log.set_aside_versions(conn, kind, farm_id, record_id, "other_content")
    return batch


def _receipt(record_id: str, reason: str | None, *, otherwise: Outcome) -> Receipt:
    return Receipt(record_id, "set_aside", SET_ASIDE[reason]) if reason else Receipt(record_id, otherwise)


def record_marks(
    store: Store, *, farm_id: str, marks: Sequence[Mark], sent_at: datetime, now: datetime
) -> list[Receipt]:
    """Append marks and recompute the rows they touch.

    Parameters
    ----------
    store : Store
        Open for writing.
    farm_id : str
        The farm whose device sends them.
    marks : sequence of Mark
        In any order; repeats do no harm.
    sent_at : datetime with time zone
        The device's clock at the upload.
    now : datetime with time zone
        The server's clock.

    Returns
    -------
    list of Receipt
        One for each mark, in order: taken, already there, or set aside with the reason.
    """
    with store.write() as conn:
        log.lock_farm(conn, farm_id)
        facts = facts_of(conn, farm_id, {(mark.block_id, mark.row) for mark in marks})
        today = now.astimezone(facts.zone).date()

        def decide(mark: Mark, values: Values) -> str | None:
            day = _true_day(values, facts.zone)
            return mark_set_aside(mark, facts, day=day, true_at=values["corrected_at"], today=today)

        batch = _taken(conn, "mark", farm_id, marks, decide, sent_at=sent_at, now=now)
        touched = {(m.season_id, m.block_id, m.row) for m in batch.fresh}
        touched |= {
            (m.season_id, m.block_id, m.row)
            for m in log.records_by_id(conn, "mark", farm_id, batch.contradicted)
        }
        _refold(conn, farm_id, touched, facts)
        log.append_changes(conn, farm_id, [log.Change("mark", m.id, m.block_id, m.row) for m in batch.fresh])
    return batch.receipts


def record_withdrawals(
    store: Store, *, farm_id: str, withdrawals: Sequence[Withdrawal], sent_at: datetime, now: datetime
) -> list[Receipt]:
    """Append withdrawals and recompute the rows whose marks they name.

    Parameters
    ----------
    store : Store
        Open for writing.
    farm_id : str
        The farm whose device sends them.
    withdrawals : sequence of Withdrawal
        One may come before the mark that it names: it is kept, and holds when the mark arrives.
    sent_at, now : datetime with time zone
        The device's clock at the upload, and the server's.

    Returns
    -------
    list of Receipt
    """
    with store.write() as conn:
        log.lock_farm(conn, farm_id)
        facts = facts_of(conn, farm_id, [])
        batch = _taken(
            conn, "withdrawal", farm_id, withdrawals, lambda _record, _values: None, sent_at=sent_at, now=now
        )
        named = [w.mark_id for w in batch.fresh]
        named += _marks_named(conn, farm_id, batch.contradicted)
        marks = log.records_by_id(conn, "mark", farm_id, sorted(set(named)))
        _refold(conn, farm_id, {(m.season_id, m.block_id, m.row) for m in marks}, facts)
        place = {m.id: (m.block_id, m.row) for m in marks}
        log.append_changes(
            conn,
            farm_id,
            [log.Change("withdrawal", w.id, *place.get(w.mark_id, (None, None))) for w in batch.fresh],
        )
    return batch.receipts


def record_checks(
    store: Store, *, farm_id: str, checks: Sequence[Check], sent_at: datetime, now: datetime
) -> list[Receipt]:
    """Append checks.

    Parameters
    ----------
    store : Store
        Open for writing.
    farm_id : str
        The farm whose device sends them.
    checks : sequence of Check
        In any order; repeats do no harm.
    sent_at, now : datetime with time zone
        The device's clock at the upload, and the server's.

    Returns
    -------
    list of Receipt
    """
    with store.write() as conn:
        log.lock_farm(conn, farm_id)
        facts = facts_of(conn, farm_id, {(check.block_id, check.row) for check in checks})
        today = now.astimezone(facts.zone).date()

        def decide(check: Check, values: Values) -> str | None:
            return check_set_aside(check, facts, day=_true_day(values, facts.zone), today=today)

        batch = _taken(conn, "check", farm_id, checks, decide, sent_at=sent_at, now=now)
        log.append_changes(conn, farm_id, [log.Change("check", c.id, c.block_id, c.row) for c in batch.fresh])
    return batch.receipts


def _true_day(values: Values, zone: ZoneInfo) -> date:
    """Put the corrected day into the values, keep the device's own beside it, and return the corrected one."""
    values["device_day"] = values["day"]
    values["day"] = corrected_day(values["day"], values["device_at"], values["corrected_at"], zone)
    return values["day"]  # type: ignore[no-any-return]  # a column's value


def _marks_named(conn: Connection, farm_id: str, withdrawal_ids: Sequence[str]) -> list[str]:
    return [w.mark_id for w in log.records_by_id(conn, "withdrawal", farm_id, withdrawal_ids)]


def _refold(conn: Connection, farm_id: str, touched: set[tuple[str, str, int]], facts: Facts) -> None:
    for season_id in {season_id for season_id, _, _ in touched} & set(facts.seasons):
        refold_rows(
            conn, farm_id, season_id, {(block_id, row) for s, block_id, row in touched if s == season_id}
        )
