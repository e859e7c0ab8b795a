"""What is kept of pay: hours by person, exported runs, the season's budget."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any

__all__ = ["Budget", "KeptRules", "PayRun", "PersonDay"]


@dataclass(frozen=True, slots=True)
class PersonDay:
    """So many hours a person worked with a crew on a day, as a manager typed it."""

    id: str
    """Made where it was typed."""
    farm_id: str
    person_id: str
    crew_id: str
    day: date
    hours: float
    """At work, rest left out; 0 takes an entry back."""
    rest_minutes: int
    replaces_id: str | None
    """The entry of that person, crew and day that this one corrects."""
    typed_at: datetime
    typed_by: str | None


@dataclass(frozen=True, slots=True)
class KeptRules:
    """What a farm pays by, as it was saved."""

    said: Mapping[str, Any]
    revision: int
    """0 where nobody said anything yet."""


@dataclass(frozen=True, slots=True)
class PayRun:
    """Days that were exported to be paid; locked."""

    id: str
    farm_id: str
    season_id: str
    number: int
    first_day: date
    last_day: date
    crew_id: str | None
    """None for all crews."""
    exported_at: datetime
    exported_by: str | None
    rules: Mapping[str, Any]
    """As they were then."""
    lines: tuple[Mapping[str, Any], ...]
    """As they were paid."""
    sheet: Mapping[str, Any]
    """Hours and floor tests that its sheets tell, as they were."""
    digest: str
    """SHA-256 of lines and sheet."""


@dataclass(frozen=True, slots=True)
class Budget:
    """What a season may cost."""

    season_id: str
    farm_id: str
    amount: Decimal
    """In the currency of the farm's pay rules."""
    is_per_tree: bool
