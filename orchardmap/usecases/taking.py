"""Take a batch of records into the log, whatever kind they are: each id and content once, contradictions set aside.

Who made a record (``recorder_id``) is kept where it is vouched for: by an account or the program, which are kept
beside it, or by the tablet that hands in its own records for whoever held it when they were made, which may be
somebody else than who holds it now. Whom a tablet names otherwise is kept as said (``extra``), and the record
counts as any other: whose work it is, is its crew's.
"""

from collections.abc import Callable, Collection, Sequence, Set
from dataclasses import dataclass, field, fields
from datetime import date, datetime
from functools import cache
from typing import Any, Generic, TypeVar
from zoneinfo import ZoneInfo

from orchardmap.model.check import Check
from orchardmap.model.people import ANYBODY, Sender
from orchardmap.model.tree_count import TreeCount
from orchardmap.model.work import CrewDay, Mark, Outcome, Receipt, Withdrawal
from orchardmap.store import closures, holdings, log, orchard, row_tables, senders
from orchardmap.store import farm as farm_store
from orchardmap.store.check_lots import lot_places
from orchardmap.store.returns import standing_returns
from orchardmap.store.session import Connection
from orchardmap.usecases.ground_moves import GroundMoves
from orchardmap.work.holding import held
from orchardmap.work.identity import content_hash, corrected_at, corrected_day
from orchardmap.work.intake import SET_ASIDE, Facts
from orchardmap.work.speaking import OTHER_CREW, judged_by_senders

__all__ = ["SAID_RECORDER", "Taken", "Upload", "Values", "facts_of", "taken", "taken_of_trees", "true_day"]

Record = TypeVar("Record", Mark, Withdrawal, Check, CrewDay, TreeCount)
OfTree = TypeVar("OfTree", Check, TreeCount)
Values = dict[str, Any]
SAID_RECORDER = "said_recorder_id"
"""Under ``extra``: whom a tablet named that nobody vouches for."""


@dataclass(frozen=True, slots=True)
class Upload:
    """What a batch has in common: whose it is, and the two clocks when it arrived."""

    farm_id: str
    sent_at: datetime
    """The device's clock at the upload."""
    now: datetime
    """The server's clock."""
    sender: Sender = ANYBODY


@dataclass
class Taken(Generic[Record]):
    """What one batch adds to the log, and what it must touch."""

    receipts: list[Receipt] = field(default_factory=list)
    values: list[Values] = field(default_factory=list)
    fresh: list[Record] = field(default_factory=list)
    contradicted: list[str] = field(default_factory=list)
    """Ids that came with more than one content: no version of theirs counts."""
    again: list[Record] = field(default_factory=list)
    """Known ones, handed in by a sender of a scope that is new to them: they may count from now on."""

    @property
    def touched(self) -> list[Record]:
        """What may have changed the view of its row; each is one numbered change."""
        return self.fresh + self.again


def facts_of(
    conn: Connection,
    upload: Upload,
    rows: Collection[tuple[str, int]],
    lot_ids: Collection[str] = (),
) -> Facts:
    """Gather what intake must know of a farm, for records that name these rows (block id, number) and lots."""
    farm_id = upload.farm_id
    farm = farm_store.farm(conn, farm_id)
    own = orchard.block_ids(conn, farm_id, {block_id for block_id, _ in rows})
    table = row_tables.named_rows(conn, farm_id, set(rows))
    moves = GroundMoves(conn, farm_id)

    def is_elsewhere(record: Any) -> bool:  # noqa: ANN401 - a record as sent, or as kept with its corrected moment
        made_at = getattr(record, "corrected_at", None) or corrected_at(
            record.device_at, upload.sent_at, upload.now
        )
        return not moves.where(record, made_at).is_here

    keys = zip(table.block_id, table.number.tolist(), strict=True)
    return Facts(
        zone=ZoneInfo(farm.time_zone),
        seasons={season.id: season for season in farm_store.seasons(conn, farm_id)},
        crews=frozenset(crew.id for crew in farm_store.crews(conn, farm_id)),
        people=frozenset(person.id for person in farm_store.people(conn, farm_id)),
        blocks=frozenset(own),
        row_positions=dict(zip(keys, table.positions.tolist(), strict=True)),
        blanks=frozenset(table.blanks),
        closures=tuple(closures.closures(conn, own)),
        revoked_devices=frozenset(senders.revoked_devices(conn, farm_id)),
        returns=standing_returns(conn, farm_id),
        lots=lot_places(conn, farm_id, lot_ids),
        is_elsewhere=is_elsewhere,
    )


def taken(
    conn: Connection,
    kind: str,
    records: Sequence[Record],
    decide: Callable[[Record, Values], str | None],
    *,
    speaks_for: Callable[[Record], Set[str]],
    upload: Upload,
) -> Taken[Record]:
    """Sort a batch into new, already there and contradictory, and append it.

    Parameters
    ----------
    conn : Connection
        In a write transaction that holds the farm's lock.
    kind : str
        A key of `orchardmap.store.log.RECORDS`.
    records : sequence
        As sent.
    decide : callable
        Returns what speaks against a new record by itself, or None; may correct the values that will be kept.
    speaks_for : callable
        Returns the crews that a record speaks for: one of its senders, or all together, must be allowed to.
    upload : Upload
        Whose they are and when they came.

    Returns
    -------
    Taken
        With one receipt for each record, in order.
    """
    ids = {record.id for record in records}
    known = log.versions(conn, kind, upload.farm_id, ids)
    scopes = senders.scopes(conn, kind, upload.farm_id, ids)
    vouches = _witness(conn, upload)
    batch: Taken[Record] = Taken()
    handed_in_again: list[senders.Version] = []
    answers: list[tuple[str, str, Outcome]] = []
    for record in records:
        digest = content_hash(record)
        handed_in = scopes[record.id, digest]
        is_new_scope = upload.sender.crew_id not in handed_in
        handed_in.add(upload.sender.crew_id)
        if digest in known[record.id]:
            if is_new_scope:
                batch.again.append(record)
                handed_in_again.append((record.id, digest))
                if known[record.id][digest] == OTHER_CREW:
                    known[record.id][digest] = judged_by_senders(None, handed_in, speaks_for(record))
                    log.set_reason(conn, kind, upload.farm_id, record.id, known[record.id][digest])
            # a repeat is answered as its first copy was, for that answer may have been lost
            answers.append((record.id, digest, "already_there"))
            continue
        values = _values(record, digest, upload)
        if not vouches(values):
            values["extra"] = {**(record.extra or {}), SAID_RECORDER: values["recorder_id"]}
            values["recorder_id"] = None
        reason = judged_by_senders(decide(record, values), handed_in, speaks_for(record))
        if known[record.id]:
            reason = "other_content"
            batch.contradicted.append(record.id)
            known[record.id] = dict.fromkeys(known[record.id], reason)
        known[record.id][digest] = values["set_aside"] = reason
        batch.values.append(values)
        batch.fresh.append(record)
        answers.append((record.id, digest, "taken"))
    # only now is it known that an id came with another content in the same batch
    batch.receipts = [_receipt(i, known[i][digest], otherwise=told) for i, digest, told in answers]
    log.append_records(conn, kind, batch.values)
    for record_id in batch.contradicted:
        log.set_reason(conn, kind, upload.farm_id, record_id, "other_content")
    senders.append_senders(conn, kind, upload.farm_id, handed_in_again, sender=upload.sender, now=upload.now)
    return batch


def taken_of_trees(
    conn: Connection,
    kind: str,
    records: Sequence[OfTree],
    judge: Callable[..., str | None],
    *,
    lot_ids: Collection[str] = (),
    upload: Upload,
) -> list[Receipt]:
    """Take records of single trees, which speak for no crew: they tell of the trees, not of anybody's work.

    Parameters
    ----------
    conn : Connection
        Open for writing.
    kind : str
        As the log names it.
    records : sequence
        In any order.
    judge : callable
        From a record, the facts, ``day`` and ``today`` to why it is set aside, None where it counts.
    lot_ids : collection of str
        The lots that they name.
    upload : Upload
        What they came with.

    Returns
    -------
    list of Receipt
        One for each, in order.
    """
    log.lock_farm(conn, upload.farm_id)
    facts = facts_of(conn, upload, {(one.block_id, one.row) for one in records}, lot_ids)
    today = upload.now.astimezone(facts.zone).date()

    def decide(record: OfTree, values: Values) -> str | None:
        return judge(record, facts, day=true_day(values, facts.zone, today), today=today)

    batch = taken(conn, kind, records, decide, speaks_for=lambda _: frozenset(), upload=upload)
    changes = [log.Change(kind, one.id, one.block_id, one.row) for one in batch.touched]
    log.append_changes(conn, upload.farm_id, changes)
    return batch.receipts


def _values(record: Record, digest: str, upload: Upload) -> Values:
    return {f.name: getattr(record, f.name) for f in fields(record)} | {
        "farm_id": upload.farm_id,
        "content_hash": digest,
        "corrected_at": corrected_at(record.device_at, upload.sent_at, upload.now),
        "server_at": upload.now,
        "handed_in_by": upload.sender.id,
        "for_crew_id": upload.sender.crew_id,
    }


def _witness(conn: Connection, upload: Upload) -> Callable[[Values], bool]:
    """Return what tells of a record whether it is vouched for who made it, or names nobody."""
    sender = upload.sender
    now = cache(lambda: holdings.holding_now(conn, sender.id or ""))
    ever = cache(lambda: holdings.holdings(conn, sender.id or ""))

    def vouches(values: Values) -> bool:
        named, made_at = values.get("recorder_id"), values["corrected_at"]
        if named is None or not sender.is_tablet:
            return True
        own = values["device_id"] == sender.id
        return own and (held(now(), named, made_at) or held(ever(), named, made_at))

    return vouches


def _receipt(record_id: str, reason: str | None, *, otherwise: Outcome) -> Receipt:
    return Receipt(record_id, "set_aside", SET_ASIDE[reason]) if reason else Receipt(record_id, otherwise)


def true_day(values: Values, zone: ZoneInfo, today: date) -> date:
    """Put the corrected day into the values, keep the device's own beside it, and return the corrected one."""
    values["device_day"] = values["day"]
    values["day"] = corrected_day(
        values["day"], values["device_at"], values["corrected_at"], zone=zone, today=today
    )
    return values["day"]  # type: ignore[no-any-return]  # a column's value
