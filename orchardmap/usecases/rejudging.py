"""Records that were set aside because what they name was not there: judged anew once the ground is another."""

from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any

from orchardmap.model.orchard import Block
from orchardmap.store import log, senders
from orchardmap.store.session import Connection
from orchardmap.usecases.folding import refold_rows
from orchardmap.usecases.taking import Upload, facts_of
from orchardmap.work.intake import Facts, check_set_aside, mark_set_aside, tree_count_set_aside
from orchardmap.work.speaking import judged_by_senders

__all__ = ["rejudge"]

_OF_TREES: Mapping[str, Callable[..., str | None]] = {
    "check": check_set_aside,
    "tree_count": tree_count_set_aside,
}


def rejudge(conn: Connection, block: Block) -> int:
    """Ask again of a block's marks, checks and tree counts that found no place whether they fit, in the caller's transaction.

    Parameters
    ----------
    conn : Connection
        In a write transaction, after the rows were written.
    block : Block
        The block, as it is now.

    Returns
    -------
    int
        How many fit now, or have another reason.
    """
    return sum(_rejudged(conn, block, kind) for kind in ("mark", *_OF_TREES))


def _rejudged(conn: Connection, block: Block, kind: str) -> int:
    waiting = log.placeless(conn, kind, block.id)
    if not waiting:
        return 0
    facts = _facts(conn, block, waiting)
    revoked = senders.revoked_devices(conn, block.farm_id)
    scopes = senders.scopes(conn, kind, block.farm_id, {one.id for one in waiting})
    touched: dict[str, set[tuple[str, int]]] = defaultdict(set)
    changed = 0
    for one in waiting:
        reason = _reason(kind, one, facts, revoked)
        speaks_for = {one.crew_id} if kind == "mark" else set()
        reason = judged_by_senders(reason, scopes[one.id, one.content_hash], speaks_for)
        if reason == one.set_aside:
            continue
        changed += 1
        log.set_reason(conn, kind, block.farm_id, one.id, reason)
        touched[one.season_id].add((one.block_id, one.row))
    if kind == "mark":
        for season_id, rows in touched.items():
            refold_rows(conn, block.farm_id, season_id, rows)
    return changed


def _facts(conn: Connection, block: Block, waiting: Sequence[Any]) -> Facts:
    # both moments are of no account: what was kept has its corrected one
    upload = Upload(block.farm_id, waiting[0].device_at, waiting[0].server_at)
    lots = {one.lot_id for one in waiting if getattr(one, "lot_id", None) is not None}
    return facts_of(conn, upload, {(one.block_id, one.row) for one in waiting}, lots)


def _reason(kind: str, one: Any, facts: Facts, revoked: Mapping[str, datetime]) -> str | None:  # noqa: ANN401 - a record as kept
    # as it was when it came: what a tablet handed in before it was let go counts
    gone = frozenset(device for device, at in revoked.items() if at <= one.server_at)
    then = replace(facts, revoked_devices=gone)
    today = one.server_at.astimezone(facts.zone).date()
    if kind == "mark":
        return mark_set_aside(one, then, day=one.day, true_at=one.corrected_at, today=today)
    return _OF_TREES[kind](one, then, day=one.day, today=today)
