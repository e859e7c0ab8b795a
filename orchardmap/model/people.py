"""Who prunes, who checks."""

from dataclasses import dataclass
from typing import Literal, get_args

Method = Literal["ladder", "platform", "ground"]
METHODS: tuple[Method, ...] = get_args(Method)
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


@dataclass(frozen=True, slots=True)
class Sender:
    """Who hands records in, as far as it decides what they count for."""

    id: str | None
    """Of the device or account; None for the program itself (demo, import)."""
    crew_id: str | None = None
    """The crew that it may speak for; None speaks for any (a manager)."""
    is_tablet: bool = False
    """A tablet's word on who made a record counts only for whoever held it then."""


ANYBODY = Sender(None)
"""The program itself: nothing is held back."""
