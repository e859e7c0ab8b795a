"""Take what was recorded in the rows: marks, withdrawals, checks. Kept always, counted where it fits.

Each call is one transaction; what it returns as taken is on disk.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import Any

from orchardmap.model.check import Check
from orchardmap.model.people import ANYBODY, Sender
from orchardmap.model.work import Mark, Receipt, Withdrawal
from orchardmap.store import log, senders
from orchardmap.store.session import Connection, Store
from orchardmap.usecases.folding import refold_rows
from orchardmap.usecases.taking import Upload, Values, facts_of, taken, taken_of_trees, true_day
from orchardmap.work.intake import Facts, check_set_aside, mark_set_aside, withdrawal_set_aside
from orchardmap.work.speaking import judged_by_senders

__all__ = ["are_anothers", "record_checks", "record_marks", "record_withdrawals"]


def record_marks(
    store: Store,
    *,
    farm_id: str,
    marks: Sequence[Mark],
    sent_at: datetime,
    now: datetime,
    sender: Sender = ANYBODY,
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
    sender : Sender
        Who hands them in: marks of another crew than the sender's are set aside.

    Returns
    -------
    list of Receipt
        One for each mark, in order: taken, already there, or set aside with the reason.
    """
    upload = Upload(farm_id, sent_at, now, sender)
    with store.write() as conn:
        log.lock_farm(conn, farm_id)
        facts = facts_of(conn, upload, {(mark.block_id, mark.row) for mark in marks})
        today = now.astimezone(facts.zone).date()

        def decide(mark: Mark, values: Values) -> str | None:
            day = true_day(values, facts.zone, today)
            return mark_set_aside(mark, facts, day=day, true_at=values["corrected_at"], today=today)

        batch = taken(conn, "mark", marks, decide, speaks_for=lambda mark: {mark.crew_id}, upload=upload)
        _judge_withdrawals(conn, farm_id, batch.fresh)
        earlier = log.records_by_id(conn, "mark", farm_id, batch.contradicted)
        _refold(conn, farm_id, [*batch.touched, *earlier], facts)
        changes = [log.Change("mark", m.id, m.block_id, m.row) for m in batch.touched]
        beside = [log.Change("mark", m.id, m.block_id, m.row) for m in earlier]
        log.append_changes(conn, farm_id, _with_every_block(changes, beside))
    return batch.receipts


def record_withdrawals(
    store: Store,
    *,
    farm_id: str,
    withdrawals: Sequence[Withdrawal],
    sent_at: datetime,
    now: datetime,
    sender: Sender = ANYBODY,
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
    sender : Sender
        Who hands them in: those of another crew's marks are set aside, now or when the mark arrives.

    Returns
    -------
    list of Receipt
    """
    upload = Upload(farm_id, sent_at, now, sender)
    with store.write() as conn:
        log.lock_farm(conn, farm_id)
        facts = facts_of(conn, upload, [])

        def decide(withdrawal: Withdrawal, _values: Values) -> str | None:
            return withdrawal_set_aside(withdrawal, facts)

        crews = _crews_of(log.records_by_id(conn, "mark", farm_id, sorted({w.mark_id for w in withdrawals})))
        batch = taken(
            conn, "withdrawal", withdrawals, decide, speaks_for=lambda one: crews[one.mark_id], upload=upload
        )
        versions = log.records_by_id(conn, "withdrawal", farm_id, sorted({w.id for w in batch.touched}))
        marks = log.records_by_id(conn, "mark", farm_id, sorted({w.mark_id for w in versions}))
        _refold(conn, farm_id, marks, facts)
        place = {m.id: (m.block_id, m.row) for m in marks}
        changes = [log.Change("withdrawal", w.id, *place.get(w.mark_id, (None, None))) for w in batch.touched]
        beside = [
            log.Change("withdrawal", w.id, m.block_id, m.row)
            for w in versions
            for m in marks
            if m.id == w.mark_id
        ]
        log.append_changes(conn, farm_id, _with_every_block(changes, beside))
    return batch.receipts


def are_anothers(store: Store, farm_id: str, mark_ids: Sequence[str], *, sender: Sender) -> bool:
    """Tell whether any of the marks was handed in by somebody else than the sender.

    A mark that is not here yet counts as another's: nobody can tell.
    """
    with store.read() as conn:
        found = log.records_by_id(conn, "mark", farm_id, sorted(set(mark_ids)))
    own = {mark.id for mark in found} - {mark.id for mark in found if mark.handed_in_by != sender.id}
    return not own.issuperset(mark_ids)


def record_checks(
    store: Store,
    *,
    farm_id: str,
    checks: Sequence[Check],
    sent_at: datetime,
    now: datetime,
    sender: Sender = ANYBODY,
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
    sender : Sender
        Who hands them in.

    Returns
    -------
    list of Receipt
    """
    upload = Upload(farm_id, sent_at, now, sender)
    with store.write() as conn:
        lot_ids = {check.lot_id for check in checks if check.lot_id is not None}
        return taken_of_trees(conn, "check", checks, check_set_aside, lot_ids=lot_ids, upload=upload)


def _crews_of(marks: Iterable[Any]) -> defaultdict[str, set[str]]:
    crews: defaultdict[str, set[str]] = defaultdict(set)
    for mark in marks:
        crews[mark.id].add(mark.crew_id)
    return crews


def _judge_withdrawals(conn: Connection, farm_id: str, marks: Sequence[Mark]) -> None:
    """Set aside what came before these marks and takes back another crew's: the order of arrival decides nothing."""
    found = [w for w in log.withdrawals_of(conn, farm_id, {m.id for m in marks}) if w.set_aside is None]
    scopes = senders.scopes(conn, "withdrawal", farm_id, {w.id for w in found})
    crews = _crews_of(marks)
    for w in found:
        reason = judged_by_senders(None, scopes[w.id, w.content_hash], crews[w.mark_id])
        if reason is not None:
            log.set_reason(conn, "withdrawal", farm_id, w.id, reason)


def _with_every_block(changes: Sequence[log.Change], beside: Iterable[log.Change]) -> list[log.Change]:
    """Return the changes, and of those beside them one for each block that none names: followers fetch named blocks alone."""
    named = {change.block_id for change in changes}
    more = {change.block_id: change for change in beside if change.block_id not in named}
    return [*changes, *more.values()]


def _refold(conn: Connection, farm_id: str, marks: Iterable[Any], facts: Facts) -> None:
    rows: defaultdict[str, set[tuple[str, int]]] = defaultdict(set)
    for mark in marks:
        rows[mark.season_id].add((mark.block_id, mark.row))
    for season_id in rows.keys() & facts.seasons.keys():
        refold_rows(conn, farm_id, season_id, rows[season_id])
