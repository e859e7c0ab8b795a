"""Marks that were set aside because their row, or so many positions, were not there: judged anew once the ground is another."""

from collections import defaultdict
from dataclasses import replace

from orchardmap.model.orchard import Block
from orchardmap.store import log, senders
from orchardmap.store.session import Connection
from orchardmap.usecases.folding import refold_rows
from orchardmap.usecases.taking import Upload, facts_of
from orchardmap.work.intake import mark_set_aside
from orchardmap.work.speaking import judged_by_senders

__all__ = ["rejudge_marks"]


def rejudge_marks(conn: Connection, block: Block) -> int:
    """Ask again of a block's marks whether they fit, in the caller's transaction.

    Parameters
    ----------
    conn : Connection
        In a write transaction, after the rows were written.
    block : Block
        The block, as it is now.

    Returns
    -------
    int
        How many marks fit now, or have another reason.
    """
    waiting = log.placeless_marks(conn, block.id)
    if not waiting:
        return 0
    first = waiting[0]
    upload = Upload(block.farm_id, first.device_at, first.server_at)
    facts = facts_of(conn, upload, {(mark.block_id, mark.row) for mark in waiting})
    revoked = senders.revoked_devices(conn, block.farm_id)
    scopes = senders.scopes(conn, "mark", block.farm_id, {mark.id for mark in waiting})
    touched: dict[str, set[tuple[str, int]]] = defaultdict(set)
    changed = 0
    for mark in waiting:
        # as it was when the mark came: what a tablet handed in before it was let go counts
        gone = frozenset(device for device, at in revoked.items() if at <= mark.server_at)
        then = replace(facts, revoked_devices=gone)
        today = mark.server_at.astimezone(facts.zone).date()
        reason = mark_set_aside(mark, then, day=mark.day, true_at=mark.corrected_at, today=today)
        reason = judged_by_senders(reason, scopes[mark.id, mark.content_hash], {mark.crew_id})
        if reason == mark.set_aside:
            continue
        changed += 1
        log.set_reason(conn, "mark", block.farm_id, mark.id, reason)
        touched[mark.season_id].add((mark.block_id, mark.row))
    for season_id, rows in touched.items():
        refold_rows(conn, block.farm_id, season_id, rows)
    return changed
