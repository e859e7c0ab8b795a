"""Which checks tell where work is weak: the first look at trees, and new trees looked at to confirm an area."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from orchardmap.quality.weak_areas import MOST_CHECKS, CheckedTree
from orchardmap.usecases.checked_trees import ReadCheck
from orchardmap.usecases.return_facts import ReturnFacts, past_checks

__all__ = ["BlockLooks", "looks_of_blocks"]

Tree = tuple[int, int]
"""Row and position."""


@dataclass(frozen=True, slots=True)
class BlockLooks:
    """The checks of a block that tell of weak areas, one of each tree."""

    first: Mapping[Tree, ReadCheck] = field(default_factory=dict)
    """Drawn over what was pruned, whatever was known then."""
    new: Mapping[Tree, ReadCheck] = field(default_factory=dict)
    """Drawn because an area looked weak, of trees that are not among the first."""

    def checked_trees(self) -> list[CheckedTree]:
        """Return what `orchardmap.quality.weak_areas.weak_areas` takes, by row and position."""
        return [
            CheckedTree(*tree, check.verdict == "faulty", is_recheck)
            for looks, is_recheck in ((self.first, False), (self.new, True))
            for tree, check in sorted(looks.items())
        ]

    def inside(self, rows: tuple[int, int], positions: tuple[int, int]) -> list[ReadCheck]:
        """Return the checks of an area, new trees too."""
        return [
            check
            for looks in (self.first, self.new)
            for (row, at), check in looks.items()
            if rows[0] <= row <= rows[1] and positions[0] <= at <= positions[1]
        ]


def looks_of_blocks(
    checks: Iterable[ReadCheck], returns: Sequence[ReturnFacts], recheck_of: Mapping[str, str]
) -> dict[str, BlockLooks]:
    """Return the checks that tell of weak areas, by block id.

    Parameters
    ----------
    checks : iterable of ReadCheck
        In any order.
    returns : sequence of ReturnFacts
        Of the blocks.
    recheck_of : mapping of str to str
        Lot id -> the return that the lot was drawn over.

    Returns
    -------
    dict of str to BlockLooks
        Drawn trees that are pruned, the latest check of each; none of a second auditor's, and none of a tree that was gone over
        again since. New trees are those of a lot drawn over a return that came from an area, while they wait to
        be gone over: they were chosen for what the first ones showed. They tell once their lot is decided: asked after each tree,
        one clean area in ten would be confirmed at some moment of the walk. Once gone over they are looked at like any other.
    """
    is_past = past_checks(returns)
    under_way = {one.recheck.lot_id for one in returns if one.recheck and one.recheck.verdict is None}
    from_area = {
        one.said.id: one for one in returns if one.said.area is not None and one.state != "cancelled"
    }
    first: dict[str, dict[Tree, ReadCheck]] = defaultdict(dict)
    new: dict[str, dict[Tree, ReadCheck]] = defaultdict(dict)
    for check in sorted(checks, key=lambda one: (one.day, one.corrected_at, one.id)):
        if not check.drawn or check.second or not check.is_pruned or is_past(check):
            continue
        asked = from_area.get(recheck_of.get(check.lot_id or "", ""))
        waits = asked is not None and any(
            one.row == check.row and one.first <= check.position <= one.last for one in asked.open
        )
        if waits and check.lot_id in under_way:
            continue
        (new if waits else first)[check.block_id][check.row, check.position] = check
    return {
        block_id: BlockLooks(
            _newest(first[block_id]),
            {tree: check for tree, check in new[block_id].items() if tree not in first[block_id]},
        )
        for block_id in sorted(first.keys() | new.keys())
    }


def _newest(looks: dict[Tree, ReadCheck]) -> dict[Tree, ReadCheck]:
    """Return as many as are looked at together; the overview must not stop at a block with more."""
    return dict(list(looks.items())[-(MOST_CHECKS // 2) :])
