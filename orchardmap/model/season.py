"""The season and what closes a block within it."""

from dataclasses import dataclass
from datetime import date, datetime


@dataclass(frozen=True, slots=True)
class Season:
    """One dormant campaign."""

    id: str
    farm_id: str
    name: str
    opens_on: date
    must_finish_on: date
    closed: bool = False
    """A closed season takes no more marks: late ones are set aside."""


@dataclass(frozen=True, slots=True)
class Closure:
    """A time during which nobody may work a block (spray re-entry, felling, shoot)."""

    id: str
    block_id: str
    starts_at: datetime
    ends_at: datetime
    reason: str

    def holds(self, moment: datetime) -> bool:
        """Tell whether the block is closed at that moment (start included, end not)."""
        return self.starts_at <= moment < self.ends_at
