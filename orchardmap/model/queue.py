"""What crews are given to prune, in order."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

__all__ = ["BlockTerms", "Queues"]


@dataclass(frozen=True, slots=True)
class Queues:
    """Who prunes what next in a season. A block that is nowhere in it is given to nobody, after all that are."""

    revision: int = 0
    """Raised by every saving; 0 where nothing was saved yet."""
    by_crew: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    """Block ids by crew id, the next one first."""
    open: tuple[str, ...] = ()
    """Block ids of what is given to nobody, in order."""
    own_first: bool = True
    """Tablets of a crew show its own blocks before all others."""


@dataclass(frozen=True, slots=True)
class BlockTerms:
    """What a farm says of one block for one season's plan."""

    must_finish_on: date | None = None
    """None where the season's day holds."""
    platform_fits: bool | None = None
    """None where nobody said."""
