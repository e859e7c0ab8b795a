"""Checks of drawn trees on the small farm, with or without a weak patch: for tests of what they tell."""

from collections.abc import Callable, Iterable
from dataclasses import replace
from typing import Any

import numpy as np

from orchardmap.model.check import Check, TreeVerdict
from orchardmap.store.session import Store
from orchardmap.usecases import recording
from small_farm import NOW, POSITIONS, ROWS, SmallFarm

PATCH_ROWS, PATCH_POSITIONS = (8, 13), (20, 70)
Tree = tuple[int, int]


def in_patch(row: int, position: int) -> bool:
    """Whether a tree stands in the weak patch."""
    return PATCH_ROWS[0] <= row <= PATCH_ROWS[1] and PATCH_POSITIONS[0] <= position <= PATCH_POSITIONS[1]


def prune(
    store: Store, farm: SmallFarm, *, block: int = 0, crew_of: Callable[[int], int] = lambda row: 0
) -> None:
    """All rows of a block are pruned, each by the crew that is said."""
    marks = [farm.mark(row, crew=crew_of(row), block_id=farm.blocks[block].id) for row in range(1, ROWS + 1)]
    recording.record_marks(store, farm_id=farm.farm.id, marks=marks, sent_at=NOW, now=NOW)


def drawn_checks(
    farm: SmallFarm,
    rng: np.random.Generator,
    *,
    block: int = 0,
    trees_a_row: int = 4,
    is_faulty: Callable[[int, int], bool] | None = None,
    **changes: Any,
) -> list[Check]:
    """So many drawn trees of each row; faulty those that are said, else two in fifty, one in each end row."""
    made = []
    for row in range(1, ROWS + 1):
        for at in sorted(rng.choice(POSITIONS, trees_a_row, replace=False).tolist()):
            faulty = is_faulty(row, at + 1) if is_faulty else rng.random() < 0.04
            verdict: TreeVerdict = "faulty" if faulty else "meets"
            block_id = farm.blocks[block].id
            made.append(farm.check(row, at + 1, verdict=verdict, block_id=block_id, **changes))
    return made


def patchy_checks(farm: SmallFarm, *, seed: int = 5, **changes: Any) -> list[Check]:
    """Checks of the first block: nearly every tree of the patch faulty, hardly one elsewhere."""
    rng = np.random.default_rng(seed)
    return drawn_checks(
        farm, rng, is_faulty=lambda row, at: rng.random() < (0.9 if in_patch(row, at) else 0.03), **changes
    )


def hand_in(store: Store, farm: SmallFarm, checks: Iterable[Check], *, now: Any = NOW) -> None:
    """Record checks; every one must be taken."""
    told = list(checks)
    receipts = recording.record_checks(store, farm_id=farm.farm.id, checks=told, sent_at=now, now=now)
    assert {receipt.outcome for receipt in receipts} <= {"taken"}, receipts


def seen_walking(checks: Iterable[Check], ids: Callable[[], str]) -> list[Check]:
    """The same trees seen while walking, each found the other way round."""
    other: dict[TreeVerdict, TreeVerdict] = {"faulty": "meets", "meets": "faulty", "minor": "faulty"}
    return [replace(one, id=ids(), drawn=False, verdict=other[one.verdict]) for one in checks if one.verdict]
