"""Lots of a block at a glance: what their verdicts come to, and how much of the work is in none."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any

from orchardmap.quality.verdict import LotVerdict, as_far_as_judged
from orchardmap.store import lots as lot_store
from orchardmap.store.session import Connection
from orchardmap.usecases.checked_trees import ReadCheck
from orchardmap.usecases.left_out import trees_left_out
from orchardmap.usecases.lot_ground import waiting_trees
from orchardmap.usecases.lot_verdicts import JudgedLot, judged_lots
from orchardmap.usecases.lots_in_order import SentBack, lots_sent_back
from orchardmap.usecases.moments import Moment
from orchardmap.usecases.return_facts import ReturnFacts, past_checks

__all__ = ["lot_figures"]

Json = dict[str, Any]


def lot_figures(
    conn: Connection,
    at: Moment,
    checks: Iterable[ReadCheck],
    returns: Sequence[ReturnFacts],
    pruned: Mapping[str, int],
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
    pruned : mapping of str to int
        Pruned trees of each block that has any.

    Returns
    -------
    dict of str to dict
        By block id. Lots that were cancelled since are left out, of the past too; trees drawn and faulty ones are those of all lots;
        faulty ones that were gone over again since are told apart.
    """
    if at.season is None:
        return {}
    lots = [lot for lot in lot_store.lots_of(conn, at.season.id) if lot.stands and lot.opened_on <= at.day]
    if not lots:
        return {}
    judged = judged_lots(lots, checks, trees_left_out(conn, at, lots))
    back = lots_sent_back(conn, at, judged, returns)
    of_block: defaultdict[str, list[JudgedLot]] = defaultdict(list)
    for one in judged:
        of_block[one.lot.block_id].append(one)
    waiting = waiting_trees(conn, at, lots, sorted(of_block))
    is_past = past_checks(returns)
    told: dict[str, Json] = {}
    for block_id, own in of_block.items():
        unjudged = waiting[block_id].trees
        verdict = as_far_as_judged(_verdict(own, back), pruned=pruned.get(block_id, 0), unjudged=unjudged)
        told[block_id] = _figures(own, is_past) | {"verdict": verdict, "uninspected": unjudged}
    return told


def _figures(judged: Sequence[JudgedLot], is_past: Callable[[ReadCheck], bool]) -> Json:
    faulty = [check for one in judged for check in one.found.judged if check.verdict == "faulty"]
    gone_over = sum(map(is_past, faulty))
    only = judged[0].found.asked if len(judged) == 1 else None
    return {
        "must_check": sum(one.found.asked.needed for one in judged),
        "may_fail": only.reject - 1 if only else None,
        "drawn": sum(one.found.checked for one in judged),
        "drawn_faulty": len(faulty) - gone_over,
        "faulty_gone_over": gone_over,
        "lots_open": sum(one.waits for one in judged),
    }


def _verdict(judged: Sequence[JudgedLot], back: Mapping[str, SentBack]) -> LotVerdict:
    if any(one.lot.id in back and not back[one.lot.id].is_put_right for one in judged):
        return "send_back"
    return "too_few" if any(one.waits for one in judged) else "accepted"
