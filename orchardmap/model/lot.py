"""Lots: trees judged together by a draw of some of them, and the plans that say how many."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Literal, NamedTuple

__all__ = [
    "AQLS",
    "LEVELS",
    "SEVERITIES",
    "Lot",
    "LotPlan",
    "LotTree",
    "Severity",
    "TablePlan",
    "Tree",
    "TreeRun",
    "TwoPoints",
]

Severity = Literal["normal", "tightened", "reduced"]
SEVERITIES: tuple[Severity, ...] = ("normal", "tightened", "reduced")
LEVELS = ("S-1", "S-2", "S-3", "S-4", "I", "II", "III")
"""Inspection levels of MIL-STD-105E."""
AQLS = (0.010, 0.015, 0.025, 0.040, 0.065, 0.10, 0.15, 0.25, 0.40, 0.65, 1.0, 1.5, 2.5, 4.0, 6.5, 10.0)
"""Acceptance quality limits of MIL-STD-105E, percent of faulty trees."""

Tree = tuple[int, int]
"""Row and position."""


class TreeRun(NamedTuple):
    """Positions of one row, both ends included."""

    row: int
    first: int
    last: int


class LotTree(NamedTuple):
    """A tree that was drawn."""

    row: int
    position: int
    is_extra: bool
    """Looked at besides, and never part of the verdict."""


@dataclass(frozen=True, slots=True)
class TablePlan:
    """Trees to check by the tables of attribute sampling."""

    level: str
    aql: float
    """Percent of faulty trees, one of `AQLS`."""
    severity: Severity = "normal"


@dataclass(frozen=True, slots=True)
class TwoPoints:
    """Trees to check by two promises: a lot with ``p1`` passes with ``pa1`` at the least, one with ``p2`` with ``pa2`` at the most."""

    p1: float
    """Shares of faulty trees and chances are 0 to 1."""
    pa1: float
    p2: float
    pa2: float


LotPlan = TablePlan | TwoPoints


@dataclass(frozen=True, slots=True)
class Lot:
    """A lot as it was drawn; only a cancellation is said later."""

    id: str
    farm_id: str
    season_id: str
    number: int
    """1, 2, 3 ... within its farm and season."""
    block_id: str
    crew_id: str | None
    """None for the trees of the whole block, whoever pruned them."""
    opened_on: date
    """In the farm's own time zone."""
    opened_at: datetime
    opened_by: str | None
    """Account; None for the shell and for a tablet."""
    from_day: date | None
    """First day of the work that it holds."""
    until_day: date | None
    """The day up to which work was taken in."""
    brief_id: str | None
    """Of the published version in force at the draw; None where there was none."""
    brief_version: int | None
    plan: LotPlan
    n: int
    """Trees to check, without the extra ones; every tree where the plan asks for as many or more."""
    accept: int
    reject: int
    """From so many faulty trees on it goes back; under reduced inspection there may be a gap above ``accept``."""
    seed: int
    eligible: tuple[TreeRun, ...]
    """Runs that hold its trees."""
    holes: tuple[Tree, ...]
    """Positions in these runs that hold none: blanks and pollinizers, as they were then."""
    lot_trees: int
    trees: tuple[LotTree, ...]
    """As drawn, in order."""
    return_id: str | None = None
    """The return whose trees it judges anew; None at the first inspection."""
    reserve: tuple[Tree, ...] = ()
    """As the draw went on: these stand in, in order, for trees that cannot be judged. Empty where it was drawn before there were such."""
    cancelled_at: datetime | None = None
    cancelled_by: str | None = None
    cancel_reason: str | None = None

    @property
    def stands(self) -> bool:
        """It was not cancelled."""
        return self.cancelled_at is None
