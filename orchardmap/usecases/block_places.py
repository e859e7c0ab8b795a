"""Where the blocks of a file lie: far from the farm or from each other, or upon a block that is there already."""

import math
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components
from scipy.spatial import KDTree
from shapely.geometry.base import BaseGeometry

from orchardmap.errors import InputError
from orchardmap.geodata.preview import Preview
from orchardmap.store import orchard
from orchardmap.store.session import Connection
from orchardmap.usecases.block_plans import BlockWish
from orchardmap.usecases.nearness import FARTHEST_M

__all__ = ["far_sentences", "lies_upon", "places", "refuse_far_blocks"]

Json = dict[str, Any]
FloatArray = NDArray[np.float64]

_EARTH_M = 6_371_009.0
_SAME_GROUND = 0.5
"""Of the smaller outline: neighbours that share a strip of badly drawn edge stay below it."""
_NAMED = 5


def places(conn: Connection, farm_id: str, shapes: Mapping[int, BaseGeometry]) -> list[Json]:
    """Return the places at which shapes lie: what is within about 100 km of each other is one place.

    Parameters
    ----------
    conn : Connection
        Open for reading.
    farm_id : str
        The farm.
    shapes : mapping of int to BaseGeometry
        lonlat degrees, by a number of the caller's.

    Returns
    -------
    list of dict
        ``indices`` of the shapes, ``farm`` (whether blocks of the farm lie there) and ``away_km`` from the first place, to
        two digits. The first one is the farm's, even where no shape lies there; for a farm without blocks it is where most
        shapes lie. A farm that lies at several places has them all in the first.
    """
    extents = np.array(list(orchard.extents(conn, farm_id).values()), dtype=np.float64).reshape(-1, 2, 2)
    own = extents.mean(axis=1)
    keys = list(shapes)
    middles = np.array([_middle(shapes[key]) for key in keys], dtype=np.float64).reshape(-1, 2)
    labels = _labels(np.vstack((own, middles)))
    of_farm, of_shapes = set(labels[: len(own)].tolist()), labels[len(own) :]
    members: dict[int, list[int]] = {}
    for key, label in zip(keys, of_shapes.tolist(), strict=True):
        members.setdefault(label, []).append(key)
    near = [key for label, held in members.items() if label in of_farm for key in held]
    rest = sorted((held for label, held in members.items() if label not in of_farm), key=len, reverse=True)
    first = near if of_farm else (rest.pop(0) if rest else [])
    by_key = dict(zip(keys, middles, strict=True))
    anchor = own if of_farm else np.array([by_key[key] for key in first], dtype=np.float64).reshape(-1, 2)
    from_there = KDTree(_xyz_m(anchor))
    told = [{"indices": sorted(first), "farm": bool(of_farm), "away_km": 0}]
    for held in rest:
        chords_m, _ = from_there.query(_xyz_m(np.array([by_key[key] for key in held])))
        away_m = _arc_m(float(np.min(chords_m)))
        told.append({"indices": sorted(held), "farm": False, "away_km": int(float(f"{away_m / 1000:.2g}"))})
    return told


def _middle(shape: BaseGeometry) -> tuple[float, float]:
    west, south, east, north = shape.bounds
    return (west + east) / 2, (south + north) / 2


def _xyz_m(lonlat: FloatArray) -> FloatArray:
    lon, lat = np.radians(lonlat).T
    return _EARTH_M * np.stack((np.cos(lat) * np.cos(lon), np.cos(lat) * np.sin(lon), np.sin(lat)), axis=-1)


def _arc_m(chord_m: float) -> float:
    """Return the great-circle distance along a chord; that the earth is no sphere matters to half a percent."""
    return 2 * _EARTH_M * math.asin(min(chord_m / (2 * _EARTH_M), 1.0))


def _labels(points: FloatArray) -> NDArray[np.int64]:
    """Return a number for each point, the same for those that are joined by steps of at most 100 km."""
    if not len(points):
        return np.zeros(0, dtype=np.int64)
    # a tenth of a degree stands for all that lies in it: thousands of blocks of a region are a handful of cells
    _, chosen, cell = np.unique(np.round(points, 1), axis=0, return_index=True, return_inverse=True)
    reach_m = 2 * _EARTH_M * math.sin(FARTHEST_M / (2 * _EARTH_M))
    pairs = KDTree(_xyz_m(points[chosen])).query_pairs(reach_m, output_type="ndarray")
    joined = coo_array((np.ones(len(pairs)), (pairs[:, 0], pairs[:, 1])), shape=(len(chosen), len(chosen)))
    found: NDArray[np.int64] = connected_components(joined, directed=False)[1][cell.ravel()]
    return found


def lies_upon(conn: Connection, farm_id: str, shapes: Mapping[int, BaseGeometry]) -> dict[int, str]:
    """Return the code of the block that each shape lies upon; those that lie upon none are left out.

    An outline lies upon a block where they share half of the smaller of the two or more, a surveyed row where its middle lies in it.
    A block without an outline is as large as its rows.
    """
    if not shapes:
        return {}
    held = [(block.code, block.outline or _hull(conn, block.id)) for block in orchard.blocks(conn, farm_id)]
    tree = shapely.STRtree([ground for _, ground in held])
    keys = list(shapes)
    touching = tree.query([shapes[key] for key in keys], predicate="intersects")
    found: dict[int, str] = {}
    for at, place in sorted(touching.T.tolist()):
        (code, ground), shape = held[place], shapes[keys[at]]
        # a share of areas in degrees is that of areas on the ground: both lie at one latitude
        smaller = min(shape.area, ground.area)
        row = shape.area == 0 and ground.covers(shape.representative_point())
        if row or shape.intersection(ground).area >= _SAME_GROUND * smaller > 0:
            found.setdefault(keys[at], code)
    return found


def _hull(conn: Connection, block_id: str) -> BaseGeometry:
    return shapely.convex_hull(shapely.union_all([row.line for row in orchard.rows(conn, block_id)]))


def far_sentences(told: Sequence[Json], codes: Mapping[int, str]) -> list[str]:
    """Return a sentence for each place but the first at which blocks lie, with their codes by the number of their shape."""
    others = "the farm's others" if told and told[0]["farm"] else "the others of the file"
    found = []
    for place in told[1:]:
        names = list(dict.fromkeys(codes[index] for index in place["indices"] if index in codes))
        if not names:
            continue
        shown = ", ".join(names[:_NAMED]) + (
            f" and {len(names) - _NAMED} more" if len(names) > _NAMED else ""
        )
        what = "This block lies" if len(names) == 1 else "These blocks lie"
        found.append(f"{what} {place['away_km']:,} km from {others}: {shown}.")
    more = [f"{len(found) - _NAMED} more places lie far off too."] if len(found) > _NAMED else []
    return found[:_NAMED] + more


def refuse_far_blocks(conn: Connection, farm_id: str, kept: Preview, wishes: Sequence[BlockWish]) -> None:
    """Refuse blocks that lie far from the farm's or from each other; whoever says that they belong there does not ask.

    Raises
    ------
    InputError
        With how far off which of them are.
    """
    codes = {i: wish.code for wish in wishes for i in (wish.index, *wish.rows) if i is not None}
    shapes = {
        feature.index: feature.geometry
        for feature in kept.features
        if feature.index in codes and feature.geometry is not None
    }
    sentences = far_sentences(places(conn, farm_id, shapes), codes)
    if sentences:
        raise InputError(
            " ".join(sentences).removesuffix("."),
            where="blocks",
            todo="Nothing was taken. If they do belong to this farm, say as_placed; else load them into a farm of their own.",
        )
