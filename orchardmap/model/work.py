"""What is recorded in the rows: marks and withdrawals, both appended and never edited."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Literal

from orchardmap.model.people import Method

Outcome = Literal["taken", "already_there", "set_aside"]


@dataclass(frozen=True, slots=True)
class Mark:
    """Crew C pruned positions ``first``..``last`` (inclusive) of a row on a day."""

    id: str
    """UUIDv7 made where the mark was made."""
    season_id: str
    block_id: str
    row: int
    first: int
    last: int
    crew_id: str
    day: date
    """Day worked, in the farm's own time zone."""
    method: Method
    recorder_id: str | None
    device_id: str | None
    device_at: datetime
    """The tablet's clock: shown, never trusted."""
    return_id: str | None = None


@dataclass(frozen=True, slots=True)
class Withdrawal:
    """A mark taken back, by a later record that names it. It may arrive before its mark."""

    id: str
    mark_id: str
    recorder_id: str | None
    device_id: str | None
    device_at: datetime
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Receipt:
    """What became of one record that was handed in."""

    id: str
    outcome: Outcome
    reason: str = ""
