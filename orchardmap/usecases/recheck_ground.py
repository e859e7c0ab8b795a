"""What a lot over a return would hold, and when it may be drawn."""

from orchardmap.errors import ConflictError, InputError, UnknownError
from orchardmap.model.lot import TreeRun
from orchardmap.quality.lot_trees import trees_of
from orchardmap.store.session import Connection
from orchardmap.usecases.lot_ground import Ground, ground_of, pruned_in
from orchardmap.usecases.moments import Moment
from orchardmap.usecases.return_facts import ReturnFacts, return_facts

__all__ = ["return_ground", "return_to_check"]


def return_to_check(conn: Connection, at: Moment, block_id: str, return_id: str) -> ReturnFacts:
    """Return a return of a block, to draw a lot over its trees.

    Raises
    ------
    UnknownError
        If the block has no such return.
    ConflictError
        If it was taken back; if trees of it were not gone over again yet; if the last
        lot drawn over its trees still waits for checks, or sent them back and they were not gone over again since: drawing
        until one passes is no check. Of a weak area new trees may be looked at first: it may be chance.
    """
    found = next((one for one in return_facts(conn, at, [block_id]) if one.said.id == return_id), None)
    if found is None:
        raise UnknownError("the block has no such return", where=return_id)
    if found.state == "cancelled":
        raise ConflictError(
            "The return was taken back.",
            where="return_id",
            todo="Draw a lot without it, or make a new return.",
        )
    _refuse_another(found)
    return found


def _refuse_another(asked: ReturnFacts) -> None:
    last = asked.recheck
    if last is None and asked.said.area is None and asked.open:
        raise ConflictError(
            f"Trees of this return that were not gone over again yet: {asked.trees(asked.open)}.",
            where="return_id",
            todo="Let the crew go over them and mark them first; a second draw of the same work is no check.",
        )
    if last is None or last.verdict == "accepted":
        return
    if last.verdict is None:
        raise ConflictError(
            f"Lot {last.number} over the trees of this return still waits for checks.",
            where="return_id",
            todo="Check its trees, or cancel it.",
        )
    if asked.state != "redone":
        raise ConflictError(
            f"Lot {last.number} sent these trees back, and they were not gone over again since.",
            where="return_id",
            todo="Let the crew go over them first; where the return has nothing left to do, make a new one.",
        )


def return_ground(conn: Connection, at: Moment, asked: ReturnFacts) -> Ground:
    """Return the trees of a return, whether or not they were gone over again yet.

    Raises
    ------
    InputError
        If none of them is pruned any more.
    """
    block_id = asked.said.block_id
    found = pruned_in(conn, at, [block_id])[block_id]
    trees = {tree for tree in trees_of(TreeRun(*one) for one in asked.stretches) if tree in found.trees}
    if not trees:
        raise InputError(
            "No tree of the return is marked as pruned.",
            where="return_id",
            todo="Look at the block's marks, or cancel the return.",
        )
    return ground_of(trees, found.not_trees, min((one.day for one in asked.answers), default=None))
