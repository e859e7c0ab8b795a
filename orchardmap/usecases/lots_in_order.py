"""What became of the lots that were sent back: put right by returns, or with trees that nobody sent back yet."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from orchardmap.model.lot import Tree, TreeRun
from orchardmap.quality.lot_trees import runs_and_holes, trees_of
from orchardmap.store.session import Connection
from orchardmap.usecases.lot_ground import pruned_in
from orchardmap.usecases.lot_verdicts import JudgedLot
from orchardmap.usecases.moments import Moment
from orchardmap.usecases.return_facts import ReturnFacts

__all__ = ["SentBack", "lots_sent_back", "sent_back"]


@dataclass(frozen=True, slots=True)
class SentBack:
    """Where a lot that was sent back stands."""

    is_put_right: bool
    """All of its trees were gone over again and accepted by a new check."""
    trees: int
    """Of the lot that stand as pruned."""
    not_sent_back: int
    """Those of them that no return holds: nobody told a crew to go over them."""
    rest: tuple[TreeRun, ...]
    """The same as runs; blanks and pollinizers may lie in them."""


def lots_sent_back(
    conn: Connection, at: Moment, judged: Iterable[JudgedLot], returns: Collection[ReturnFacts]
) -> dict[str, SentBack]:
    """Return where the lots stand that were sent back, by their ids; others are left out.

    Parameters
    ----------
    conn : Connection
        Open for reading.
    at : Moment
        Farm, season and day.
    judged : iterable of JudgedLot
        Of the season, by that day.
    returns : collection of ReturnFacts
        All those of the same blocks.

    Returns
    -------
    dict of str to SentBack
    """
    back = [one for one in judged if one.lot.stands and one.found.verdict == "send_back"]
    pruned = pruned_in(conn, at, sorted({one.lot.block_id for one in back})) if back else {}
    return {
        one.lot.id: sent_back(
            one,
            [other for other in returns if other.said.block_id == one.lot.block_id],
            pruned[one.lot.block_id].trees,
            pruned[one.lot.block_id].not_trees,
        )
        for one in back
    }


def sent_back(
    one: JudgedLot,
    returns: Iterable[ReturnFacts],
    pruned: Mapping[Tree, str | None],
    not_trees: Collection[Tree],
) -> SentBack:
    """Return where a lot that was sent back stands.

    Parameters
    ----------
    one : JudgedLot
    returns : iterable of ReturnFacts
        Of its block. Those count that were made once it was decided, made of it, or are the one that it was drawn over;
        whether of the lot, of another or of a weak area. Cancelled ones do not.
    pruned : mapping of (int, int)
        The block's trees that stand as pruned.
    not_trees : collection of (int, int)
        Its blanks and pollinizers.

    Returns
    -------
    SentBack
        Put right where returns that were confirmed hold all its trees that stand, and these were gone over again: a weak area that
        new trees cleared before is none, but the lot was bad all the same. A tree is sent back where any return
        holds it; the one that the lot itself judged and sent back is done, so its trees wait for another.
    """
    lot = one.lot
    decided_at = _decided_at(one)
    trees = {tree for tree in trees_of(lot.eligible, lot.holes) if tree in pruned}
    told: set[Tree] = set()
    confirmed: set[Tree] = set()
    for other in returns:
        said, is_own = other.said, other.said.id == lot.return_id
        if other.state == "cancelled" or (other.state == "failed" and is_own):
            continue
        if said.lot_id == lot.id or is_own or said.made_at >= decided_at:
            held = trees.intersection(trees_of(TreeRun(*stretch) for stretch in other.stretches))
            if other.state == "confirmed":
                held -= set(trees_of(TreeRun(*stretch) for stretch in other.open))
            told |= held
            if other.state == "confirmed":
                confirmed |= held
    rest, _ = runs_and_holes(trees - told, not_trees)
    return SentBack(bool(trees) and confirmed == trees, len(trees), len(trees - told), rest)


def _decided_at(one: JudgedLot) -> datetime:
    """Return when the last faulty tree that it took was found."""
    faulty = sorted(check.corrected_at for check in one.found.judged if check.verdict == "faulty")
    return faulty[one.found.asked.reject - 1]
