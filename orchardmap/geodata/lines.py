"""One line out of GeoJSON, such as a power line drawn on a map."""

import json
from collections.abc import Mapping
from typing import Any

import numpy as np
import shapely
from shapely.geometry import LineString, MultiLineString

from orchardmap.errors import InputError
from orchardmap.geodata.geojson import WGS84, read_geojson
from orchardmap.geodata.preview import RawFeature
from orchardmap.geometry.geodesy import distance_azimuth

__all__ = ["LONGEST_SPAN_M", "MOST_POINTS", "line_of_geojson"]

MOST_POINTS = 2_000
LONGEST_SPAN_M = 3_000.0
"""No span between two poles comes near it on farm land: a longer one is a line drawn without its poles, or a slip."""
_WANTED = "Give a LineString or MultiLineString (RFC 7946)."


def line_of_geojson(document: Mapping[str, Any], *, where: str = "geojson") -> MultiLineString:
    """Return all lines of a GeoJSON geometry, feature, or collection of features as one.

    Parameters
    ----------
    document : mapping
        GeoJSON in WGS 84 (RFC 7946), parsed. Heights are left out.
    where : str
        What messages call it.

    Returns
    -------
    MultiLineString
        lonlat degrees.

    Raises
    ------
    InputError
        If it is no GeoJSON or holds anything but lines, is in another coordinate system or off the globe, has too many
        points, or all at one place, or two neighbouring ones kilometres apart.
    """
    try:
        read = read_geojson(json.dumps(document, allow_nan=False).encode())
    except (ValueError, RecursionError) as error:
        raise InputError(
            "A coordinate is not a number, or it is nested too deep.", where=where, todo=_WANTED
        ) from error
    if read.crs != WGS84:
        raise InputError(
            "It is not in longitude and latitude of WGS 84.", where=where, todo="Save it as such."
        )
    if not read.features:
        raise InputError("It holds no line.", where=where, todo=_WANTED)
    line = MultiLineString([part for feature in read.features for part in _parts(feature, where)])
    _refuse_odd(line, where)
    return line


def _parts(feature: RawFeature, where: str) -> list[LineString]:
    found = feature.geometry
    if found is None:
        raise InputError(f"Feature {feature.number}: {feature.problem}.", where=where, todo=_WANTED)
    if not isinstance(found, LineString | MultiLineString):
        raise InputError(
            f"Feature {feature.number} is a {found.geom_type}, not a line.", where=where, todo=_WANTED
        )
    return list(shapely.get_parts(shapely.force_2d(found)))


def _refuse_odd(line: MultiLineString, where: str) -> None:
    lonlat, part = shapely.get_coordinates(line, return_index=True)
    if len(lonlat) > MOST_POINTS:
        raise InputError(f"It has {len(lonlat)} points; at most {MOST_POINTS} are taken.", where=where)
    if (np.abs(lonlat) > (360.0, 90.0)).any():
        raise InputError(
            "A point is not on the globe.",
            where=where,
            todo="Give longitude first, then latitude, in degrees.",
        )
    same = part[1:] == part[:-1]
    spans_m, _ = distance_azimuth(lonlat[:-1][same], lonlat[1:][same])
    if spans_m.max() > LONGEST_SPAN_M:
        raise InputError(
            f"Two neighbouring points are {spans_m.max() / 1000:.1f} km apart.",
            where=where,
            todo="Give a point at each pole.",
        )
    if spans_m.max() == 0.0:
        raise InputError("All its points lie at one place.", where=where, todo=_WANTED)
