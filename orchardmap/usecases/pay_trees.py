"""Trees that are paid, from the records that stand: who is credited with which, and which are of accepted lots."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property

from orchardmap.model.lot import Lot
from orchardmap.model.returns import Return, Stretch
from orchardmap.model.work import StretchSettlement
from orchardmap.pay.credit import CreditedTrees, PayMark, PayRow, credited_trees
from orchardmap.pay.worked import BonusTrees
from orchardmap.store import lots as lot_store
from orchardmap.store import orchard, paid_work, row_tables
from orchardmap.store import returns as return_store
from orchardmap.store.session import Connection
from orchardmap.store.settlements import stretch_settlements
from orchardmap.usecases.checked_trees import read_checks
from orchardmap.usecases.left_out import trees_left_out
from orchardmap.usecases.lot_verdicts import judged_lots
from orchardmap.usecases.moments import Moment
from orchardmap.work.returns import common, open_stretches

__all__ = ["PaidGround", "bonus_trees", "paid_ground"]


@dataclass(frozen=True)
class PaidGround:
    """What trees of a season are credited by."""

    marks: tuple[PayMark, ...]
    """Standing ones; those that answer a return cut to it, each tree left to the mark that was first."""
    rows: tuple[PayRow, ...]
    settlements: tuple[StretchSettlement, ...]

    @cached_property
    def credited(self) -> CreditedTrees:
        """All trees of the season."""
        return credited_trees(self.marks, self.rows, self.settlements)


def paid_ground(conn: Connection, farm_id: str, season_id: str) -> PaidGround:
    """Gather what trees of a season are credited by."""
    blocks = {block.id: block for block in orchard.blocks(conn, farm_id)}
    table = row_tables.row_table(conn, list(blocks))
    odd: dict[int, set[int]] = defaultdict(set)
    for at, position in table.not_trees:
        odd[at].add(position)
    rows = tuple(
        PayRow(block_id, number, positions, blocks[block_id].variety_id, frozenset(odd.get(at, ())))
        for at, (block_id, number, positions) in enumerate(
            zip(table.block_id, table.number.tolist(), table.positions.tolist(), strict=True)
        )
    )
    marks = paid_work.pay_marks(conn, season_id)
    named = {mark.return_id for mark in marks if mark.return_id is not None}
    asked = {one.id: one for one in return_store.returns_of(conn, season_id, ids=named)}
    first = [mark for mark in marks if mark.return_id is None]
    return PaidGround(
        (*first, *_first_answers(marks, asked)), rows, tuple(stretch_settlements(conn, season_id))
    )


def _first_answers(marks: Iterable[PayMark], asked: Mapping[str, Return]) -> list[PayMark]:
    """Cut marks that answer returns to what those ask for, each tree left to the mark that was first.

    No settlement speaks of a return's trees, so two crews that went over the same ones would have them held for ever.
    """
    made = []
    left = {return_id: tuple(one.stretches) for return_id, one in asked.items()}
    for mark in sorted(marks, key=lambda one: (one.day, one.id, one.content_hash)):
        of = asked.get(mark.return_id or "")
        if of is None or of.block_id != mark.block_id:
            continue
        taken = common([Stretch(mark.row, mark.first, mark.last)], left[of.id])
        left[of.id] = open_stretches(left[of.id], taken)
        made += [replace(mark, first=part.first, last=part.last) for part in taken]
    return made


def bonus_trees(conn: Connection, at: Moment, ground: PaidGround) -> tuple[BonusTrees, ...]:
    """Return the trees of lots that were accepted at their first inspection, by the crew and day that they are credited to.

    Lots that were drawn over a return earn none: what they judge had to be gone over again.
    """
    assert at.season is not None  # noqa: S101 - asked by who has a season
    lots = [one for one in lot_store.lots_of(conn, at.season.id) if one.stands and one.return_id is None]
    checks = read_checks(conn, at, sorted({lot.block_id for lot in lots})) if lots else []
    judged = judged_lots(lots, checks, trees_left_out(conn, at, lots)) if lots else []
    accepted = [one.lot for one in judged if one.found.verdict == "accepted"]
    return tuple(bonus for lot in accepted for bonus in _of_lot(lot, ground))


def _of_lot(lot: Lot, ground: PaidGround) -> list[BonusTrees]:
    own = [mark for mark in ground.marks if mark.block_id == lot.block_id and mark.return_id is None]
    cut = [
        replace(mark, first=part.first, last=part.last)
        for mark in own
        for part in common(
            [Stretch(mark.row, mark.first, mark.last)], [Stretch(*run) for run in lot.eligible]
        )
    ]
    holes: dict[int, set[int]] = defaultdict(set)
    for row, position in lot.holes:
        holes[row].add(position)
    rows = [
        replace(row, not_paid=row.not_paid | holes[row.number])
        for row in ground.rows
        if row.block_id == lot.block_id
    ]
    found = credited_trees(cut, rows, ground.settlements).credits
    return [BonusTrees(one.crew_id, one.day, one.trees, lot.id) for one in found]
