"""What the trees of a variety, or of one block, need this season: numbered points, each one sentence and one picture."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Literal

BearingHabit = Literal[
    "tip_renewed",
    "tip_alternating",
    "spur_renewed",
    "spur_long_lived",
    "spur_uncut",
]
"""How a variety bears, as far as it decides the cuts. A heavy setter is one of these with its spurs thinned besides."""

PointKind = Literal["yes_no", "count", "ratio", "at_least", "at_most", "angle"]
"""What is found on a tree: yes or no; a number in a range; a ratio at most; a length or diameter at least or at most; degrees in a range."""

PointClass = Literal["critical", "major", "minor"]
PointUnit = Literal["", "limbs", "buds", "cuts", "cm", "deg"]
"""Of the limits; a ratio and a yes or no have none. Degrees are from the vertical, 0 straight up."""

COMMON_PRACTICE = "common practice"


@dataclass(frozen=True, slots=True)
class Point:
    """One rule of a brief, in the order of work."""

    key: str
    """Names the point for good within its brief, whatever is edited: lower case, digits, hyphens."""
    sentences: Mapping[str, str] = field(hash=False)
    """Language (``en``, ``es``) to what a pruner reads; the first language is the one it was written in."""
    picture: str
    """Name of a drawing of `orchardmap.pruning.pictures`."""
    kind: PointKind
    low: float | None
    high: float | None
    """Inclusive limits in `unit`, each None where there is none; both None for ``yes_no``, where yes meets the point."""
    unit: PointUnit
    point_class: PointClass
    is_checked: bool
    """False for a point that is taught and never scored."""
    source: str
    """Where its number, or the rule, was published; else `COMMON_PRACTICE`."""


@dataclass(frozen=True, slots=True)
class BudTarget:
    """What to leave on an average tree, each None where nobody has worked it out."""

    fruit_per_tree: float | None = None
    buds_per_tree: float | None = None
    buds_per_limb: float | None = None
    limbs_per_tree: float | None = None


@dataclass(frozen=True, slots=True)
class BriefContent:
    """What an adviser edits and what a published version freezes."""

    habit: BearingHabit
    is_heavy_setter: bool
    points: tuple[Point, ...]
    cautions: tuple[str, ...]
    """Keys of `orchardmap.pruning.cautions`, in the order shown."""
    bud_target: BudTarget = BudTarget()
    notes: Mapping[str, str] = field(default_factory=dict, hash=False)
    """Language to free text for the crew, below the points."""


@dataclass(frozen=True, slots=True)
class Draft:
    """What advisers are at work on: one per brief, saved again and again."""

    content: BriefContent
    revision: int
    """1 when the brief was made; one more whenever it is saved."""
    saved_at: datetime
    saved_by: str | None
    """Account; None for the shell."""


@dataclass(frozen=True, slots=True)
class BriefVersion:
    """A published content. It never changes; checks and verdicts name it."""

    brief_id: str
    version: int
    """1, 2, 3 ... within its brief."""
    content: BriefContent
    published_at: datetime
    published_by: str | None
    """Account; None for the shell."""


@dataclass(frozen=True, slots=True)
class Brief:
    """The brief of a variety in a season, or of one block, which then goes before its variety's."""

    id: str
    farm_id: str
    season_id: str
    variety_id: str | None
    block_id: str | None
    """Exactly one of the two is set."""
