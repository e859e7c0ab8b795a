"""Which layers a farm's readers are served as features, where they lie and since when."""

from dataclasses import dataclass
from datetime import date

import shapely

from orchardmap.model.access import Grant
from orchardmap.model.layer import Layer
from orchardmap.store import farm as farm_store
from orchardmap.store import farm_features, hazards, orchard
from orchardmap.store.remembered import Remembered
from orchardmap.store.session import Connection, Store
from orchardmap.usecases.layers import BESIDE, LAYERS

__all__ = ["SERVED", "Extent", "farm_extent", "farm_name_and_zone", "layers_for", "may_read"]

SERVED: tuple[str, ...] = ("blocks", "rows", "progress", "marks", "checks", "weak_areas", *BESIDE)
"""The layers in the order that they are told in, for every role: a map and files show all of them to each. Positions are left to files: a farm has millions."""
OF_CHECKS = frozenset({"checks", "weak_areas"})
"""What checks say of work: not for a reading key of the work alone."""


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


def may_read(grant: Grant, layer: str) -> bool:
    """Tell whether a layer is for somebody of the farm; one that is not there is nobody's secret."""
    return grant.sees_checks or layer not in OF_CHECKS


def layers_for(grant: Grant) -> list[Layer]:
    """Return the layers that somebody of the farm may read."""
    return [LAYERS[name] for name in SERVED if may_read(grant, name)]
