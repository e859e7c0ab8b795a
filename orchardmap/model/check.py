"""One tree looked at by an auditor."""

from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Literal

from orchardmap.model.work import Extra

__all__ = ["NOT_JUDGED", "Check", "Finding", "NotJudged", "TreeVerdict"]

TreeVerdict = Literal["meets", "minor", "faulty"]
Finding = tuple[str, float | bool]
"""Key of a point of the brief, and what was found on the tree: yes or no, or a number in the point's unit."""
NotJudged = Literal["gone", "not_pruned", "unreachable", "other"]
"""Why a drawn tree could not be judged: it is not there or dead, not pruned after all, out of reach, or something else."""
NOT_JUDGED: tuple[NotJudged, ...] = ("gone", "not_pruned", "unreachable", "other")


@dataclass(frozen=True, slots=True)
class Check:
    """Findings and verdict on the tree at one position; or that a drawn tree could not be judged."""

    id: str
    season_id: str
    block_id: str
    row: int
    position: int
    auditor_id: str | None
    day: date
    verdict: TreeVerdict | None
    """None where it could not be judged."""
    drawn: bool
    """True for a tree drawn by a plan; one seen while walking, or drawn beside the plan, never enters a lot's verdict."""
    device_id: str | None
    device_at: datetime
    note: str = ""
    brief_id: str | None = None
    brief_version: int | None = None
    """The published version of the brief that the tree was judged by, as whoever made the check knew it."""
    lot_id: str | None = None
    """The lot that the tree was drawn for; None for a tree seen while walking, and before there were lots."""
    findings: tuple[Finding, ...] | None = None
    """What was found point by point, those left out that could not be judged; None where only a verdict was given."""
    second: bool | None = None
    """True for a second look at a lot's tree, by another auditor: it tells how auditors agree and judges no lot."""
    not_judged: NotJudged | None = None
    """Why a lot's tree could not be judged: then it has no verdict and no findings, and counts in no share."""
    extra: Extra = field(default=None, hash=False)
