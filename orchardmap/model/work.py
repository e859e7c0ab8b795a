"""What is recorded of the work: marks, withdrawals, crew-days, settlements. All appended and never edited."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Literal

from orchardmap.model.people import Method

Extra = Mapping[str, object] | None
"""What a tablet said beyond the fields known here, as sent; None for nothing."""
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
    extra: Extra = field(default=None, hash=False)


@dataclass(frozen=True, slots=True)
class Withdrawal:
    """A mark taken back, by a later record that names it. It may arrive before its mark."""

    id: str
    mark_id: str
    recorder_id: str | None
    device_id: str | None
    device_at: datetime
    reason: str = ""
    extra: Extra = field(default=None, hash=False)


@dataclass(frozen=True, slots=True)
class CrewDay:
    """At knock-off: so many people of a crew worked so many hours each on a day."""

    id: str
    season_id: str
    crew_id: str
    day: date
    people: int
    hours: float
    """Worked by each of them."""
    method: Method
    recorder_id: str | None
    device_id: str | None
    device_at: datetime
    replaces_id: str | None = None
    """The crew-day that this one corrects. Those of one crew, day and method that nothing replaces stand."""
    extra: Extra = field(default=None, hash=False)

    @property
    def person_hours(self) -> float:
        """Hours of all its people together."""
        return self.people * self.hours


@dataclass(frozen=True, slots=True)
class StretchSettlement:
    """A manager's word on positions that two crews claim: they are credited to one crew, or to none."""

    id: str
    number: int
    """The farm's own order: of two settlements of one position the later one holds."""
    season_id: str
    block_id: str
    row: int
    first: int
    last: int
    credited_crew_id: str | None
    seen: frozenset[str]
    """
    Content hashes of the marks that the manager looked at. Another mark on these positions, or one of these with
    another content, re-opens the matter. Settlements from before 0.2 name ids, which hold whatever the content.
    """
    note: str = ""

    def saw(self, mark_id: str, content_hash: str) -> bool:
        """Tell whether the manager looked at that mark with that content."""
        return not self.seen.isdisjoint((mark_id, content_hash))


@dataclass(frozen=True, slots=True)
class RecordSettlement:
    """A manager's word on a record that was set aside: one version of it counts, or none does."""

    id: str
    number: int
    record_kind: Literal["mark", "withdrawal", "check", "crew_day", "tree_count"]
    record_id: str
    content_hash: str | None
    """The version that counts from now on; None for none."""
    seen: frozenset[str]
    """Content hashes of the versions that the manager looked at. Another version re-opens the matter."""
    note: str = ""
    reason: str | None = None
    """Why the record was set aside when this was said; another reason re-opens the matter. None, as before 0.2, holds for any."""


@dataclass(frozen=True, slots=True)
class Receipt:
    """What became of one record that was handed in."""

    id: str
    outcome: Outcome
    reason: str = ""
