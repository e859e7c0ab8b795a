"""A farm to print: blocks beside each other, upright, turned and bent, with all that a map shows in them."""

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

import pyproj
from shapely.geometry import LineString, MultiLineString, Point, Polygon

from orchardmap.model.calendar import SeasonCalendar
from orchardmap.model.orchard import Block, Farm, Planting
from orchardmap.model.people import Crew
from orchardmap.model.season import Season
from orchardmap.model.work import CrewDay, Mark
from orchardmap.store.session import Store
from orchardmap.usecases import (
    closing,
    crew_days,
    farm_features,
    hazard_lines,
    planting,
    recording,
    working_time,
)
from orchardmap.usecases.farm_features import NewFeature
from orchardmap.usecases.hazard_lines import NewLine
from orchardmap.usecases.planting import BlockPlan, new_id

NOW = datetime(2026, 1, 21, 15, 0, tzinfo=UTC)
TODAY = date(2026, 1, 21)
"""A Wednesday."""
MIDDLE = (11.3, 46.5)
VARIETY = "Court Pendu Plat"
_TO_GROUND = pyproj.Proj(proj="tmerc", lon_0=MIDDLE[0], lat_0=MIDDLE[1], ellps="WGS84")


@dataclass(frozen=True)
class PrintedFarm:
    """Blocks N1 (upright), N2 (turned by 25 degrees), S1 (an L) and S2 (closed), a season around NOW, two crews."""

    farm: Farm
    season: Season
    blocks: dict[str, Block]
    crews: tuple[Crew, Crew]

    def mark(self, code: str, row: int, last: int, *, crew: int = 0, day: date = TODAY) -> Mark:
        """A mark of a row from its first tree to another."""
        block = self.blocks[code]
        return Mark(
            new_id(),
            self.season.id,
            block.id,
            row,
            1,
            last,
            self.crews[crew].id,
            day,
            "ladder",
            None,
            None,
            NOW,
        )


def lonlat(x_m: float, y_m: float) -> tuple[float, float]:
    """A place so far east and north of the farm's middle, by PROJ."""
    lon, lat = _TO_GROUND(x_m, y_m, inverse=True)
    return lon, lat


def _outline(*corners: tuple[float, float]) -> Polygon:
    return Polygon([lonlat(*one) for one in corners])


def _turned(x: float, y: float, width: float, height: float) -> Polygon:
    along, across = (0.906308, 0.422618), (-0.422618, 0.906308)  # 25 degrees
    return _outline(
        *(
            (
                x + a * width * along[0] + b * height * across[0],
                y + a * width * along[1] + b * height * across[1],
            )
            for a, b in ((0, 0), (1, 0), (1, 1), (0, 1))
        )
    )


def printed_farm(store: Store, name: str = "Low Meadow & Sons") -> PrintedFarm:
    """Make the farm: half of N1 pruned, a row of it in part and one by two crews; a power line over S1."""
    farm = planting.create_farm(store, name=name, time_zone="UTC", now=NOW)
    season = planting.add_season(
        store,
        farm_id=farm.id,
        name="2025/26",
        opens_on=TODAY - timedelta(60),
        must_finish_on=TODAY + timedelta(40),
    )
    crews = (
        planting.add_crew(store, farm_id=farm.id, name="Rook"),
        planting.add_crew(store, farm_id=farm.id, name="Jay"),
    )
    variety = planting.add_variety(store, farm_id=farm.id, name=VARIETY, habit="spur")
    upright = Planting(0.0, 4.0, 2.0, 1.0, 2.0)
    plans = [
        BlockPlan("N1", "", variety.id, _outline((-150, 10), (-60, 10), (-60, 150), (-150, 150)), upright),
        BlockPlan("N2", "", variety.id, _turned(-10, 10, 100, 120), Planting(65.0, 4.0, 2.0, 1.0, 2.0)),
        BlockPlan(
            "S1", "", None, _outline((-150, -120), (-40, -120), (-40, -70), (-90, -70), (-90, -5), (-150, -5)),
            Planting(90.0, 3.5, 1.5, 1.0, 2.0),
        ),
        BlockPlan("S2", "", None, _outline((-25, -130), (90, -130), (90, -10), (-25, -10)), Planting(90.0, 5.0, 2.0, 1.0, 2.0)),
    ]  # fmt: skip
    blocks = {block.code: block for block in planting.plant_blocks(store, farm_id=farm.id, plans=plans)}
    made = PrintedFarm(farm, season, blocks, crews)
    week = [TODAY - timedelta(back) for back in (9, 8, 2, 1)]
    marks = [made.mark("N1", row, 70, day=week[row % 4]) for row in range(1, 11)]
    marks += [made.mark("N1", 11, 30), made.mark("N1", 10, 20, crew=1), made.mark("S1", 4, 9, crew=1)]
    recording.record_marks(store, farm_id=farm.id, marks=marks, sent_at=NOW, now=NOW)
    said = [CrewDay(new_id(), season.id, crews[0].id, day, 4, 8.0, "ladder", None, None, NOW) for day in week]
    crew_days.record_crew_days(store, farm_id=farm.id, crew_days=said, sent_at=NOW, now=NOW)
    calendar = SeasonCalendar(expected_pace=6.0, respects_daylight=False)
    working_time.save_calendar(store, farm_id=farm.id, season_id=season.id, calendar=calendar, now=NOW)
    span = NOW - timedelta(hours=20), NOW + timedelta(hours=30)
    closing.close_block(store, block_id=blocks["S2"].id, span=span, reason="winter wash", now=NOW)
    line = MultiLineString([[lonlat(-170, -30), lonlat(-100, -31), lonlat(-30, -32)]])
    hazard_lines.add_line(store, farm_id=farm.id, line=NewLine("Mill line", 11.0, line), now=NOW)
    features = [
        NewFeature("track", "Mill Lane", LineString([lonlat(-32, 160), lonlat(-33, -135)])),
        NewFeature("gate", "Top gate", Point(lonlat(-32, 155))),
        NewFeature(
            "shed", "", Polygon([lonlat(-80, -20), lonlat(-60, -20), lonlat(-60, -40), lonlat(-80, -40)])
        ),
    ]
    for one in features:
        farm_features.add_feature(store, farm_id=farm.id, said=one, now=NOW)
    return made
