"""One tree looked at by an auditor."""

from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Literal

from orchardmap.model.work import Extra

TreeVerdict = Literal["meets", "minor", "faulty"]


@dataclass(frozen=True, slots=True)
class Check:
    """Findings and verdict on the tree at one position."""

    id: str
    season_id: str
    block_id: str
    row: int
    position: int
    auditor_id: str | None
    day: date
    verdict: TreeVerdict
    drawn: bool
    """True for a tree drawn by a plan; a tree seen while walking never enters a lot's verdict."""
    device_id: str | None
    device_at: datetime
    note: str = ""
    brief_id: str | None = None
    brief_version: int | None = None
    """The published version of the brief that the tree was judged by, as whoever made the check knew it."""
    extra: Extra = field(default=None, hash=False)
