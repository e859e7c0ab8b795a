"""Counts of sample trees: which of them stand, and what each tree has by them."""

from collections import defaultdict
from collections.abc import Collection, Mapping
from typing import NamedTuple

from orchardmap.work.replacing import not_replaced

__all__ = ["Tallied", "Tree", "per_tree", "standing_counts"]

Tree = tuple[int, int]
"""Row and position."""


class Tallied(NamedTuple):
    """What of a count decides whether it stands, and what it says."""

    id: str
    season_id: str
    block_id: str
    row: int
    position: int
    what: str
    number: int | None
    seed: int | None
    replaces_id: str | None


def standing_counts(counts: Collection[Tallied]) -> list[Tallied]:
    """Return the counts that stand, by id: not replaced, and not only there to take another one back.

    Parameters
    ----------
    counts : collection of Tallied
        All that count, in any order, each id once; what is set aside neither stands nor replaces.

    Returns
    -------
    list of Tallied
        A count replaces only one of the same thing on the same tree; else it stands beside it.
    """
    by_id = {one.id: one for one in counts}

    def replaced(one: Tallied) -> str | None:
        old = by_id.get(one.replaces_id or "")
        return old.id if old is not None and _subject(old) == _subject(one) else None

    stand = not_replaced({one.id: replaced(one) for one in counts})
    return [by_id[one] for one in sorted(stand) if by_id[one].number is not None]


def _subject(one: Tallied) -> tuple[object, ...]:
    return one.season_id, one.block_id, one.row, one.position, one.what


def per_tree(standing: Collection[Tallied]) -> Mapping[str, Mapping[Tree, float]]:
    """Return what each tree of one block has, thing by thing.

    Parameters
    ----------
    standing : collection of Tallied
        Of one block and season, in any order.

    Returns
    -------
    mapping of str to mapping of Tree to float
        A tree that was counted more than once has the mean of its counts: neither who came first nor whose clock is ahead
        decides between them.
    """
    found: dict[str, dict[Tree, list[int]]] = defaultdict(lambda: defaultdict(list))
    for one in standing:
        if one.number is not None:
            found[one.what][one.row, one.position].append(one.number)
    return {
        what: {tree: sum(numbers) / len(numbers) for tree, numbers in sorted(trees.items())}
        for what, trees in found.items()
    }
