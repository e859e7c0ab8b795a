"""What lies on the small farm beside its blocks: something of each form, and a power line."""

from shapely.geometry import LineString, MultiLineString, Point, Polygon

from orchardmap.store.session import Store
from orchardmap.usecases import farm_features, hazard_lines
from orchardmap.usecases.farm_features import NewFeature
from orchardmap.usecases.hazard_lines import NewLine
from small_farm import NOW, SmallFarm

SAID = (
    NewFeature("gate", "Puerta Ñandú", Point(11.2993, 46.5009)),
    NewFeature("track", "Cart road", LineString([(11.2993, 46.4991), (11.2991, 46.5), (11.2993, 46.5009)])),
    NewFeature(
        "water",
        "",
        Polygon(
            [(11.301, 46.5), (11.3014, 46.5), (11.3014, 46.5004), (11.301, 46.5004)],
            [[(11.3011, 46.5001), (11.3012, 46.5001), (11.3012, 46.5002), (11.3011, 46.5002)]],
        ),
    ),
    NewFeature("water", "Two ditches", MultiLineString([[(11.302, 46.5), (11.302, 46.501)], [(11.3021, 46.5), (11.3021, 46.5005)]])),
    NewFeature("shed", "Packing shed", Polygon([(11.2985, 46.5), (11.2987, 46.5), (11.2987, 46.5001), (11.2985, 46.5001)])),
    NewFeature("shed", "Pump house", Point(11.302, 46.5012)),
)  # fmt: skip
LINE = NewLine("North line", 66.0, MultiLineString([[(11.298, 46.5015), (11.302, 46.5016)]]))
COUNTS = {"farm_points": 2, "farm_lines": 2, "farm_areas": 2, "power_lines": 1}
"""Features of each layer."""


def draw_beside(store: Store, made: SmallFarm) -> None:
    """Add all of it."""
    for said in SAID:
        farm_features.add_feature(store, farm_id=made.farm.id, said=said, now=NOW)
    hazard_lines.add_line(store, farm_id=made.farm.id, line=LINE, now=NOW)
