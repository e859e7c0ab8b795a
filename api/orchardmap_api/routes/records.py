"""What is recorded in the rows: marks, withdrawals, checks, crew-days, tree counts. Answered record by record, after the commit."""

from dataclasses import asdict
from datetime import datetime
from typing import Annotated, Any
from uuid import UUID

from fastapi import APIRouter, Query
from pydantic import AfterValidator

from orchardmap.model.people import Sender
from orchardmap.store.session import Store
from orchardmap.usecases import crew_days, history, recording, tree_counts
from orchardmap_api.access import READERS, Confirmed, FarmSender, needs
from orchardmap_api.dependencies import AskedDay, FarmId, Now, ServiceStore
from orchardmap_api.handing_in import AnyBatch, hand_in
from orchardmap_api.record_schemas import CheckBatch, CrewDayBatch, MarkBatch, TreeCountBatch, WithdrawalBatch

router = APIRouter(prefix="/api/farms/{farm_id}", tags=["records"])
Json = dict[str, Any]
AskedCrew = Annotated[
    UUID | None, AfterValidator(lambda one: one and str(one)), Query(description="Id of a crew.")
]


def _handed_in(farm_id: UUID, body: AnyBatch, store: Store, now: datetime, sender: Sender) -> Json:
    receipts = hand_in(store, body, farm_id=str(farm_id), now=now, sender=sender)
    return {
        "outcomes": [asdict(receipt) for receipt in receipts],
        "server_at": now.isoformat(),
        # how far the device's clock lags behind this one; nothing that counts depends on it
        "skew_s": round((now - body.sent_at).total_seconds(), 1),
        **history.place(store, str(farm_id)),
    }


@router.post("/marks", dependencies=[needs("manager", "foreman")])
def post_marks(farm_id: FarmId, body: MarkBatch, store: ServiceStore, now: Now, sender: FarmSender) -> Json:
    """Append marks. Each is taken, already there, or set aside with its reason; none is refused for what it says."""
    return _handed_in(farm_id, body, store, now, sender)


@router.post("/withdrawals", dependencies=[needs("manager", "foreman")])
def post_withdrawals(
    farm_id: FarmId,
    body: WithdrawalBatch,
    store: ServiceStore,
    now: Now,
    sender: FarmSender,
    confirmed: Confirmed,
) -> Json:
    """Append withdrawals; one may come before its mark. A manager who takes back another's mark has given the password lately."""
    if sender.crew_id is None:
        marks = [str(one.mark_id) for one in body.withdrawals]
        if recording.are_anothers(store, str(farm_id), marks, sender=sender):
            confirmed()
    return _handed_in(farm_id, body, store, now, sender)


@router.post("/checks", dependencies=[needs("manager", "auditor")])
def post_checks(farm_id: FarmId, body: CheckBatch, store: ServiceStore, now: Now, sender: FarmSender) -> Json:
    """Append checks."""
    return _handed_in(farm_id, body, store, now, sender)


@router.post("/crew-days", dependencies=[needs("manager", "foreman")])
def post_crew_days(
    farm_id: FarmId, body: CrewDayBatch, store: ServiceStore, now: Now, sender: FarmSender
) -> Json:
    """Append crew-days; one may come before the one that it replaces."""
    return _handed_in(farm_id, body, store, now, sender)


@router.post("/tree-counts", dependencies=[needs("manager", "foreman", "auditor")])
def post_tree_counts(
    farm_id: FarmId, body: TreeCountBatch, store: ServiceStore, now: Now, sender: FarmSender
) -> Json:
    """Append counts of sample trees; one may come before the one that it replaces."""
    return _handed_in(farm_id, body, store, now, sender)


@router.get("/counts", dependencies=[needs(*READERS)])
def read_counts(farm_id: FarmId, store: ServiceStore, now: Now) -> Json:
    """Return what was counted on sample trees this season, by block and by variety."""
    return tree_counts.farm_counts(store, str(farm_id), now=now)


@router.get("/crew-days", dependencies=[needs("manager", "foreman")])
def list_crew_days(
    farm_id: FarmId, store: ServiceStore, sender: FarmSender, day: AskedDay = None, crew: AskedCrew = None
) -> Json:
    """Return crew-days, those replaced or set aside too, and for one day the blocks that were worked in.

    Whoever speaks for one crew sees that crew's.
    """
    asked = None if crew is None else str(crew)
    # read first: what comes between is told as newer
    cursor = history.cursor(store, str(farm_id))
    if sender.crew_id is not None and asked not in {None, sender.crew_id}:
        return {"crew_days": [], "blocks": [], "cursor": cursor}
    crew_id = sender.crew_id or asked
    found = crew_days.crew_days_of(store, str(farm_id), day=day, crew_id=crew_id)
    blocks = [] if day is None else crew_days.blocks_of_day(store, str(farm_id), day=day, crew_id=crew_id)
    return {"crew_days": found, "blocks": blocks, "cursor": cursor}
