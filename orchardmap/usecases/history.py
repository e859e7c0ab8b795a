"""Progress over time: trees by day, block, variety and crew."""

from collections import Counter, defaultdict
from collections.abc import Sequence
from datetime import date, datetime
from typing import Any

import numpy as np

from orchardmap.store import farm as farm_store
from orchardmap.store import log, orchard, row_tables
from orchardmap.store.session import Store
from orchardmap.usecases.folding import states_on
from orchardmap.usecases.moments import moment
from orchardmap.work.burnup import NEVER, first_pruned_day
from orchardmap.work.settling import HELD

__all__ = ["changes", "cursor", "place", "progress", "trees_by_day"]

Json = dict[str, Any]
_HELD = "held"


def trees_by_day(standing: Sequence[log.Standing], table: row_tables.RowTable) -> dict[date, int]:
    """Return the trees that each day added, by day: each tree on the first day that a standing mark covers it."""
    index = table.index()
    here = [m for m in standing if (m.block_id, m.row) in index]
    if not here:
        return {}
    marks = (
        np.array([index[m.block_id, m.row] for m in here], np.int64),
        np.array([m.first for m in here], np.int64),
        np.array([m.last for m in here], np.int64),
        np.array([m.day.toordinal() for m in here], np.int64),
    )
    days = first_pruned_day(marks, table.positions)
    start = np.concatenate([[0], np.cumsum(table.positions)])
    odd = np.array(
        [start[row] + position - 1 for row, position in table.not_trees if position <= table.positions[row]],
        np.int64,
    )
    days[odd] = NEVER
    found, trees = np.unique(days[days != NEVER], return_counts=True)
    return {date.fromordinal(d): n for d, n in zip(found.tolist(), trees.tolist(), strict=True)}


def progress(store: Store, farm_id: str, *, day: date | None, now: datetime) -> Json:
    """Return progress as of a day: day by day, and by block, variety and crew, in trees."""
    with store.read() as conn:
        at = moment(conn, farm_id, day, now)
        blocks = orchard.blocks(conn, farm_id)
        ids = [block.id for block in blocks]
        table = row_tables.row_table(conn, ids)
        found = states_on(conn, at.season.id, ids, at.until) if at.season else []
        standing = log.standing_marks(conn, at.season.id, until=at.day) if at.season else []
        crews = farm_store.crews(conn, farm_id)
        varieties = farm_store.varieties(conn, farm_id)
    by_day = sorted(trees_by_day(standing, table).items())
    to_date = np.cumsum([n for _, n in by_day]).tolist()
    trees = _trees(table)
    pruned: Counter[str] = Counter()
    for state in found:
        pruned[state.block_id] += state.pruned
    told = [{"id": b.id, "code": b.code, "trees": trees[b.id], "pruned": pruned[b.id]} for b in blocks]
    of_variety: dict[str | None, list[int]] = defaultdict(lambda: [0, 0])
    for block, figures in zip(blocks, told, strict=True):
        of_variety[block.variety_id][0] += int(str(figures["trees"]))
        of_variety[block.variety_id][1] += int(str(figures["pruned"]))
    credited = _credited(found, table)
    return {
        "day": at.day.isoformat(),
        "season_id": at.season.id if at.season else None,
        "days": [
            {"day": d.isoformat(), "trees": n, "pruned_to_date": total}
            for (d, n), total in zip(by_day, to_date, strict=True)
        ],
        "blocks": told,
        "varieties": [
            {"id": v.id, "name": v.name, "trees": of_variety[v.id][0], "pruned": of_variety[v.id][1]}
            for v in varieties
        ],
        "crews": [{"id": c.id, "name": c.name, "trees": credited[c.id]} for c in crews],
        "held": credited[_HELD],
        "credited_to_nobody": credited[None],
    }


def _trees(table: row_tables.RowTable) -> Counter[str]:
    """Count the trees of each block: positions less blanks and pollinizers."""
    trees: Counter[str] = Counter()
    for block_id, positions in zip(table.block_id, table.positions.tolist(), strict=True):
        trees[block_id] += positions
    trees.subtract(table.block_id[row] for row, _ in table.not_trees)
    return trees


def _credited(found: Sequence[Any], table: row_tables.RowTable) -> Counter[str | None]:
    """Count trees by the crew credited with them; under `_HELD` those that wait for a manager, under None those settled for nobody."""
    odd: dict[tuple[str, int], set[int]] = defaultdict(set)
    for row, position in table.not_trees:
        odd[table.block_id[row], int(table.number[row])].add(position)
    credited: Counter[str | None] = Counter()
    for state in found:
        not_trees = odd.get((state.block_id, state.row), set())
        for run in state.runs:
            trees = run.last - run.first + 1 - sum(run.first <= p <= run.last for p in not_trees)
            credited[_HELD if run.status in HELD else run.crew_id] += trees
    return credited


def changes(store: Store, farm_id: str, *, after: int, limit: int) -> Json:
    """Return the farm's numbered changes above a cursor, in order."""
    with store.read() as conn:
        farm_store.farm(conn, farm_id)
        found = log.changes_after(conn, farm_id, after, limit=limit)
        epoch = farm_store.setting(conn, "epoch")
    listed = [
        {"seq": c.seq, "kind": c.kind, "subject_id": c.subject_id, "block_id": c.block_id, "row": c.row}
        for c in found
    ]
    return {"changes": listed, "cursor": found[-1].seq if found else after, "epoch": epoch}


def cursor(store: Store, farm_id: str) -> int:
    """Return the number of the farm's newest change."""
    with store.read() as conn:
        return log.cursor(conn, farm_id)


def place(store: Store, farm_id: str) -> Json:
    """Return where the farm's log stands: the number of its newest change, and the epoch of the database that counts them."""
    with store.read() as conn:
        return {"cursor": log.cursor(conn, farm_id), "epoch": farm_store.setting(conn, "epoch")}
