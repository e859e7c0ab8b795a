"""The small farm with everything that is served as features: all of a block pruned, checks with a weak area, a check of a tree that is gone."""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

import beside_farm
from checked_season import hand_in, patchy_checks, prune
from orchardmap.store.session import Store
from orchardmap.usecases import counting, recording
from small_farm import NOW, POSITIONS, ROWS, TODAY, SmallFarm

YESTERDAY = TODAY - timedelta(days=1)
GONE_ROW = 25
LAYERS = ("blocks", "rows", "progress", "marks", "checks", "weak_areas", *beside_farm.COUNTS)
UNTIMED = {"blocks", *beside_farm.COUNTS}
"""Layers of the ground as it is now."""
COUNTS = {
    "blocks": 2,
    "rows": 2 * ROWS,
    "progress": 2,
    "marks": ROWS + 1,
    "checks": 4 * ROWS + 1,
    "weak_areas": 1,
    **beside_farm.COUNTS,
}
"""Features of each layer today; the weak area is the one patch that `patchy_checks` plants."""


@dataclass(frozen=True)
class Work:
    """What stands out."""

    early_mark: str
    """Id of the one mark of yesterday, of row 3 of the second block."""
    gone_check: str
    """Id of the check of a tree that a recount took away."""


def work_on(store: Store, farm: SmallFarm, *, now: Any = NOW) -> Work:
    """Prune the first block today and one row of the second yesterday, check the first, and draw what lies beside them."""
    prune(store, farm)
    early = farm.mark(row=3, block_id=farm.blocks[1].id, day=YESTERDAY, last=40)
    recording.record_marks(store, farm_id=farm.farm.id, marks=[early], sent_at=now, now=now)
    gone = farm.check(row=GONE_ROW, position=POSITIONS)
    hand_in(store, farm, [*patchy_checks(farm), gone], now=now)
    counting.recount_row(
        store,
        block_id=farm.blocks[0].id,
        row=GONE_ROW,
        changes={"counted_positions": POSITIONS - 5},
        actor="shell",
        now=now,
    )
    beside_farm.draw_beside(store, farm)
    return Work(early.id, gone.id)


def days_text(first: date | None, last: date | None) -> str:
    """An interval as the service is asked."""
    return f"{first or '..'}/{last or '..'}"
