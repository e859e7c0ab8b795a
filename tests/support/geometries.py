"""Outlines for tests: laid in local metres about a point, and a catalogue of awkward ones."""

from typing import Any

import numpy as np
import shapely
from shapely.affinity import translate
from shapely.geometry import MultiPolygon, Polygon

from orchardmap.geometry.frame import lonlat_deg
from orchardmap.model.orchard import Planting

ORIGIN = (11.3, 46.5)


def on_earth(geometry: Any, origin: tuple[float, float] = ORIGIN) -> Any:
    """Local metres (east, north of the origin) to degrees."""
    return shapely.transform(geometry, lambda xy: lonlat_deg(xy, origin))


def centred(geometry: Any) -> Any:
    """Move a local geometry so that the middle of its bounding box is the frame's origin."""
    west, south, east, north = geometry.bounds
    return translate(geometry, -(west + east) / 2.0, -(south + north) / 2.0)


def rectangle(
    east_m: float = 100.0, north_m: float = 200.0, *, west_m: float = 0.0, south_m: float = 0.0
) -> Polygon:
    return shapely.box(west_m, south_m, west_m + east_m, south_m + north_m)


def turned(geometry: Any, bearing_deg: float) -> Any:
    """Turn a local geometry clockwise about its frame's origin."""
    angle = np.radians(bearing_deg)
    c, s = np.cos(angle), np.sin(angle)
    return shapely.transform(geometry, lambda xy: xy @ np.array([(c, -s), (s, c)]))


def planting(**changes: Any) -> Planting:
    """A plain planting: rows north, 4 m apart, trees 1.9 m, all else as asked."""
    numbers: dict[str, Any] = {
        "bearing_deg": 0.0,
        "row_spacing_m": 4.0,
        "tree_spacing_m": 1.9,
        "min_row_length_m": 3.0,
    }
    return Planting(**{**numbers, **changes})


POND = Polygon([(0, 0), (100, 0), (100, 200), (0, 200)], [[(40, 80), (60, 80), (60, 120), (40, 120)]])
LANE = MultiPolygon([rectangle(100, 80), rectangle(100, 100, south_m=100)])
COMB = Polygon(
    [(0, 0), (90, 0), (90, 60), (70, 60), (70, 20), (50, 20), (50, 60), (30, 60), (30, 20), (10, 20), (10, 60), (0, 60)]
)  # fmt: skip
L_SHAPE = Polygon([(0, 0), (100, 0), (100, 80), (40, 80), (40, 200), (0, 200)])

AWKWARD = {
    "needle, a hand wide": rectangle(0.1, 300.0),
    "needle, a millimetre wide": rectangle(0.001, 300.0),
    "crumb": rectangle(0.2, 0.2),
    "triangle of no width": Polygon([(0, 0), (50, 50), (100, 100)]),
    "all vertices in one place": Polygon([(5, 5), (5, 5), (5, 5)]),
    "bow tie": Polygon([(0, 0), (50, 50), (50, 0), (0, 50)]),
    "spike": Polygon([(0, 0), (50, 0), (50, 100), (25, 40), (25, 90), (25, 40), (0, 100)]),
    "hole touching the outer ring": Polygon(
        [(0, 0), (60, 0), (60, 60), (0, 60)], [[(0, 30), (20, 20), (20, 40)]]
    ),
    "hole as large as its part": Polygon(
        [(0, 0), (60, 0), (60, 60), (0, 60)], [[(0, 0), (60, 0), (60, 60), (0, 60)]]
    ),
    "hole outside": Polygon([(0, 0), (60, 0), (60, 60), (0, 60)], [[(80, 0), (90, 0), (90, 9)]]),
    "parts sharing an edge": MultiPolygon([rectangle(50, 50), rectangle(50, 50, south_m=50)]),
    "one part twice": MultiPolygon([rectangle(50, 50), rectangle(50, 50)]),
    "comb": COMB,
    "pond": POND,
    "lane": LANE,
    "doubled vertices": Polygon([(0, 0), (0, 0), (50, 0), (50, 0), (50, 80), (0, 80), (0, 80)]),
}
"""In local metres; none of them may make the geometry core fall over."""
