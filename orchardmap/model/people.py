"""Who prunes, who checks."""

from dataclasses import dataclass
from typing import Literal

Method = Literal["ladder", "platform", "ground"]
Role = Literal["manager", "foreman", "auditor", "adviser", "worker"]


@dataclass(frozen=True, slots=True)
class Crew:
    """People who prune together under one foreman."""

    id: str
    farm_id: str
    name: str
    foreman_id: str | None = None
    method: Method = "ladder"


@dataclass(frozen=True, slots=True)
class Person:
    """Somebody of the farm, known by the name the crew calls."""

    id: str
    farm_id: str
    name: str
    role: Role
    crew_id: str | None = None
