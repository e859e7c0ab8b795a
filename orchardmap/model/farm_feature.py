"""What else lies on a farm beside its blocks: tracks, gates, water, sheds. It helps people to find their way and nothing hangs on it."""

from dataclasses import dataclass
from typing import Final, Literal, get_args

from shapely.geometry.base import BaseGeometry

__all__ = ["FEATURE_FORMS", "FEATURE_KINDS", "FarmFeature", "FeatureKind"]

FeatureKind = Literal["track", "gate", "water", "shed", "other"]
FEATURE_KINDS: Final[tuple[FeatureKind, ...]] = get_args(FeatureKind)

FEATURE_FORMS: Final[dict[FeatureKind, tuple[str, ...]]] = {
    "track": ("LineString", "MultiLineString"),
    "gate": ("Point",),
    "water": ("Point", "LineString", "MultiLineString", "Polygon", "MultiPolygon"),
    "shed": ("Point", "Polygon", "MultiPolygon"),
    "other": ("Point", "LineString", "MultiLineString", "Polygon", "MultiPolygon"),
}
"""The geometries that a kind may have: a gate is a point, a track a line; a shed may be drawn or only be said to stand somewhere."""


@dataclass(frozen=True, slots=True)
class FarmFeature:
    """Something on the ground of a farm. Power lines are no such thing: they are dangers, `orchardmap.model.hazard.HazardLine`."""

    id: str
    farm_id: str
    kind: FeatureKind
    name: str
    """As it is spoken of; empty where nobody calls it anything."""
    shape: BaseGeometry
    """lonlat degrees, WGS 84, flat; of a form that `FEATURE_FORMS` allows its kind."""
