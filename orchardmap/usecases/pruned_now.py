"""What of the overview goes on with each mark, of today or of a day that is over: little enough to ask for after every one."""

from datetime import date, datetime
from typing import Any

from orchardmap.store import farm as farm_store
from orchardmap.store import log, orchard
from orchardmap.store.remembered import Remembered
from orchardmap.store.session import Connection, Store
from orchardmap.usecases.folding import work_done
from orchardmap.usecases.moments import Moment, moment

__all__ = ["pruned_now"]

Json = dict[str, Any]
_REMEMBERED: "Remembered[dict[str, tuple[int, int, int]]]" = Remembered(20, at_once=True)


def pruned_now(store: Store, farm_id: str, *, day: date | None, now: datetime) -> Json:
    """Return pruned trees, overlap trees and finished rows of each block where work was done.

    Parameters
    ----------
    store : Store
        Open for reading.
    farm_id : str
        The farm.
    day : date or None
        The day to look at; None is today.
    now : datetime with time zone
        The server's clock.

    Returns
    -------
    dict
        Of today sums that are kept; of a day that is over the log is folded, once for all pages that look at it.
    """
    with store.read() as conn:
        at = moment(conn, farm_id, day, now)
        done = (
            _done(conn, at)
            if at.until is None
            else _REMEMBERED.answer(conn, farm_id, at.until, lambda: _done(conn, at))
        )
        return {
            "day": at.day.isoformat(),
            "cursor": log.cursor(conn, farm_id),
            "epoch": farm_store.setting(conn, "epoch"),
            "blocks": {block_id: list(counts) for block_id, counts in sorted(done.items())},
        }


def _done(conn: Connection, at: Moment) -> dict[str, tuple[int, int, int]]:
    return work_done(conn, at, [block.id for block in orchard.blocks(conn, at.farm.id)])
