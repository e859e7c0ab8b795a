"""Queues of a season, and what is said of its blocks for the plan. What is saved replaces what was there."""

from collections import defaultdict
from collections.abc import Collection
from dataclasses import asdict
from datetime import date

from sqlalchemy import ColumnElement, Connection, delete, func, insert, select, true

from orchardmap.model.queue import BlockTerms, Queues
from orchardmap.store import queue_tables as t
from orchardmap.store.row_tables import chunks
from orchardmap.store.standing import stands
from orchardmap.store.tables import marks

__all__ = ["block_terms", "last_work", "queues", "save_queues", "save_terms"]


def queues(conn: Connection, season_id: str) -> Queues:
    """Return what was given out in a season, blocks that are done since too."""
    plan = conn.execute(select(t.queue_plans).where(t.queue_plans.c.season_id == season_id)).one_or_none()
    if plan is None:
        return Queues()
    b = t.queue_blocks.c
    by_crew: dict[str, list[str]] = defaultdict(list)
    nobody: list[str] = []
    asked = select(b.block_id, b.crew_id).where(b.season_id == season_id).order_by(b.place, b.block_id)
    for block_id, crew_id in conn.execute(asked):
        (nobody if crew_id is None else by_crew[crew_id]).append(block_id)
    told = {crew_id: tuple(blocks) for crew_id, blocks in by_crew.items()}
    return Queues(plan.revision, told, tuple(nobody), plan.own_first)


def save_queues(conn: Connection, season_id: str, made: Queues) -> None:
    """Keep these queues, with their revision, instead of those before."""
    for table in (t.queue_blocks, t.queue_plans):
        conn.execute(delete(table).where(table.c.season_id == season_id))
    plan = {"season_id": season_id, "revision": made.revision, "own_first": made.own_first}
    conn.execute(insert(t.queue_plans).values(**plan))
    placed = [
        {"season_id": season_id, "block_id": block_id, "crew_id": crew_id, "place": place}
        for crew_id, blocks in (*made.by_crew.items(), (None, made.open))
        for place, block_id in enumerate(blocks)
    ]
    if placed:
        conn.execute(insert(t.queue_blocks), placed)


def block_terms(conn: Connection, season_id: str) -> dict[str, BlockTerms]:
    """Return what is said of blocks for a season, by block id; of others nothing is."""
    c = t.block_terms.c
    asked = select(c.block_id, c.must_finish_on, c.platform_fits).where(c.season_id == season_id)
    return {one.block_id: BlockTerms(one.must_finish_on, one.platform_fits) for one in conn.execute(asked)}


def save_terms(conn: Connection, season_id: str, block_id: str, made: BlockTerms) -> None:
    """Keep what is said of a block for a season; where nothing is, no line is kept."""
    c = t.block_terms.c
    conn.execute(delete(t.block_terms).where(c.season_id == season_id, c.block_id == block_id))
    if made != BlockTerms():
        conn.execute(insert(t.block_terms).values(season_id=season_id, block_id=block_id, **asdict(made)))


def last_work(
    conn: Connection,
    season_id: str,
    *,
    block_ids: Collection[str] | None = None,
    since: date | None = None,
) -> list[tuple[str, str, date]]:
    """Return (block id, crew id, day) of the last day that each crew pruned in each block, by marks that stand, in order.

    Parameters
    ----------
    conn : Connection
        Open for reading.
    season_id : str
        The season.
    block_ids : collection of str, optional
        Only these blocks.
    since : date, optional
        Only work of this day or later.
    """
    m = marks.c
    asked = select(m.block_id, m.crew_id, func.max(m.day)).where(stands(season_id))
    if since is not None:
        asked = asked.where(m.day >= since)
    wanted: list[ColumnElement[bool]] = [true()]
    if block_ids is not None:
        wanted = [m.block_id.in_(chunk) for chunk in chunks(sorted(block_ids))]
    found = [
        (block_id, crew_id, day)
        for condition in wanted
        for block_id, crew_id, day in conn.execute(asked.where(condition).group_by(m.block_id, m.crew_id))
    ]
    return sorted(found, key=lambda one: (one[2], one[1], one[0]))
