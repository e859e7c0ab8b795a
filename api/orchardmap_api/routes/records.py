"""What is recorded in the rows: marks, withdrawals, checks. Answered record by record, after the commit."""

from dataclasses import asdict
from typing import Any

from fastapi import APIRouter

from orchardmap.model.check import Check
from orchardmap.model.work import Mark, Receipt, Withdrawal
from orchardmap.usecases import history, recording
from orchardmap_api.access import needs
from orchardmap_api.dependencies import FarmId, Now, ServiceStore
from orchardmap_api.schemas import CheckBatch, MarkBatch, WithdrawalBatch

router = APIRouter(prefix="/api/farms/{farm_id}", tags=["records"])
Json = dict[str, Any]


def _answer(store: ServiceStore, farm_id: FarmId, receipts: list[Receipt]) -> Json:
    return {
        "outcomes": [asdict(receipt) for receipt in receipts],
        "cursor": history.cursor(store, str(farm_id)),
    }


@router.post("/marks", dependencies=[needs("manager", "foreman")])
def post_marks(farm_id: FarmId, body: MarkBatch, store: ServiceStore, now: Now) -> Json:
    """Append marks. Each is taken, already there, or set aside with its reason; none is refused for what it says."""
    marks = [Mark(**mark.model_dump()) for mark in body.marks]
    receipts = recording.record_marks(store, farm_id=str(farm_id), marks=marks, sent_at=body.sent_at, now=now)
    return _answer(store, farm_id, receipts)


@router.post("/withdrawals", dependencies=[needs("manager", "foreman")])
def post_withdrawals(farm_id: FarmId, body: WithdrawalBatch, store: ServiceStore, now: Now) -> Json:
    """Append withdrawals; one may come before its mark."""
    found = [Withdrawal(**withdrawal.model_dump()) for withdrawal in body.withdrawals]
    receipts = recording.record_withdrawals(
        store, farm_id=str(farm_id), withdrawals=found, sent_at=body.sent_at, now=now
    )
    return _answer(store, farm_id, receipts)


@router.post("/checks", dependencies=[needs("manager", "auditor")])
def post_checks(farm_id: FarmId, body: CheckBatch, store: ServiceStore, now: Now) -> Json:
    """Append checks."""
    checks = [Check(**check.model_dump()) for check in body.checks]
    receipts = recording.record_checks(
        store, farm_id=str(farm_id), checks=checks, sent_at=body.sent_at, now=now
    )
    return _answer(store, farm_id, receipts)
