"""The audit log from outside: is the chain whole, and what was denied."""

from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime

from orchardmap.errors import StoreError
from orchardmap.model.access import Caller
from orchardmap.store import audit
from orchardmap.store.session import Store

__all__ = ["ChainReport", "note_denied", "verify"]


@dataclass(frozen=True, slots=True)
class ChainReport:
    """What was found when the chain was followed."""

    entries: int
    head: str
    """``number:hash`` of the newest entry: kept elsewhere, it proves later that nothing before it was changed."""
    fault: str = ""
    """The first thing that is wrong, in a sentence; empty for a whole chain."""
    first_bad: int | None = None


def verify(store: Store, *, known: str = "") -> ChainReport:
    """Follow the chain from its first entry and name the first bad one.

    Parameters
    ----------
    store : Store
        Open for reading.
    known : str
        A head that was kept elsewhere; empty compares with the one beside the log alone.

    Returns
    -------
    ChainReport
    """
    before, seq, seen_known = audit.FIRST_HASH, 0, not known
    with store.read() as conn:
        head_seq, head_hash = audit.head(conn)
        for entry in audit.entries(conn):
            fault = _fault(entry, seq + 1, before)
            if fault:
                return ChainReport(seq, f"{seq}:{before}", fault, seq + 1)
            seq, before = entry.seq, entry.hash
            seen_known = seen_known or known == f"{seq}:{before}"
    if (seq, before) != (head_seq, head_hash):
        missing = f"entries after {seq} are missing: the newest was {head_seq}"
        return ChainReport(seq, f"{seq}:{before}", missing, seq + 1)
    if not seen_known:
        return ChainReport(
            seq, f"{seq}:{before}", "the head that was kept elsewhere is not in this log", None
        )
    return ChainReport(seq, f"{seq}:{before}")


def _fault(entry: audit.Entry, expected: int, before: str) -> str:
    if entry.seq != expected:
        return f"entry {expected} is missing"
    if entry.previous_hash != before:
        return f"entry {expected} does not follow the one before it"
    if entry.hash != audit.entry_hash(entry):
        return f"entry {expected} was changed"
    return ""


def note_denied(
    store: Store,
    caller: Caller,
    *,
    asked: tuple[str, str, int],
    left_out: int,
    farm_id: str | None,
    now: datetime,
) -> None:
    """Keep that somebody known was denied something: route, id asked for, answer, and how many denials before it are not kept.

    A store that cannot write denies all the same.
    """
    route, where, status = asked
    more = {"left_out": left_out} if left_out else {}
    with suppress(StoreError), store.write() as conn:
        # a farm that the caller is nobody on may not exist at all: its id is said, not referred to
        audit.note(
            conn,
            "denied",
            at=now,
            actor=caller.actor if not caller.is_nobody else f"ended {caller.lapsed}",
            subject=where,
            farm_id=farm_id,
            route=route,
            status=status,
            **more,
        )
