"""What a weekly report says, gathered and put into words where it is of one language."""

from dataclasses import dataclass
from datetime import date, datetime

from orchardmap.paper.burn_up_chart import BurnUp
from orchardmap.paper.map_content import MapContent

__all__ = ["BlockLine", "CrewLine", "PaceLine", "WeeklyReport"]


@dataclass(frozen=True, slots=True)
class BlockLine:
    """One block's week."""

    code: str
    variety: str
    trees: int
    pruned: int
    week: int
    """Trees pruned in it."""
    verdict: str
    """A key of `orchardmap.maps.signs.PITHS`."""
    likely: str
    """When it is done and whether that is in time, in words; empty where nothing is forecast."""


@dataclass(frozen=True, slots=True)
class CrewLine:
    """One crew's week."""

    name: str
    week: int
    trees: int
    people: float | None
    person_hours: float


@dataclass(frozen=True, slots=True)
class PaceLine:
    """Trees per person-hour of one kind of work, with bounds that hold the true pace 8 times in 10."""

    crew: str
    variety: str
    method: str
    trees_per_h: float
    low: float
    high: float
    days: int


@dataclass(frozen=True, slots=True)
class WeeklyReport:
    """A week as of its last evening."""

    farm: str
    season: str
    first: date
    last: date
    is_over: bool
    progress: tuple[str, ...]
    finish: tuple[str, ...]
    lots: tuple[str, ...]
    cost: tuple[str, ...]
    """Empty for who may not see it."""
    blocks: tuple[BlockLine, ...]
    crews: tuple[CrewLine, ...]
    paces: tuple[PaceLine, ...]
    weak: tuple[str, ...]
    cautions: tuple[str, ...]
    burn_up: BurnUp | None
    ground: MapContent | None
    made_at: datetime | None = None
    """By the farm's clock."""

    @property
    def week(self) -> int:
        """Trees pruned in it."""
        return sum(block.week for block in self.blocks)
