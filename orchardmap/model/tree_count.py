"""One sample tree counted: its buds or limbs."""

from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Literal, get_args

from orchardmap.model.work import Extra

__all__ = ["COUNTED_THINGS", "CountedThing", "TreeCount"]

CountedThing = Literal["buds_before", "buds_after", "limbs", "buds_on_limb"]
"""Fruit buds of the tree before or after pruning, its limbs, or the fruit buds of one limb of it."""
COUNTED_THINGS: tuple[CountedThing, ...] = get_args(CountedThing)


@dataclass(frozen=True, slots=True)
class TreeCount:
    """So many of one thing were counted on the tree at one position."""

    id: str
    season_id: str
    block_id: str
    row: int
    position: int
    what: CountedThing
    number: int | None
    """None takes back the count that this one replaces."""
    day: date
    recorder_id: str | None
    device_id: str | None
    device_at: datetime
    seed: int | None = None
    """Of the draw that proposed the tree; None for a tree that somebody chose."""
    replaces_id: str | None = None
    """The count of the same tree that this one corrects. Those that nothing replaces stand."""
    extra: Extra = field(default=None, hash=False)
