"""What the checks of a lot add up to: its verdict, and what they say of all its trees. Pure."""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from math import isinf
from types import MappingProxyType
from typing import Generic, Protocol, TypeVar

from orchardmap.model.check import TreeVerdict
from orchardmap.model.lot import Lot, LotPlan, TablePlan, Tree
from orchardmap.quality.block_share import BlockShare, block_share
from orchardmap.quality.intervals import lot_faulty_interval, wilson_interval
from orchardmap.quality.lot_trees import trees_by_row, trees_of
from orchardmap.quality.plan import SamplingPlan
from orchardmap.quality.stand_ins import AskedTrees, LeftOut, asked_trees
from orchardmap.quality.switching import STRICTNESS, LotResult, Switching, lot_result, switched
from orchardmap.quality.verdict import LotVerdict, lot_verdict

__all__ = ["Estimate", "Findings", "LotCheck", "PastLot", "estimate", "findings", "remembered"]


class LotCheck(Protocol):
    """A check, as far as a lot asks."""

    @property
    def id(self) -> str:
        """Made with the check."""

    @property
    def row(self) -> int:
        """Of its tree."""

    @property
    def position(self) -> int:
        """Of its tree."""

    @property
    def day(self) -> date:
        """In the farm's own time zone."""

    @property
    def corrected_at(self) -> datetime:
        """When it was made, by the service's clock."""

    @property
    def verdict(self) -> TreeVerdict:
        """On the tree."""

    @property
    def drawn(self) -> bool:
        """It was drawn by a plan."""

    @property
    def lot_id(self) -> str | None:
        """The lot that it was drawn for."""

    @property
    def second(self) -> bool | None:
        """It is a second look."""


Check = TypeVar("Check", bound=LotCheck)
_NOTHING: Mapping[Tree, LeftOut] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Findings(Generic[Check]):
    """What was found on the trees of a lot so far; the latest check of each tree."""

    first: Mapping[Tree, Check]
    """Of drawn and of extra trees."""
    second: Mapping[Tree, Check]
    """Second looks, which judge nothing."""
    judged: tuple[Check, ...]
    """Those that the verdict rests on, in the order of the draw."""
    meets: int
    minor: int
    faulty: int
    verdict: LotVerdict
    is_complete: bool
    """As many trees as the plan asks for were checked, or all that are left of a lot as small as that."""
    asked: AskedTrees
    """Which trees the verdict rests on, or will."""
    softened: int
    """Of those it rests on, how many somebody found faulty, and judged anew as not."""

    @property
    def checked(self) -> int:
        """Trees that were checked for the plan, those that stand in for others too."""
        return len(self.judged)

    @property
    def is_begun(self) -> bool:
        """A tree of it was looked at: a drawn or an extra one, at first or again; also where it could not be judged."""
        said = any(why != "blank" for why in self.asked.left_out.values())
        return said or bool(self.first or self.second)

    @property
    def is_decided(self) -> bool:
        """It was accepted or sent back."""
        return self.verdict != "too_few"


def findings(
    lot: Lot, checks: Iterable[Check], left_out: Mapping[Tree, LeftOut] = _NOTHING
) -> Findings[Check]:
    """Return what checks say of a lot.

    Parameters
    ----------
    lot : Lot
    checks : iterable of LotCheck
        In any order; those of other lots, and of trees that were not drawn, are left out.
    left_out : mapping of (int, int) to str
        Trees of it that could not be judged, or are none of it any more, and why.

    Returns
    -------
    Findings
        Extra trees and second looks never enter the verdict, whatever is said of them.
    """
    drawn = {(tree.row, tree.position) for tree in lot.trees} | set(lot.reserve)
    own = [one for one in checks if one.lot_id == lot.id and (one.row, one.position) in drawn]
    own.sort(key=lambda one: (one.day, one.corrected_at, one.id))
    first = {(one.row, one.position): one for one in own if not one.second}
    second = {(one.row, one.position): one for one in own if one.second}
    planned = {(one.row, one.position): one for one in own if not one.second and one.drawn}
    asked = asked_trees(lot, planned, left_out)
    judged = tuple(planned[tree] for tree in asked.trees if tree in planned)
    once_faulty = {
        (one.row, one.position) for one in own if not one.second and one.drawn and one.verdict == "faulty"
    }
    counts = Counter(one.verdict for one in judged)
    plan = SamplingPlan(lot.lot_trees, "", "", asked.needed, min(lot.accept, asked.reject - 1), asked.reject)
    verdict = lot_verdict(plan, checked=len(judged), faulty=counts["faulty"])
    return Findings(
        first,
        second,
        judged,
        counts["meets"],
        counts["minor"],
        counts["faulty"],
        verdict,
        len(judged) >= asked.needed,
        asked,
        sum((one.row, one.position) in once_faulty and one.verdict != "faulty" for one in judged),
    )


@dataclass(frozen=True, slots=True)
class Estimate:
    """What a finished draw says of all trees of its lot."""

    lot_trees: int
    """Of which it speaks: without those that were found to be none of its pruned trees."""
    wilson: tuple[float, float]
    """Share of faulty trees, of work without end."""
    lot_faulty: tuple[int, int]
    """Fewest and most faulty trees of this lot: exact."""
    by_rows: BlockShare
    """Allowing for trees of one row being alike."""

    @property
    def effective_checks(self) -> float | None:
        """Checks of scattered trees that would tell as much; None where every tree was checked, or nobody can tell."""
        worth = self.by_rows.effective_checks
        return None if worth is None or isinf(worth) else worth


def estimate(lot: Lot, found: Findings[Check]) -> Estimate | None:
    """Return what the checks say of all trees of a lot; None until every drawn tree was checked.

    Parameters
    ----------
    lot : Lot
    found : Findings
        What was found on its trees.

    Returns
    -------
    Estimate or None

    Notes
    -----
    Part of a draw is no draw: it is walked row by row, and a lot that goes back early was stopped because it was bad.
    Of trees that nobody could get to it says what it says of the others, and nobody knows whether they are like them.
    """
    if not found.is_complete:
        return None
    members = set(trees_of(lot.eligible, lot.holes)) - found.asked.no_members
    trees = trees_by_row(members)
    checked = Counter(one.row for one in found.judged)
    faulty = Counter(one.row for one in found.judged if one.verdict == "faulty")
    rows = sorted(checked)
    return Estimate(
        len(members),
        wilson_interval(found.faulty, found.checked),
        lot_faulty_interval(found.faulty, found.checked, len(members)),
        block_share(
            [trees[row] for row in rows],
            [checked[row] for row in rows],
            [faulty[row] for row in rows],
            rows_in_block=len(trees),
        ),
    )


@dataclass(frozen=True, slots=True)
class PastLot:
    """A crew's lot that was decided at its first inspection."""

    number: int
    plan: LotPlan
    lot_trees: int
    is_accepted: bool
    faulty: int


def remembered(lots: Iterable[PastLot], *, reduced_agreed: bool) -> Switching:
    """Return what is remembered of a crew's lots, by the switching rules.

    Parameters
    ----------
    lots : iterable of PastLot
        In any order; they count by their numbers.
    reduced_agreed : bool
        As in `orchardmap.quality.switching.switched`.

    Returns
    -------
    Switching
        A lot may have been drawn under another severity than the lots before it ask for: before they were decided, or because
        somebody wanted a stricter one. One that was sent back counts all the same; one that was accepted counts unless it was
        held to a milder plan. Lots of two promises have no severity and tell nothing. A lot drawn after a series was
        discontinued begins a new one, tightened.
    """
    now = Switching()
    for lot in sorted(lots, key=lambda one: one.number):
        before = Switching("tightened") if now.inspection == "discontinued" else now
        if not isinstance(lot.plan, TablePlan):
            continue
        is_milder = STRICTNESS[lot.plan.severity] < _strictness(before)
        if not (lot.is_accepted and is_milder):
            now = switched(before, _result(lot, lot.plan), reduced_agreed=reduced_agreed)
    return now


def _strictness(before: Switching) -> int:
    return STRICTNESS["tightened" if before.inspection == "discontinued" else before.inspection]


def _result(lot: PastLot, plan: TablePlan) -> LotResult:
    if not lot.is_accepted:
        return LotResult(accepted=False)
    return lot_result(
        max(lot.lot_trees, 2), level=plan.level, aql=plan.aql, severity=plan.severity, faulty=lot.faulty
    )
