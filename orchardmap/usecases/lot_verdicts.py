"""The verdicts on lots, from the checks as they are read."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from orchardmap.model.lot import Lot, Tree
from orchardmap.quality.lot_findings import Findings, PastLot, findings, remembered
from orchardmap.quality.stand_ins import LeftOut
from orchardmap.quality.switching import Switching
from orchardmap.usecases.checked_trees import ReadCheck

__all__ = ["JudgedLot", "judged_lots", "memories"]


@dataclass(frozen=True, slots=True)
class JudgedLot:
    """A lot, and what was found on its trees."""

    lot: Lot
    found: Findings[ReadCheck]
    left_out: int = 0
    """Checks that name it and were made after a return had their trees gone over again."""

    unknown: int = 0
    """Of a lot that was cancelled: checks made before and handed in afterwards; nobody knew of them."""

    @property
    def waits(self) -> bool:
        """It stands and is not decided: somebody must check its trees."""
        return self.lot.stands and not self.found.is_decided


def judged_lots(
    lots: Sequence[Lot], checks: Iterable[ReadCheck], left_out: Mapping[str, Mapping[Tree, LeftOut]]
) -> list[JudgedLot]:
    """Return lots with what checks say of them, in the order of the lots; checks come in any order.

    ``left_out`` is what `orchardmap.usecases.left_out.trees_left_out` tells of these lots. What a tree was like after the lot's
    own return had it gone over again is for the lot drawn over the return. Of a lot that was cancelled it is told what it had
    come to: later checks are left out.
    """
    of_lot: defaultdict[str | None, list[ReadCheck]] = defaultdict(list)
    too_late: Counter[str | None] = Counter()
    for check in checks:
        if check.is_after_return:
            too_late[check.lot_id] += 1
        else:
            of_lot[check.lot_id].append(check)
    return [
        JudgedLot(
            lot,
            findings(lot, in_time := _in_time(lot, of_lot[lot.id]), left_out.get(lot.id, {})),
            too_late[lot.id],
            sum(lot.cancelled_at is not None and check.server_at > lot.cancelled_at for check in in_time),
        )
        for lot in lots
    ]


def _in_time(lot: Lot, checks: Sequence[ReadCheck]) -> Sequence[ReadCheck]:
    ended = lot.cancelled_at
    return checks if ended is None else [check for check in checks if check.corrected_at <= ended]


def memories(judged: Iterable[JudgedLot], *, reduced_agreed: bool) -> Mapping[str | None, Switching]:
    """Return what is remembered of each crew's lots of a season, None for lots of whole blocks.

    Decided lots at their first inspection count: neither cancelled ones nor those drawn over a return.
    """
    past: defaultdict[str | None, list[PastLot]] = defaultdict(list)
    for one in judged:
        lot, found = one.lot, one.found
        if lot.stands and lot.return_id is None and found.is_decided:
            accepted = found.verdict == "accepted"
            past[lot.crew_id].append(PastLot(lot.number, lot.plan, lot.lot_trees, accepted, found.faulty))
    return {crew: remembered(lots, reduced_agreed=reduced_agreed) for crew, lots in past.items()}
