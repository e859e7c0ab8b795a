"""What became of the lots that were drawn over the trees of returns."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Literal

from orchardmap.store.lots import lots_of
from orchardmap.store.session import Connection
from orchardmap.usecases.checked_trees import ReadCheck, read_checks
from orchardmap.usecases.left_out import trees_left_out
from orchardmap.usecases.lot_verdicts import JudgedLot, judged_lots
from orchardmap.usecases.moments import Moment

__all__ = ["Recheck", "rechecks"]


@dataclass(frozen=True, slots=True)
class Recheck:
    """The last lot drawn over a return's trees."""

    lot_id: str
    number: int
    drawn_on: date
    drawn_at: datetime
    verdict: Literal["accepted", "send_back"] | None
    """None while it is not decided."""
    checked_on: date | None
    """Day of its last check."""
    checked_at: datetime | None
    """When that was made, by the service's clock."""


def rechecks(
    conn: Connection,
    at: Moment,
    return_ids: Collection[str],
    block_ids: Collection[str],
    *,
    checks: Sequence[ReadCheck] | None = None,
) -> dict[str, Recheck]:
    """Return the last lot that was drawn over each return of these blocks and not cancelled, by the return's id.

    ``checks`` are those of the blocks by that day, where they are at hand.
    """
    if at.season is None:
        return {}
    drawn = [
        lot
        for lot in lots_of(conn, at.season.id, block_ids=sorted(block_ids))
        if lot.stands and lot.return_id in return_ids and (at.until is None or lot.opened_on <= at.until)
    ]
    # by number, so the last one drawn takes the place
    last = {lot.return_id: lot for lot in drawn if lot.return_id is not None}
    if not last:
        return {}
    if checks is None:
        checks = read_checks(conn, at, sorted({lot.block_id for lot in last.values()}))
    judged = judged_lots(list(last.values()), checks, trees_left_out(conn, at, last.values()))
    return {one.lot.return_id: _recheck(one) for one in judged if one.lot.return_id is not None}


def _recheck(one: JudgedLot) -> Recheck:
    verdict = one.found.verdict
    day, made_at = max(((check.day, check.corrected_at) for check in one.found.judged), default=(None, None))
    return Recheck(
        one.lot.id,
        one.lot.number,
        one.lot.opened_on,
        one.lot.opened_at,
        None if verdict == "too_few" else verdict,
        day,
        made_at,
    )
