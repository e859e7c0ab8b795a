"""From a checked batch of records to the use case that takes it, whichever way it came: over the wire or in a file."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from orchardmap.model.check import Check
from orchardmap.model.people import Sender
from orchardmap.model.tree_count import TreeCount
from orchardmap.model.work import CrewDay, Mark, Receipt, Withdrawal
from orchardmap.store.session import Store
from orchardmap.usecases import crew_days, recording, tree_counts
from orchardmap_api.record_schemas import CheckBatch, CrewDayBatch, MarkBatch, TreeCountBatch, WithdrawalBatch

__all__ = ["BATCHES", "AnyBatch", "hand_in"]

AnyBatch = MarkBatch | WithdrawalBatch | CheckBatch | CrewDayBatch | TreeCountBatch
BATCHES: Mapping[str, type[AnyBatch]] = {
    "marks": MarkBatch,
    "withdrawals": WithdrawalBatch,
    "checks": CheckBatch,
    "crew_days": CrewDayBatch,
    "tree_counts": TreeCountBatch,
}
"""Kind of record -> its batch, in the order in which a tablet sends them."""


def hand_in(store: Store, batch: AnyBatch, *, farm_id: str, now: datetime, sender: Sender) -> list[Receipt]:
    """Take a batch into the log in one transaction.

    Parameters
    ----------
    store : Store
        Open for writing.
    batch : MarkBatch, WithdrawalBatch, CheckBatch, CrewDayBatch or TreeCountBatch
        As checked.
    farm_id : str
        The farm whose device made the records.
    now : datetime with time zone
        The server's clock.
    sender : Sender
        Who hands them in.

    Returns
    -------
    list of Receipt
        One for each record, in order.
    """
    common: dict[str, Any] = {"farm_id": farm_id, "sent_at": batch.sent_at, "now": now, "sender": sender}
    match batch:
        case MarkBatch():
            marks = [Mark(**one.values()) for one in batch.marks]
            return recording.record_marks(store, marks=marks, **common)
        case WithdrawalBatch():
            withdrawals = [Withdrawal(**one.values()) for one in batch.withdrawals]
            return recording.record_withdrawals(store, withdrawals=withdrawals, **common)
        case CheckBatch():
            checks = [Check(**one.values()) for one in batch.checks]
            return recording.record_checks(store, checks=checks, **common)
        case CrewDayBatch():
            days = [CrewDay(**one.values()) for one in batch.crew_days]
            return crew_days.record_crew_days(store, crew_days=days, **common)
        case TreeCountBatch():
            counts = [TreeCount(**one.values()) for one in batch.tree_counts]
            return tree_counts.record_tree_counts(store, counts=counts, **common)
