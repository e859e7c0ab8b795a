"""Lots of a block at a glance: what their verdicts come to, and how much of the work is in none."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from typing import Any

from orchardmap.quality.verdict import LotVerdict
from orchardmap.store import lots as lot_store
from orchardmap.store.session import Connection
from orchardmap.usecases.checked_trees import ReadCheck
from orchardmap.usecases.left_out import trees_left_out
from orchardmap.usecases.lot_ground import waiting_trees
from orchardmap.usecases.lot_verdicts import JudgedLot, judged_lots
from orchardmap.usecases.lots_in_order import lots_put_right
from orchardmap.usecases.moments import Moment
from orchardmap.usecases.return_facts import ReturnFacts

__all__ = ["lot_figures"]

Json = dict[str, Any]


def lot_figures(
    conn: Connection, at: Moment, checks: Iterable[ReadCheck], returns: Sequence[ReturnFacts]
) -> dict[str, Json]:
    """Return verdict and numbers of each block that had a lot by the day looked at.

    Parameters
    ----------
    conn : Connection
        Open for reading.
    at : Moment
        Farm, season and day.
    checks : iterable of ReadCheck
        Of the season, by that day.
    returns : sequence of ReturnFacts
        The same.

    Returns
    -------
    dict of str to dict
        By block id. Lots that were cancelled since are left out, of the past too; trees and faulty ones are those of all lots.
    """
    if at.season is None:
        return {}
    lots = [lot for lot in lot_store.lots_of(conn, at.season.id) if lot.stands and lot.opened_on <= at.day]
    if not lots:
        return {}
    judged = judged_lots(lots, checks, trees_left_out(conn, at, lots))
    right = lots_put_right(judged, returns)
    of_block: defaultdict[str, list[JudgedLot]] = defaultdict(list)
    for one in judged:
        of_block[one.lot.block_id].append(one)
    waiting = waiting_trees(conn, at, lots, sorted(of_block))
    return {
        block_id: _figures(own, right) | {"uninspected": sum(waiting[block_id].values())}
        for block_id, own in of_block.items()
    }


def _figures(judged: Sequence[JudgedLot], right: Collection[str]) -> Json:
    only = judged[0].lot if len(judged) == 1 else None
    return {
        "verdict": _verdict(judged, right),
        "must_check": sum(one.found.asked.needed for one in judged),
        "may_fail": only.reject - 1 if only else None,
        "drawn": sum(one.found.checked for one in judged),
        "drawn_faulty": sum(one.found.faulty for one in judged),
        "lots_open": sum(one.waits for one in judged),
    }


def _verdict(judged: Sequence[JudgedLot], right: Collection[str]) -> LotVerdict:
    if any(one.found.verdict == "send_back" and one.lot.id not in right for one in judged):
        return "send_back"
    return "too_few" if any(one.waits for one in judged) else "accepted"
