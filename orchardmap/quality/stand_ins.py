"""Which trees stand in for drawn ones that cannot be judged: the next of the same draw, in its order. Pure.

The tablet reckons the same without a connection (`web/src/core/stand-ins.ts`); both are held to one file of cases.
"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Literal

from orchardmap.model.check import NotJudged
from orchardmap.model.lot import Lot, Tree

__all__ = ["AskedTrees", "LeftOut", "asked_trees", "reserve_size"]

LeftOut = NotJudged | Literal["blank"]
"""Why a tree of a lot is not judged: an auditor's word, or no tree of the lot stands there any more by the block's own places."""
_NO_MEMBER: frozenset[LeftOut] = frozenset({"gone", "not_pruned", "blank"})
"""Such a tree is none of the pruned trees that the lot is about; any other one is, and nobody knows what it is like."""

_LEAST_RESERVE, _RESERVE_SHARE = 3, 10


def reserve_size(n: int) -> int:
    """Return how many further trees are drawn, in case some of ``n`` cannot be judged: one in ten, rounded up, and at least three.

    Parameters
    ----------
    n : int
        Trees that the plan asks for.

    Returns
    -------
    int

    Notes
    -----
    Where 1 tree in 20 cannot be judged that runs out in fewer than 9 lots of 100, whatever n is (a test reckons it). More
    would hide what people should talk of: where so many trees cannot be judged the others say little of the lot.

    Examples
    --------
    >>> [reserve_size(n) for n in (2, 20, 50, 81)]
    [3, 3, 5, 9]
    """
    return max(_LEAST_RESERVE, -(-n // _RESERVE_SHARE))


@dataclass(frozen=True, slots=True)
class AskedTrees:
    """Which trees the verdict on a lot rests on, as far as is known which cannot be judged."""

    trees: tuple[Tree, ...]
    """In the order of the draw."""
    called: tuple[Tree, ...]
    """Those among them that stand in for others, or did."""
    besides: int
    """How many of these stood in for a tree that somebody judged after all: both count, so that there are more than the plan's."""
    left_out: Mapping[Tree, LeftOut]
    """Those that others stand in for, or should: of the plan, and of the reserve as far as it was called."""
    no_members: frozenset[Tree]
    """All drawn trees that were found to be none of the lot's, extra and further ones too."""
    needed: int
    """How many judged trees decide: the plan's number, or all that are left of a lot as small as that, and those ``besides``; at least one."""
    reject: int
    """From so many faulty trees on the lot goes back: the plan's number, or its share of as few trees as are left of a small lot."""

    @property
    def is_short(self) -> bool:
        """There are fewer trees than decide: the reserve is used up."""
        return len(self.trees) < self.needed


def asked_trees(lot: Lot, judged: Collection[Tree], left_out: Mapping[Tree, LeftOut]) -> AskedTrees:
    """Return which trees of a lot are to be judged.

    Parameters
    ----------
    lot : Lot
    judged : collection of (int, int)
        Row and position of its trees that somebody judged, for the plan.
    left_out : mapping of (int, int) to str
        Those that somebody could not judge, or where no tree of the lot stands any more, and why.

    Returns
    -------
    AskedTrees
        The first trees of the draw, without the extra ones, that can be judged, and the further ones that somebody judged.
        A tree that somebody judged is asked for whatever else is said of it or of the tree that it stood in for, before or
        later: nobody gets rid of a faulty tree by a word, or by a look at another one. So the order of records changes nothing.
    """
    out = {tree: why for tree, why in left_out.items() if tree not in judged}
    drawn = [(tree.row, tree.position) for tree in lot.trees]
    planned = [(tree.row, tree.position) for tree in lot.trees if not tree.is_extra]
    no_members = frozenset(tree for tree in (*drawn, *lot.reserve) if out.get(tree) in _NO_MEMBER)
    found: list[Tree] = []
    passed: dict[Tree, LeftOut] = {}
    besides: list[Tree] = []
    for number, tree in enumerate((*planned, *lot.reserve)):
        if len(found) == lot.n and number >= len(planned):
            besides += [tree] if tree in judged else []
        elif tree in out:
            passed[tree] = out[tree]
        else:
            found.append(tree)
    trees = (*found, *besides)
    own = set(planned)
    called = tuple(tree for tree in trees if tree not in own)
    left = _least_left(lot, [out[tree] for tree in no_members])
    reject = max(-(-lot.reject * left // lot.n), 1)
    return AskedTrees(trees, called, len(besides), passed, no_members, left + len(besides), reject)


def _least_left(lot: Lot, why: Collection[LeftOut]) -> int:
    """Return how many trees of the draw are judged at the least, when some of it are none of the lot's."""
    # what auditors say makes a small lot smaller by no more trees than a larger one has in reserve; blanks are a manager's word
    blanks = sum(one == "blank" for one in why)
    said = min(len(why) - blanks, reserve_size(lot.n))
    return max(min(lot.n, lot.lot_trees - blanks - said), 1)
