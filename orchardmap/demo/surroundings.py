"""What lies on the invented farm beside its blocks: lane, tracks, gates, stream, pond, sheds. All of it is made up."""

from collections.abc import Callable
from datetime import datetime

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import LineString, Point, Polygon
from shapely.geometry.base import BaseGeometry

from orchardmap.demo import ground
from orchardmap.model.farm_feature import FeatureKind
from orchardmap.store.session import Store
from orchardmap.usecases import farm_features
from orchardmap.usecases.farm_features import NewFeature

__all__ = ["draw_surroundings", "surroundings"]

Drawn = tuple[FeatureKind, str, BaseGeometry]

_SHEDS = (
    ("Packing shed", ((508, 172), (546, 174), (545, 192), (507, 190))),
    ("Tractor shed", ((512, 210), (536, 211), (535, 224), (511, 223))),
    ("Stove room", ((556, 200), (566, 200.5), (565.6, 208), (555.6, 207.5))),
)


def surroundings() -> list[Drawn]:
    """Return kind, name and shape of each, in metres on the sheet of `orchardmap.demo.ground`."""
    return [
        ("track", "Ottlemere Lane", ground.LANE),
        ("track", "Home track", shapely.intersection(ground.TRACK, shapely.box(210, 0, 428, 300))),
        ("track", "Cart road", shapely.intersection(ground.CART_ROAD, shapely.box(1034, 400, 1240, 900))),
        ("water", "Ottle Brook", ground.stream()),
        ("water", "Pond", ground.pond()),
        *(("shed", name, Polygon(corners)) for name, corners in _SHEDS),
        ("shed", "Pump house", Point(524, 642)),
        ("gate", "Yard gate", Point(578, 176)),
        ("gate", "Wash gate", Point(588, 330)),
        ("gate", "Beacon gate", Point(598, 560)),
        ("water", "Trough", Point(571, 262)),
        ("other", "Bin stack", Polygon([(500, 232), (524, 233), (523.5, 244), (499.5, 243)])),
    ]


def draw_surroundings(store: Store, farm_id: str, *, now: datetime) -> None:
    """Put them on the farm's map.

    Parameters
    ----------
    store : Store
        Open for writing.
    farm_id : str
        The demo's farm.
    now : datetime with time zone
        The clock.
    """
    on_globe: Callable[[NDArray[np.float64]], NDArray[np.float64]] = ground.as_lonlat
    for kind, name, shape in surroundings():
        # walked, not drawn: a vertex where it bends
        bent = shape.simplify(0.5) if isinstance(shape, LineString) else shape
        said = NewFeature(kind, name, shapely.transform(bent, on_globe))
        farm_features.add_feature(store, farm_id=farm_id, said=said, now=now)
