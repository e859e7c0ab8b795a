"""A small farm in a store, and records for it."""

from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta

from shapely.geometry import Polygon

from orchardmap.model.check import Check
from orchardmap.model.orchard import Block, Farm, Planting
from orchardmap.model.people import Crew, Person
from orchardmap.model.season import Season
from orchardmap.model.tree_count import TreeCount
from orchardmap.model.work import Mark, Withdrawal
from orchardmap.store.session import Store
from orchardmap.usecases import planting
from orchardmap.usecases.planting import BlockPlan, new_id

NOW = datetime(2026, 1, 20, 15, 0, tzinfo=UTC)
TODAY = date(2026, 1, 20)
# 100 m x 200 m about 11.3 E 46.5 N: case O1 of the published geometry checks
OUTLINE = Polygon([
    (11.30065135, 46.4991004),
    (11.30065137, 46.50089959),
    (11.29934863, 46.50089959),
    (11.29934865, 46.4991004),
])
PLANTING = Planting(0.0, 4.0, 1.9, 1.0, 2.5)
ROWS, POSITIONS = 25, 105


@dataclass(frozen=True)
class SmallFarm:
    """Two blocks of 25 rows with 105 positions each, a season around NOW, three crews, an auditor."""

    farm: Farm
    season: Season
    blocks: tuple[Block, Block]
    crews: tuple[Crew, Crew, Crew]
    auditor: Person

    def mark(
        self, row: int = 1, first: int = 1, last: int = POSITIONS, *, crew: int = 0, **changes: object
    ) -> Mark:
        """A mark of block 0 made today."""
        made = Mark(
            new_id(),
            self.season.id,
            self.blocks[0].id,
            row,
            first,
            last,
            self.crews[crew].id,
            TODAY,
            "ladder",
            None,
            "tablet",
            NOW,
        )
        return replace(made, **changes)  # type: ignore[arg-type]

    def check(self, row: int = 1, position: int = 1, **changes: object) -> Check:
        """A check of block 0 made today."""
        made = Check(
            new_id(),
            self.season.id,
            self.blocks[0].id,
            row,
            position,
            self.auditor.id,
            TODAY,
            "meets",
            True,
            "tablet",
            NOW,
        )
        return replace(made, **changes)  # type: ignore[arg-type]

    def tree_count(
        self, row: int = 1, position: int = 1, number: int | None = 20, **changes: object
    ) -> TreeCount:
        """A count of the limbs of a drawn tree of block 0, made today."""
        made = TreeCount(
            new_id(),
            self.season.id,
            self.blocks[0].id,
            row,
            position,
            "limbs",
            number,
            TODAY,
            None,
            "tablet",
            NOW,
            seed=7,
        )
        return replace(made, **changes)  # type: ignore[arg-type]


def withdrawal(mark: Mark) -> Withdrawal:
    """A withdrawal of that mark."""
    return Withdrawal(new_id(), mark.id, None, "tablet", NOW)


def small_farm(store: Store, name: str = "Small Farm") -> SmallFarm:
    """Make the farm."""
    farm = planting.create_farm(store, name=name, time_zone="Europe/Rome", now=NOW)
    variety = planting.add_variety(store, farm_id=farm.id, name="Irish Peach", habit="tip")
    season = planting.add_season(
        store,
        farm_id=farm.id,
        name="2025/26",
        opens_on=TODAY - timedelta(days=50),
        must_finish_on=TODAY + timedelta(days=50),
    )
    crews = tuple(planting.add_crew(store, farm_id=farm.id, name=f"Crew {letter}") for letter in "ABC")
    auditor = planting.add_person(store, farm_id=farm.id, name="Auditor", role="auditor")
    plans = [BlockPlan(code, "", variety.id, OUTLINE, PLANTING) for code in ("K1", "K2")]
    one, two = planting.plant_blocks(store, farm_id=farm.id, plans=plans)
    return SmallFarm(farm, season, (one, two), crews, auditor)  # type: ignore[arg-type]
