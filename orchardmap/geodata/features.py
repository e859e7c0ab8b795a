"""From pieces with a place on Earth to features that can be looked at, each with what is odd or wrong about it."""

import time
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import LineString, MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from orchardmap.errors import OutlineError
from orchardmap.geodata.naming import doubled, names
from orchardmap.geodata.pieces import Piece
from orchardmap.geodata.preview import Feature, Kind
from orchardmap.geodata.repair import mended
from orchardmap.geometry.geodesy import area_m2, distance_azimuth, line_length_m
from orchardmap.geometry.outline import LARGEST_EXTENT_M, LARGEST_HA, SMALLEST_M2
from orchardmap.units import m2_to_ha

_LOOK_S = 12.0
"""After this long the outlines not yet looked at are set aside: a few bytes can keep GEOS busy for minutes."""
_VERTICES_AT_ONCE = 20_000
_CLOSING_GAP_M = 10.0
_CLOSING_SHARE = 0.05
_M_PER_DEG = 111_320.0
_POLE_DEG = 85.0


@dataclass(slots=True)
class _Look:
    """What is known so far about one piece. Filled in as it is looked at, then frozen into a Feature."""

    piece: Piece
    kind: Kind
    geometry: BaseGeometry | None
    notes: list[str] = field(default_factory=list)
    problem: str | None = None

    def refuse(self, problem: str) -> None:
        """Note why it cannot be taken; the first reason stays."""
        self.problem = self.problem or problem
        self.geometry = None


def _set_lonlat(looks: Sequence[_Look], lonlat: NDArray[np.float64]) -> None:
    """Give each piece its coordinates on WGS 84 and refuse those that have none there."""
    located = [look for look in looks if look.geometry is not None]
    if not located:
        return
    shapes = np.array([look.geometry for look in located], dtype=object)
    counts = shapely.get_num_coordinates(shapes)
    owner = np.repeat(np.arange(len(shapes)), counts)
    bad: NDArray[np.bool_] = ~np.asarray(np.isfinite(lonlat).all(axis=1))
    beyond = ~bad & ((np.abs(lonlat[:, 0]) > 360) | (np.abs(lonlat[:, 1]) > _POLE_DEG))
    was = shapely.get_coordinates(shapes)
    unread: NDArray[np.bool_] = ~np.asarray(np.isfinite(was).all(axis=1))
    moved = shapely.set_coordinates(shapes, np.where(bad[:, None], 0.0, lonlat))
    for look, shape in zip(located, moved, strict=True):
        look.geometry = shape
    for place in np.unique(owner[bad]):
        theirs = unread[owner == place]
        vertex = int(np.argmax(theirs)) + 1
        told = (
            f"vertex {vertex} has a coordinate that is not a number"
            if theirs.any()
            else "lies where its coordinate system does not reach"
        )
        located[place].refuse(told)
    for place in np.unique(owner[beyond]):
        vertex = lonlat[owner == place][beyond[owner == place]][0]
        located[place].refuse(
            f"has a vertex at ({vertex[0]:,.4f}, {vertex[1]:,.4f}), which is no place for an orchard"
        )


def _unwrap(looks: Sequence[_Look]) -> None:
    """Bring longitudes into -180 .. 180, and let those of a feature across the antimeridian run on past 180."""
    located = [look for look in looks if look.geometry is not None]
    if not located:
        return
    bounds = shapely.bounds(np.array([look.geometry for look in located], dtype=object))
    wide = bounds[:, 2] - bounds[:, 0] > 180
    turned = (bounds[:, 0] > 180) | (bounds[:, 2] < -180)
    for place in np.flatnonzero(wide | turned):
        look = located[place]

        def shifted(lonlat: NDArray[np.float64], *, across: bool = bool(wide[place])) -> NDArray[np.float64]:
            lon = lonlat[:, 0]
            lon = np.where(lon < 0, lon + 360, lon) if across else (lon + 180) % 360 - 180
            return np.column_stack([lon, lonlat[:, 1]])

        look.geometry = shapely.transform(look.geometry, shifted)
        if wide[place]:
            look.notes.append("Crosses the 180th meridian: its longitudes run on past 180.")


def _close_line(look: _Look) -> None:
    """Make an outline of a line that comes back to where it began: a block that somebody walked around."""
    line = look.geometry
    if not isinstance(line, LineString) or shapely.get_num_coordinates(line) < 4:
        return
    lonlat = shapely.get_coordinates(line)
    gap_m = float(distance_azimuth(lonlat[0], lonlat[-1])[0])
    if gap_m > _CLOSING_GAP_M or gap_m > _CLOSING_SHARE * line_length_m(line):
        return
    outline = Polygon(lonlat)
    if outline.is_empty or outline.area == 0:
        return
    look.geometry, look.kind = outline, "block"
    look.notes.append(
        "A line that ends where it begins, taken as an outline."
        if gap_m == 0
        else f"A line that ends {gap_m:.1f} m from where it begins, closed and taken as an outline."
    )


def _look_at_lines(looks: Sequence[_Look]) -> None:
    for look in looks:
        if look.kind == "row" and look.geometry is not None:
            if look.geometry.length == 0:
                look.refuse("has no length")
            else:
                _close_line(look)


def _chunks(looks: Sequence[_Look]) -> list[list[_Look]]:
    """Return outlines in heaps of about as many vertices each."""
    heaps: list[list[_Look]] = [[]]
    vertices = 0
    for look in looks:
        count = int(shapely.get_num_coordinates(look.geometry))
        if heaps[-1] and vertices + count > _VERTICES_AT_ONCE:
            heaps.append([])
            vertices = 0
        heaps[-1].append(look)
        vertices += count
    return heaps


def _mend(look: _Look) -> None:
    if not isinstance(look.geometry, Polygon | MultiPolygon):
        return
    try:
        repair = mended(look.geometry)
    except OutlineError as fault:
        look.refuse(f"breaks the rules of an outline. {fault.what}")
        return
    look.geometry = repair.outline
    before, after = m2_to_ha(repair.area_before_m2), m2_to_ha(repair.area_after_m2)
    look.notes.append(
        f"Mended where it broke the rules of an outline: {before:.4f} ha before, {after:.4f} ha after."
    )


def _look_at_outlines(looks: Sequence[_Look]) -> None:
    end = time.monotonic() + _LOOK_S
    outlines = [look for look in looks if look.kind == "block" and look.geometry is not None]
    for heap in _chunks(outlines):
        if time.monotonic() > end:
            for look in heap:
                look.refuse("was not looked at: the outlines before it took too long")
            continue
        sound = shapely.is_valid([look.geometry for look in heap])
        for place in np.flatnonzero(~sound):
            if time.monotonic() > end:
                heap[place].refuse("was not mended: the outlines before it took too long")
            else:
                _mend(heap[place])


def _measure(looks: Sequence[_Look]) -> list[float]:
    """Return areas in hectares, 0 for rows and trees, and refuse what is no block by its size."""
    areas_ha = [0.0] * len(looks)
    bounds = shapely.bounds(np.array([look.geometry for look in looks], dtype=object))
    wide_m = (bounds[:, 2] - bounds[:, 0]) * np.cos(np.radians(bounds[:, 1])) * _M_PER_DEG
    extents_m = np.maximum(wide_m, (bounds[:, 3] - bounds[:, 1]) * _M_PER_DEG).tolist()
    for place, look in enumerate(looks):
        if not isinstance(look.geometry, Polygon | MultiPolygon):
            continue
        area = area_m2(look.geometry)
        areas_ha[place] = m2_to_ha(area)
        if area < SMALLEST_M2:
            look.refuse("covers no land")
        elif areas_ha[place] > LARGEST_HA or extents_m[place] > LARGEST_EXTENT_M:
            size = f"{extents_m[place] / 1_000:,.1f} km wide and covers {areas_ha[place]:,.0f} ha"
            look.refuse(f"is {size}: too large for one block")
    return areas_ha


def _named(looks: Sequence[_Look]) -> list[str]:
    """Return names, and note those that two blocks share."""
    by_kind: dict[Kind, list[_Look]] = defaultdict(list)
    for look in looks:
        by_kind[look.kind].append(look)
    found: dict[tuple[Kind, int], str] = {}
    for kind, theirs in by_kind.items():
        # the parts of one feature share its name, so each feature counts once
        sources = {look.piece.source.number: look.piece.source.properties for look in theirs}
        for number, name in zip(sources, names(list(sources.values()), kind=kind), strict=True):
            found[kind, number] = name
    told = []
    for look in looks:
        name, part = found[look.kind, look.piece.source.number], look.piece.part
        told.append(f"{name} part {part}" if part and look.kind == "block" else name)
    twice = doubled([name for look, name in zip(looks, told, strict=True) if look.kind == "block"])
    for look, name in zip(looks, told, strict=True):
        if look.kind == "block" and name.casefold() in twice:
            look.notes.append(f"Another block in this file is called {name!r} too: give one another name.")
    return told


def features(
    found: Sequence[Piece], lonlat: NDArray[np.float64] | None, *, waits_for: str = ""
) -> tuple[Feature, ...]:
    """Return pieces as features.

    Parameters
    ----------
    found : sequence of Piece
        All pieces of a file, with and without a geometry.
    lonlat : ndarray of float64, shape (n, 2), degrees, or None
        The coordinates on WGS 84 of those with a geometry, in order; None while a question is open.
    waits_for : str
        What is said of each piece while ``lonlat`` is None.

    Returns
    -------
    tuple[Feature, ...]
        One for each piece. Those with a problem have no geometry.
    """
    looks = [_Look(piece, piece.kind, piece.geometry, list(piece.notes), piece.problem) for piece in found]
    if lonlat is None:
        for look in looks:
            look.refuse(waits_for)
    else:
        _set_lonlat(looks, lonlat)
        _unwrap(looks)
        _look_at_lines(looks)
        _look_at_outlines(looks)
    areas_ha = _measure(looks)
    named = _named(looks)
    return tuple(
        Feature(
            index,
            look.kind,
            name,
            look.geometry,
            area_ha if look.geometry is not None else 0.0,
            tuple(look.notes),
            f"Feature {look.piece.source.number} {look.problem}" if look.problem else None,
            look.piece.source.properties,
        )
        for index, (look, name, area_ha) in enumerate(zip(looks, named, areas_ha, strict=True))
    )
