"""From features as a file holds them to single blocks, rows and trees."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import shapely
from shapely.geometry.base import BaseGeometry, BaseMultipartGeometry

from orchardmap.errors import ImportFileError
from orchardmap.geodata.preview import MAX_FEATURES, MAX_VERTICES, Kind, RawFeature

_KINDS: dict[str, Kind] = {
    "Polygon": "block",
    "MultiPolygon": "block",
    "LineString": "row",
    "LinearRing": "row",
    "MultiLineString": "row",
    "Point": "tree",
}
_SPLIT = frozenset({"GeometryCollection", "MultiPoint"})


@dataclass(frozen=True, slots=True)
class Piece:
    """One block, row or tree to be, still in the file's coordinates."""

    source: RawFeature
    kind: Kind
    geometry: BaseGeometry | None
    part: int = 0
    """Which part of the source it is, from 1; 0 when it is the whole."""
    notes: tuple[str, ...] = ()
    problem: str | None = None


def _single(geometry: BaseGeometry) -> BaseGeometry:
    """Return the only part of a collection of one, else the geometry itself."""
    if isinstance(geometry, BaseMultipartGeometry) and len(geometry.geoms) == 1:
        only: BaseGeometry = geometry.geoms[0]
        return only
    return geometry


def _parts(geometry: BaseGeometry, *, split_parts: bool) -> Iterator[BaseGeometry]:
    """Yield what one geometry is made of: collections and point clouds taken apart, others whole."""
    if geometry.geom_type in _SPLIT or (split_parts and geometry.geom_type == "MultiPolygon"):
        for part in shapely.get_parts(geometry):
            yield from _parts(part, split_parts=split_parts)
    else:
        yield _single(geometry)


def _pieces_of(feature: RawFeature, *, split_parts: bool) -> Iterator[Piece]:
    if feature.geometry is None:
        yield Piece(feature, "block", None, 0, feature.notes, feature.problem or "has no geometry")
        return
    if feature.geometry.is_empty:
        yield Piece(feature, "block", None, 0, feature.notes, "has an empty geometry")
        return
    whole = feature.geometry.geom_type not in _SPLIT
    parts = list(_parts(feature.geometry, split_parts=split_parts))
    for place, part in enumerate(parts, start=1):
        kind = _KINDS.get(part.geom_type)
        number = place if len(parts) > 1 else 0
        notes = (
            feature.notes if whole else (*feature.notes, "Taken out of a collection of several geometries.")
        )
        if part.has_z:
            notes = (*notes, "Its heights are left aside.")
            part = shapely.force_2d(part)  # noqa: PLW2901 - the flat one is the piece
        if kind is None or part.is_empty:
            yield Piece(feature, "block", None, number, notes, f"has a geometry of the kind {part.geom_type}")
        elif (count := shapely.get_num_coordinates(part)) > MAX_VERTICES:
            problem = f"has {count:,} vertices; at most {MAX_VERTICES:,} are read"
            yield Piece(feature, kind, None, number, notes, problem)
        else:
            yield Piece(feature, kind, part, number, notes)


def pieces(features: Sequence[RawFeature], *, split_parts: bool) -> tuple[Piece, ...]:
    """Return the blocks, rows and trees that features hold: polygons, lines and points.

    Parameters
    ----------
    features : sequence of RawFeature
        As read.
    split_parts : bool
        Make each part of a MultiPolygon a block of its own; otherwise it is one block in parts.

    Returns
    -------
    tuple[Piece, ...]
        In the order of the file, flat (heights dropped), each with its problem if it has one.

    Raises
    ------
    ImportFileError
        When there are none, or too many.
    """
    found: list[Piece] = []
    for feature in features:
        found.extend(_pieces_of(feature, split_parts=split_parts))
        if len(found) > MAX_FEATURES:
            raise ImportFileError(f"It holds more than {MAX_FEATURES:,} outlines, lines and points.")
    if not found:
        raise ImportFileError("It holds no outlines, lines or points.")
    return tuple(found)
