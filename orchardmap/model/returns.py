"""Returns: positions that a crew must go over again by a day."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, Literal, NamedTuple

__all__ = ["Return", "ReturnState", "Stretch"]

ReturnState = Literal["open", "redone", "confirmed", "failed", "cancelled"]
"""Something is left; all was gone over again and waits to be checked; a check accepted it, or sent it back; taken back."""


class Stretch(NamedTuple):
    """Positions ``first``..``last`` of a row of a block, both included."""

    row: int
    first: int
    last: int


@dataclass(frozen=True, slots=True)
class Return:
    """What a crew was asked to go over again, as it was said; only a cancellation is said later."""

    id: str
    farm_id: str
    season_id: str
    number: int
    """1, 2, 3 ... within its farm and season."""
    block_id: str
    crew_id: str
    due_on: date
    made_on: date
    """In the farm's own time zone."""
    made_at: datetime
    made_by: str | None
    """Account or tablet; None for the shell."""
    lot_id: str | None
    """The lot that was sent back."""
    area: Mapping[str, Any] | None
    """The weak area that it came from, as it was told then."""
    points: tuple[str, ...]
    """Keys of the brief's points that failed."""
    note: str
    stretches: tuple[Stretch, ...]
    cancelled_at: datetime | None = None
    cancelled_by: str | None = None
    cancel_reason: str = ""
