"""Trees of the invented farm that its auditors could not judge, and those that they looked at instead."""

from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from orchardmap.model.check import NotJudged
from orchardmap.model.lot import Lot, Tree

__all__ = ["Hindrance", "hindered_trees", "tour"]

Hindrance = tuple[NotJudged, str]
"""Why a tree cannot be judged, and the auditor's note."""

HINDERED_SHARE = 0.015
_HINDRANCES: tuple[Hindrance, ...] = (
    ("gone", ""),
    ("gone", "only a stump"),
    ("unreachable", "water stands in the row"),
    ("not_pruned", ""),
    ("other", "covered by the rolled-up net"),
)


def hindered_trees(lot: Lot) -> dict[Tree, Hindrance]:
    """Return the drawn trees of a lot that cannot be judged, further ones too: by chance, and alike whenever it is asked."""
    rng = np.random.default_rng([lot.seed, lot.number])
    trees = [*((tree.row, tree.position) for tree in lot.trees), *lot.reserve]
    kinds = rng.integers(len(_HINDRANCES), size=len(trees))
    is_hindered = rng.random(len(trees)) < HINDERED_SHARE
    return {
        tree: _HINDRANCES[kind] for tree, kind, is_so in zip(trees, kinds, is_hindered, strict=True) if is_so
    }


def tour(lot: Lot, walk: Sequence[Tree], hindered: Mapping[Tree, Hindrance]) -> Iterator[Tree]:
    """Yield the trees of a lot as its auditor comes to them: those of the walk, then as many further ones as must stand in."""
    yield from walk
    due = sum((tree.row, tree.position) in hindered for tree in lot.trees if not tree.is_extra)
    for tree in lot.reserve:
        if not due:
            return
        yield tree
        due -= tree not in hindered
