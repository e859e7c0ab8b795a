"""What stands at the positions: blanks, pollinizers, and the few rows somebody counted."""

from collections.abc import Sequence

import numpy as np

from orchardmap.demo.land import Plot
from orchardmap.model.orchard import Row

Counted = dict[int, tuple[int | None, frozenset[int], frozenset[int]]]
"""Row number -> counted positions (None: the rule holds), blanks, pollinizers."""

POLLINIZER_ROW_EVERY = 3  # scattered crab apples: one tree in ten of every third row
POLLINIZER_EVERY = 10
COUNTED_ROW_CHANCE = 0.006


def stand(plot: Plot, rows: Sequence[Row], *, rng: np.random.Generator) -> Counted:
    """Return what a walk through a block found at its positions.

    Parameters
    ----------
    plot : Plot
        Its year of planting says how many trees have died.
    rows : sequence of Row
        As the rule made them.
    rng : Generator
        Decides which.

    Returns
    -------
    dict
        For every row that differs from the rule; blanks and pollinizers never share a position.
    """
    blank_share = 0.022 + max(0, 2000 - plot.planted) * 0.0006
    found: Counted = {}
    for row in rows:
        positions = sum(row.part_positions)
        counted = None
        if positions > 5 and rng.random() < COUNTED_ROW_CHANCE:
            counted = positions = positions - 1
        gone = np.flatnonzero(rng.random(positions) < blank_share) + 1
        blanks = frozenset(int(position) for position in gone)
        pollinizers = _pollinizers(row.number, positions) - blanks
        if counted is not None or blanks or pollinizers:
            found[row.number] = (counted, blanks, pollinizers)
    return found


def _pollinizers(number: int, positions: int) -> frozenset[int]:
    if number % POLLINIZER_ROW_EVERY != 2:
        return frozenset()
    start = 4 + number % 5
    return frozenset(range(start, positions + 1, POLLINIZER_EVERY))
