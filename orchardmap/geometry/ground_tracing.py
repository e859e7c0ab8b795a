"""Where the trees of a row stand after changes of the ground: what a record says of an earlier ground, said of a later one."""

from collections.abc import Iterable, Mapping, Set
from dataclasses import dataclass

from orchardmap.geometry.ground import RowKey

__all__ = ["RowFate", "RowStep", "Trees", "traced"]


@dataclass(frozen=True, slots=True)
class RowFate:
    """What one change made of a row."""

    now: RowKey | None
    """The row that it is; None where no row goes on with its trees."""
    positions: int
    """Before the change."""
    turned: bool = False
    own: int | None = None
    """How many of its positions, from the first end, are still that row's; None for all."""


@dataclass(frozen=True, slots=True)
class RowStep:
    """What one change made of the rows of the blocks that it concerns."""

    rows: Mapping[RowKey, RowFate]
    """Of each row that does not stay as it was."""
    made: Set[RowKey]
    """Rows that the change made or changed: one that is not in ``rows`` was not there before."""


@dataclass(frozen=True, slots=True)
class Trees:
    """A stretch of positions of one row, and how a record would name it."""

    block_id: str
    row: int
    first: int
    last: int
    of: int | None = None
    """How many positions the row must have for this to be so, where they were counted from its other end."""


def traced(trees: Trees, steps: Iterable[RowStep]) -> Trees | None:
    """Return where the trees are after the steps, one after the other.

    Parameters
    ----------
    trees : Trees
        As they were named before the first step.
    steps : iterable of RowStep
        In the order in which they were taken.

    Returns
    -------
    Trees or None
        None where no one stretch of one row is known to hold all of them: their row went, was cut through them, or is another's.
    """
    found: Trees | None = trees
    for step in steps:
        if found is None:
            return None
        found = _after(found, step)
    return found


def _after(trees: Trees, step: RowStep) -> Trees | None:
    key = (trees.block_id, trees.row)
    fate = step.rows.get(key)
    if fate is None:
        return None if key in step.made else trees
    if fate.now is None or (fate.own is not None and fate.own < trees.last):
        return None
    block_id, row = fate.now
    if not fate.turned:
        return Trees(block_id, row, trees.first, trees.last, trees.of)
    end = fate.positions + 1
    if trees.last >= end or trees.of not in (None, fate.positions):
        return None
    return Trees(block_id, row, end - trees.last, end - trees.first, fate.positions)
