"""Trees of lots that are not judged, and why: by an auditor's word, or because they are blanks by now."""

from collections import defaultdict
from collections.abc import Iterable, Mapping

from orchardmap.model.lot import Lot, Tree
from orchardmap.quality.stand_ins import LeftOut
from orchardmap.store.not_judged import no_trees, row_ends, unjudged_of
from orchardmap.store.session import Connection
from orchardmap.usecases.moments import Moment

__all__ = ["trees_left_out"]


def trees_left_out(conn: Connection, at: Moment, lots: Iterable[Lot]) -> Mapping[str, Mapping[Tree, LeftOut]]:
    """Return the trees of each lot that nobody judges, by its id; lots that have none are left out.

    Parameters
    ----------
    conn : Connection
        Open for reading.
    at : Moment
        Farm, season and day; words of later days are not heard. Where trees stand is told as of now.
    lots : iterable of Lot
        Of that season.

    Returns
    -------
    mapping of str to mapping of (int, int) to str
        The latest word on each tree; that no tree of the lot stands there any more goes before any word.
    """
    by_id = {lot.id: lot for lot in lots}
    found: defaultdict[str, dict[Tree, LeftOut]] = defaultdict(dict)
    if at.season is None or not by_id:
        return found
    blocks = {lot.block_id for lot in by_id.values()}
    for one in unjudged_of(conn, at.season.id, blocks, until=at.until):
        if one.lot_id in by_id:
            found[one.lot_id][one.row, one.position] = one.reason
    places, ends = no_trees(conn, blocks), row_ends(conn, blocks)
    for lot in by_id.values():
        for row, position, *_ in (*lot.trees, *lot.reserve):
            # a row that was counted anew since may end before a tree that was drawn
            is_beyond = position > ends.get((lot.block_id, row), 0)
            if is_beyond or (lot.block_id, row, position) in places:
                found[lot.id][row, position] = "blank"
    return found
