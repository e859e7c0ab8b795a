"""Which layers a farm's readers are served as features, where they lie and since when."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

import shapely

from orchardmap.model.access import ACCOUNT_ROLES, AccessRole
from orchardmap.model.layer import Layer
from orchardmap.store import farm as farm_store
from orchardmap.store import farm_features, hazards, orchard
from orchardmap.store.remembered import Remembered
from orchardmap.store.session import Connection, Store
from orchardmap.usecases.layers import BESIDE, LAYERS

__all__ = ["READERS_OF", "Extent", "farm_extent", "farm_name_and_zone", "layers_for"]

_WHO_JUDGE: tuple[AccessRole, ...] = ("manager", "auditor", "adviser")
READERS_OF: Mapping[str, tuple[AccessRole, ...]] = {
    "blocks": ACCOUNT_ROLES,
    "rows": ACCOUNT_ROLES,
    "progress": ACCOUNT_ROLES,
    "marks": ACCOUNT_ROLES,
    "checks": _WHO_JUDGE,
    "weak_areas": _WHO_JUDGE,
    **dict.fromkeys(BESIDE, ACCOUNT_ROLES),
}
"""Who may read each layer, in the order that they are told in. Positions are left to files: a farm has millions."""


Box = tuple[float, float, float, float]
_boxes: Remembered[tuple[Box | None, Box | None]] = Remembered(100)


@dataclass(frozen=True, slots=True)
class Extent:
    """Where a farm lies and since when."""

    bbox: Box | None
    """West, south, east, north of its blocks and rows in degrees; west above east across the antimeridian; None without any."""
    beside: Box | None
    """The same of what lies beside its blocks."""
    since: date | None
    """When its first season opened."""


def farm_extent(store: Store, farm_id: str) -> Extent:
    """Return where a farm lies and since when."""
    with store.read() as conn:
        seasons = farm_store.seasons(conn, farm_id)
        # over all rows of a farm, and asked for by whoever looks at any of its collections
        boxes = _boxes.answer(conn, farm_id, "boxes", lambda: _boxes_of(conn, farm_id))
    bbox, beside = (box and _on_the_globe(box) for box in boxes)
    return Extent(bbox, beside, seasons[0].opens_on if seasons else None)


def _boxes_of(conn: Connection, farm_id: str) -> tuple[Box | None, Box | None]:
    """Return the box of blocks and rows, and that of what lies beside them."""
    shapes = [
        *(one.shape for one in farm_features.farm_features(conn, farm_id)),
        *(one.line for one in hazards.hazard_lines(conn, farm_id)),
    ]
    beside = shapely.GeometryCollection(shapes).bounds if shapes else None
    return orchard.farm_extent(conn, farm_id), beside


def farm_name_and_zone(store: Store, farm_id: str) -> tuple[str, str]:
    """Return a farm's name and its time zone (IANA).

    Raises
    ------
    UnknownError
        If no farm has that id.
    """
    with store.read() as conn:
        farm = farm_store.farm(conn, farm_id)
    return farm.name, farm.time_zone


def _on_the_globe(extent: Box) -> Box:
    """Return an extent with longitudes in -180 .. 180: a farm across the antimeridian is stored unbroken, beyond 180 degrees."""
    west, south, east, north = extent
    turned_west, turned_east = (
        lon - 360 if lon > 180 else lon + 360 if lon < -180 else lon for lon in (west, east)
    )
    return turned_west, south, turned_east, north


def layers_for(role: AccessRole) -> list[Layer]:
    """Return the layers that a role may read."""
    return [LAYERS[name] for name, roles in READERS_OF.items() if role in roles]
