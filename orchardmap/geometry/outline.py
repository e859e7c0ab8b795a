"""Everything that can be wrong with an outline, and the repair of what may be repaired."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from orchardmap.errors import OutlineError
from orchardmap.geometry.frame import local_xy_m, origin_lonlat, unwrapped_lonlat
from orchardmap.geometry.geodesy import area_m2
from orchardmap.geometry.rings import outline_of, rings_of
from orchardmap.units import m2_to_ha

__all__ = [
    "LARGEST_EXTENT_M",
    "LARGEST_HA",
    "MOST_VERTICES",
    "SMALLEST_M2",
    "Fault",
    "Repair",
    "faults",
    "outline_from_geojson",
    "repaired",
    "unwrapped_outline",
]

FloatArray = NDArray[np.float64]
Areal = Polygon | MultiPolygon

MOST_VERTICES = 20_000
LARGEST_HA = 1_000.0
LARGEST_EXTENT_M = 10_000.0
SMALLEST_M2 = 1.0
LARGEST_CHANGE_SHARE = 0.01
_POLAR_DEG = 85.0


class Fault(NamedTuple):
    """One thing that is wrong with an outline."""

    code: str
    """One of: kind, empty, not_finite, out_of_range, swapped, unclosed, too_few, too_many, no_area,
    self_crossing, too_large."""
    sentence: str
    where: str
    """Part, hole or vertex; empty when it is the whole outline."""


@dataclass(frozen=True, slots=True)
class Repair:
    """An outline that was made valid, with its geodesic area as drawn and as repaired."""

    outline: Areal
    area_before_m2: float
    area_after_m2: float
    changed: bool

    @property
    def change_share(self) -> float:
        """How far the area moved, as a share of the area as drawn."""
        if self.area_before_m2 == 0.0:
            return 0.0 if self.area_after_m2 == 0.0 else float("inf")
        return abs(self.area_after_m2 - self.area_before_m2) / self.area_before_m2


def faults(geometry: BaseGeometry | Mapping[str, object]) -> list[Fault]:
    """Return everything that is wrong with an outline.

    Parameters
    ----------
    geometry : shapely geometry, or mapping of a GeoJSON geometry, degrees
        What claims to be an outline. Only the mapping can show a ring that is not closed: shapely
        closes rings as it makes them.

    Returns
    -------
    list of Fault
        Code, sentence and place of each; empty when there is nothing wrong. What makes further
        looking senseless (not an area, not numbers, not degrees) ends the list.

    Notes
    -----
    An outline whose latitude and longitude are swapped within -90 ... 90 cannot be told from a true one
    without knowing where the farm is; only the importer can ask.

    Examples
    --------
    >>> bow_tie = Polygon([(11.0, 45.0), (11.001, 45.001), (11.001, 45.0), (11.0, 45.001)])
    >>> [(fault.code, fault.where) for fault in faults(bow_tie)]
    [('no_area', ''), ('self_crossing', '11.0005000, 45.0005000')]
    """
    try:
        kind, rings = rings_of(geometry)
    except (TypeError, ValueError, IndexError):
        return [Fault("kind", "Its coordinates are not lists of longitude and latitude.", "")]
    if kind not in ("Polygon", "MultiPolygon"):
        return [Fault("kind", f"It is a {kind}; an outline is a Polygon or MultiPolygon.", "")]
    if not rings or not any(len(lonlat) for _, lonlat in rings):
        return [Fault("empty", "It has no vertices.", "")]
    found = [fault for place, lonlat in rings for fault in _number_faults(place, lonlat)]
    if found:
        return found
    found = [fault for place, lonlat in rings for fault in _ring_faults(place, lonlat)]
    vertices = sum(len(lonlat) - 1 for _, lonlat in rings)
    if vertices > MOST_VERTICES:
        found.append(
            Fault(
                "too_many",
                f"It has {vertices:,} vertices, more than {MOST_VERTICES:,}; simplify it first.",
                "",
            )
        )
    if any(fault.code in ("too_few", "too_many") for fault in found):
        return found
    return found + _shape_faults(outline_of(kind, rings))


def repaired(geometry: Areal) -> Repair:
    """Return an outline made valid, unless that would move its area by more than 1 %.

    Parameters
    ----------
    geometry : Polygon or MultiPolygon, degrees
        EPSG:4326; rings may cross themselves or each other. Z values are dropped.

    Returns
    -------
    Repair
        The valid outline with its geodesic area before and after, square metres. Longitudes are
        unwrapped at the antimeridian.

    Raises
    ------
    OutlineError
        If nothing with an area is left, or the area moves by more than 1 %: a person must look.

    Notes
    -----
    ``shapely.make_valid(method="structure", keep_collapsed=False)``. The area before is that of the
    rings as drawn, where loops of opposite sense cancel: a slip at a corner passes, a bow tie does not.

    Examples
    --------
    >>> repair = repaired(Polygon([(11.0, 45.0), (11.001, 45.0), (11.001, 45.001), (11.0, 45.001)]))
    >>> repair.changed, repair.change_share
    (False, 0.0)
    """
    flat = unwrapped_outline(geometry)
    before_m2 = area_m2(flat)
    if flat.is_valid:
        return Repair(flat, before_m2, before_m2, changed=False)
    valid = shapely.make_valid(flat, method="structure", keep_collapsed=False)
    if not isinstance(valid, Polygon | MultiPolygon) or valid.is_empty:
        raise OutlineError("Nothing with an area is left of it.", todo="Draw it again.")
    repair = Repair(valid, before_m2, area_m2(valid), changed=True)
    if repair.change_share > LARGEST_CHANGE_SHARE:
        raise OutlineError(
            f"Its rings cross themselves; a repair would change its area from {m2_to_ha(before_m2):.3f} ha to "
            f"{m2_to_ha(repair.area_after_m2):.3f} ha, more than 1 %.",
            todo="Draw it again.",
        )
    return repair


def unwrapped_outline(outline: Areal) -> Areal:
    """Return an outline without Z values, its longitudes running on across the antimeridian.

    Parameters
    ----------
    outline : Polygon or MultiPolygon, degrees
        EPSG:4326.

    Returns
    -------
    Polygon or MultiPolygon, degrees
        Where it spans more than 180 degrees, negative longitudes are raised by 360.
    """
    return shapely.transform(shapely.force_2d(outline), unwrapped_lonlat)


def outline_from_geojson(geometry: Mapping[str, object]) -> Areal:
    """Return a GeoJSON geometry as an outline, when nothing is wrong with it.

    Parameters
    ----------
    geometry : mapping, degrees
        A GeoJSON Polygon or MultiPolygon (RFC 7946); Z values are dropped.

    Returns
    -------
    Polygon or MultiPolygon, degrees
        EPSG:4326, longitudes unwrapped at the antimeridian.

    Raises
    ------
    OutlineError
        If it has a fault; the first one is told.
    """
    found = faults(geometry)
    if found:
        fault = found[0]
        raise OutlineError(fault.sentence, where=f"outline {fault.where}".strip())
    return unwrapped_outline(outline_of(*rings_of(geometry)))


def _number_faults(place: str, lonlat: FloatArray) -> Iterator[Fault]:
    finite = np.isfinite(lonlat).all(axis=1)
    if not finite.all():
        vertex = int(np.argmin(finite)) + 1
        yield Fault("not_finite", "A coordinate is not a number.", f"{place} vertex {vertex}".strip())
        return
    lon, lat = np.abs(lonlat[:, 0]), np.abs(lonlat[:, 1])
    bad = (lon > 360.0) | (lat > _POLAR_DEG)
    if not bad.any():
        return
    vertex = int(np.argmax(bad))
    where = f"{place} vertex {vertex + 1} ({lonlat[vertex, 0]:g}, {lonlat[vertex, 1]:g})".strip()
    if lat.max() <= 360.0 and lat.max() > 90.0 and lon.max() <= 90.0:
        yield Fault(
            "swapped", "Latitude seems to stand where longitude belongs: longitude comes first.", where
        )
    elif lat.max() <= 90.0 and lon.max() <= 360.0:
        yield Fault("out_of_range", "It lies within 5 degrees of a pole.", where)
    else:
        yield Fault("out_of_range", "These are not degrees; they may be metres of a projected system.", where)


def _ring_faults(place: str, lonlat: FloatArray) -> Iterator[Fault]:
    if not len(lonlat):
        return
    if len(lonlat) < 4 or len(np.unique(lonlat, axis=0)) < 3:
        yield Fault("too_few", "A ring needs at least three different corners.", place)
    if (lonlat[0] != lonlat[-1]).any():
        yield Fault("unclosed", "The ring is not closed: its last vertex is not its first.", place)


def _shape_faults(outline: Areal) -> list[Fault]:
    flat = unwrapped_outline(outline)
    xy = local_xy_m(shapely.get_coordinates(flat), origin_lonlat(shapely.get_coordinates(flat)))
    found = []
    area_ha = m2_to_ha(area_m2(flat))
    extent_m = float(np.ptp(xy, axis=0).max())
    if area_ha > LARGEST_HA or extent_m > LARGEST_EXTENT_M:
        found.append(
            Fault(
                "too_large",
                f"It covers {area_ha:,.0f} ha and {extent_m / 1000:,.1f} km; a block has at most {LARGEST_HA:,.0f} ha.",
                "",
            )
        )
    if area_ha < m2_to_ha(SMALLEST_M2):
        found.append(Fault("no_area", "It has no area.", ""))
    if not flat.is_valid:
        reason = shapely.is_valid_reason(flat)
        what, _, place = reason.partition("[")
        lonlat = ", ".join(f"{float(number):.7f}" for number in place.rstrip("]").split()[:2])
        found.append(
            Fault("self_crossing", f"Its rings cross or touch wrongly ({what.strip().lower()}).", lonlat)
        )
    return found
