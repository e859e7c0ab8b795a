"""What became of the lots that were drawn over the trees of returns."""

from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any, Literal

from orchardmap.store import log
from orchardmap.store.recheck_lots import recheck_lots
from orchardmap.store.session import Connection
from orchardmap.usecases.moments import Moment

__all__ = ["Recheck", "rechecks"]


@dataclass(frozen=True, slots=True)
class Recheck:
    """The last lot drawn over a return's trees."""

    number: int
    drawn_on: date
    verdict: Literal["accepted", "send_back"] | None
    """None while it is not decided."""
    checked_on: date | None
    """Day of its last check."""


def rechecks(conn: Connection, at: Moment, return_ids: Collection[str]) -> dict[str, Recheck]:
    """Return the last lot that was drawn over each return and not cancelled, by the return's id."""
    last = {lot.return_id: lot for lot in recheck_lots(conn, return_ids, until=at.until)}
    if at.season is None or not last:
        return {}
    blocks = sorted({lot.block_id for lot in last.values()})
    checks: dict[str, dict[tuple[int, int], Any]] = defaultdict(dict)
    for check in log.checks_of(conn, at.season.id, block_ids=blocks, until=at.until):
        if check.lot_id is not None and check.drawn and not check.second:
            checks[check.lot_id][check.row, check.position] = check
    return {return_id: _recheck(lot, checks[lot.id]) for return_id, lot in last.items()}


def _recheck(lot: Any, checks: Mapping[tuple[int, int], Any]) -> Recheck:  # noqa: ANN401 - a row of the lots table
    faulty = sum(check.verdict == "faulty" for check in checks.values())
    verdict: Literal["accepted", "send_back"] | None = None
    if faulty >= lot.reject:
        verdict = "send_back"
    elif len(checks) >= min(lot.n, lot.lot_trees):
        verdict = "accepted"
    days = [check.day for check in checks.values()]
    return Recheck(lot.number, lot.opened_on, verdict, max(days, default=None))
