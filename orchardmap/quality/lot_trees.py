"""Which trees a lot holds, and which of them were drawn. Pure."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence

import numpy as np

from orchardmap.model.lot import Lot, LotTree, Tree, TreeRun
from orchardmap.quality.draw import drawn_trees
from orchardmap.work.settling import HELD, Run

__all__ = [
    "contested_trees",
    "draw",
    "drawn_on",
    "held_trees",
    "pruned_trees",
    "redrawn",
    "runs_and_holes",
    "trees_by_row",
    "trees_of",
]


def pruned_trees(
    rows: Iterable[tuple[int, Sequence[Run]]], not_trees: Collection[Tree]
) -> dict[Tree, str | None]:
    """Return the pruned trees of a block, each with the crew that is credited with it.

    Parameters
    ----------
    rows : iterable of (int, sequence of Run)
        Row and what became of its positions.
    not_trees : collection of (int, int)
        Row and position of blanks and pollinizers.

    Returns
    -------
    dict of (int, int) to str or None
        None while two crews claim it, and where it was settled for nobody.
    """
    return {
        (row, position): run.crew_id
        for row, runs in rows
        for run in runs
        for position in range(run.first, run.last + 1)
        if (row, position) not in not_trees
    }


def contested_trees(
    rows: Iterable[tuple[int, Sequence[Run]]], not_trees: Collection[Tree]
) -> frozenset[Tree]:
    """Return the pruned trees of a block that wait for somebody to say who pruned them; arguments as of `pruned_trees`."""
    held = ((row, [run for run in runs if run.status in HELD]) for row, runs in rows)
    return frozenset(pruned_trees(held, not_trees))


def runs_and_holes(
    trees: Iterable[Tree], not_trees: Collection[Tree]
) -> tuple[tuple[TreeRun, ...], tuple[Tree, ...]]:
    """Return trees as runs of positions, and the positions in these runs that hold none.

    Parameters
    ----------
    trees : iterable of (int, int)
        Row and position, in any order.
    not_trees : collection of (int, int)
        Blanks and pollinizers of the block: a run goes on over them.

    Returns
    -------
    tuple of TreeRun, and of (int, int)
        Both in order.

    Examples
    --------
    >>> runs_and_holes([(1, 1), (1, 2), (1, 4), (1, 6)], {(1, 3)})
    ((TreeRun(row=1, first=1, last=4), TreeRun(row=1, first=6, last=6)), ((1, 3),))
    """
    of_row: defaultdict[int, list[int]] = defaultdict(list)
    for row, position in sorted(set(trees)):
        of_row[row].append(position)
    runs: list[TreeRun] = []
    holes: list[Tree] = []
    for row, positions in of_row.items():
        first = before = positions[0]
        for position in positions[1:]:
            between = [(row, at) for at in range(before + 1, position)]
            if all(place in not_trees for place in between):
                holes += between
            else:
                runs.append(TreeRun(row, first, before))
                first = position
            before = position
        runs.append(TreeRun(row, first, before))
    return tuple(runs), tuple(holes)


def trees_of(runs: Iterable[TreeRun], holes: Iterable[Tree] = ()) -> Iterator[Tree]:
    """Return row and position of each tree of some runs."""
    left_out = set(holes)
    return (
        (row, position)
        for row, first, last in runs
        for position in range(first, last + 1)
        if (row, position) not in left_out
    )


def held_trees(lots: Iterable[Lot]) -> set[Tree]:
    """Return the trees that lots hold; those of cancelled ones are free."""
    return {tree for lot in lots if lot.stands for tree in trees_of(lot.eligible, lot.holes)}


def draw(trees: Iterable[Tree], n: int, *, extra: int, seed: int) -> tuple[LotTree, ...]:
    """Return the trees to check, as drawn from a seed, extra ones last.

    Parameters
    ----------
    trees : iterable of (int, int)
        Of the lot, in any order.
    n : int
        Trees that the plan asks for.
    extra : int
        Trees to look at besides, as far as the lot has them.
    seed : int, ``>= 0``

    Returns
    -------
    tuple of LotTree
        In the order of the draw.

    Raises
    ------
    InputError
        If the lot has fewer than ``n``.
    """
    eligible = sorted(set(trees))
    besides = min(extra, max(len(eligible) - n, 0))
    found = drawn_trees(eligible, n, extra=besides, rng=np.random.default_rng(seed))
    return tuple(LotTree(one.row, one.position, one.is_extra) for one in found)


def drawn_on(trees: Iterable[Tree], drawn: int, *, more: int, seed: int) -> tuple[Tree, ...]:
    """Return the trees that come behind the first ``drawn`` ones of the same draw, as far as the lot has them.

    Parameters
    ----------
    trees : iterable of (int, int)
        Of the lot, in any order.
    drawn : int
        Trees that are drawn already, the extra ones too.
    more : int
        How many are wanted.
    seed : int, ``>= 0``
        That they were drawn from.

    Returns
    -------
    tuple of (int, int)
        Row and position, in the order of the draw.
    """
    eligible = sorted(set(trees))
    whole = draw(eligible, min(drawn + more, len(eligible)), extra=0, seed=seed)
    return tuple((tree.row, tree.position) for tree in whole[drawn:])


def redrawn(lot: Lot) -> tuple[tuple[LotTree, ...], tuple[Tree, ...]]:
    """Return what the draw of a lot gives once more, its reserve too, from what is kept of it alone."""
    eligible = list(trees_of(lot.eligible, lot.holes))
    extra = sum(tree.is_extra for tree in lot.trees)
    trees = draw(eligible, lot.n, extra=extra, seed=lot.seed)
    return trees, drawn_on(eligible, len(trees), more=len(lot.reserve), seed=lot.seed)


def trees_by_row(trees: Iterable[Tree]) -> Mapping[int, int]:
    """Return how many trees each row has, by row."""
    found: defaultdict[int, int] = defaultdict(int)
    for row, _ in sorted(trees):
        found[row] += 1
    return found
