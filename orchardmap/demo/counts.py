"""What an auditor of the invented farm counted on sample trees before the crews came to two blocks."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np

from orchardmap.demo.ids import uuid7
from orchardmap.demo.season import moment
from orchardmap.demo.work import BlockAtWork
from orchardmap.model.orchard import Row
from orchardmap.model.tree_count import CountedThing, TreeCount

__all__ = ["COUNTED_BLOCKS", "counted_trees"]

Tree = tuple[int, int]
"""Row and position."""


@dataclass(frozen=True, slots=True)
class _Round:
    code: str
    what: CountedThing
    trees: int
    mean: float
    spread: float
    """Standard deviation over mean."""


_ROUNDS = (
    _Round("M3", "buds_before", 30, 331.0, 0.33),
    _Round("M3", "limbs", 10, 23.0, 0.16),
    _Round("B3", "buds_before", 10, 268.0, 0.36),
)
"""Enough buds in the first block, and too few in the other, so that both are seen."""
COUNTED_BLOCKS = tuple(dict.fromkeys(one.code for one in _ROUNDS))
_AFTER_OPENING = timedelta(days=1)
"""Long before a crew comes to these blocks."""
_GOLDEN = (5**0.5 - 1) / 2
_SEEDS = 2**31
_HOURS_A_TREE = 0.05


def counted_trees(
    blocks: Sequence[BlockAtWork],
    season_id: str,
    *,
    opening: date,
    recorder_id: str,
    rng: np.random.Generator,
) -> list[TreeCount]:
    """Return the counts of all rounds, in order of time; one tree was counted wrong and is corrected.

    Parameters
    ----------
    blocks : sequence of BlockAtWork
        Of the farm, those of `COUNTED_BLOCKS` among them.
    season_id : str
        The season the records belong to.
    opening : date
        First day of the season.
    recorder_id : str
        Who counts.
    rng : Generator
        Decides trees, numbers and ids.

    Returns
    -------
    list of TreeCount
        On the day after the opening, one behind the other.
    """
    of = {block.plot.code: block for block in blocks}
    day = opening + _AFTER_OPENING
    made: list[TreeCount] = []
    for turn in _ROUNDS:
        seed = int(rng.integers(_SEEDS))
        trees = _drawn(list(_walked(of[turn.code].rows)), seed, turn.trees)
        numbers = np.maximum(0, rng.normal(turn.mean, turn.spread * turn.mean, turn.trees).round())
        for (row, position), number in zip(trees, numbers.astype(int).tolist(), strict=True):
            at = moment(day, _HOURS_A_TREE * (len(made) + 1))
            made.append(
                TreeCount(
                    uuid7(at, rng),
                    season_id,
                    of[turn.code].block_id,
                    row,
                    position,
                    turn.what,
                    number,
                    day,
                    recorder_id,
                    None,
                    at,
                    seed=seed,
                )
            )
    last = made[-1]
    at = last.device_at + timedelta(minutes=1)
    recounted = (last.number or 0) + 14
    return [
        *made,
        replace(last, id=uuid7(at, rng), number=recounted, device_at=at, replaces_id=last.id),
    ]


def _walked(rows: Sequence[Row]) -> Iterator[Tree]:
    """Yield the trees as rows are walked, up one and down the next."""
    for turn, row in enumerate(rows):
        along = range(1, row.positions + 1)
        odd = row.blanks | row.pollinizers
        yield from ((row.number, at) for at in (along if turn % 2 == 0 else reversed(along)) if at not in odd)


def _drawn(trees: Sequence[Tree], seed: int, n: int) -> list[Tree]:
    """Return trees as tablets propose them: the k-th at (start + k x golden section) mod 1 of the walk."""
    start = (seed + 0.5) / _SEEDS
    drawn: dict[int, None] = {}
    k = 0
    while len(drawn) < n:
        drawn[int((start + k * _GOLDEN) % 1 * len(trees))] = None
        k += 1
    return [trees[at] for at in sorted(drawn)]
