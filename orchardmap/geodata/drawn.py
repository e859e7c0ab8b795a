"""Shapes drawn on a map and sent as GeoJSON (RFC 7946): read, placed on the globe, refused where they are none."""

import json
from collections.abc import Mapping
from typing import Any

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from orchardmap.errors import InputError
from orchardmap.geodata.geojson import WGS84, read_geojson
from orchardmap.geodata.preview import RawFeature
from orchardmap.geodata.raw import gathered

__all__ = ["MOST_POINTS", "drawn_features", "refuse_off_globe", "shape_of_geojson"]

MOST_POINTS = 2_000
"""Of one thing that is drawn by hand, or walked."""
_WANTED = "Give a GeoJSON geometry or feature (RFC 7946)."


def drawn_features(document: Mapping[str, Any], *, where: str, wanted: str = _WANTED) -> list[RawFeature]:
    """Return the features of a parsed GeoJSON geometry, feature or collection in WGS 84.

    Parameters
    ----------
    document : mapping
        GeoJSON, parsed.
    where : str
        What messages call it.
    wanted : str
        What messages say is to be given instead.

    Returns
    -------
    list of RawFeature
        At least one; none has a problem.

    Raises
    ------
    InputError
        If it is no GeoJSON, holds nothing, or is in another coordinate system.
    """
    try:
        read = read_geojson(json.dumps(document, allow_nan=False).encode())
    except (ValueError, RecursionError) as error:
        raise InputError(
            "A coordinate is not a number, or it is nested too deep.", where=where, todo=wanted
        ) from error
    if read.crs != WGS84:
        raise InputError(
            "It is not in longitude and latitude of WGS 84.", where=where, todo="Save it as such."
        )
    if not read.features:
        raise InputError("It holds nothing.", where=where, todo=wanted)
    for feature in read.features:
        if feature.geometry is None:
            raise InputError(f"Feature {feature.number}: {feature.problem}.", where=where, todo=wanted)
    return list(read.features)


def refuse_off_globe(shape: BaseGeometry, where: str) -> None:
    """Refuse a shape with too many points, or one that is nowhere on Earth.

    Raises
    ------
    InputError
        With what is wrong.
    """
    lonlat = shapely.get_coordinates(shape)
    if len(lonlat) > MOST_POINTS:
        raise InputError(f"It has {len(lonlat)} points; at most {MOST_POINTS} are taken.", where=where)
    if (np.abs(lonlat) > (360.0, 90.0)).any():
        raise InputError(
            "A point is not on the globe.",
            where=where,
            todo="Give longitude first, then latitude, in degrees.",
        )


def shape_of_geojson(document: Mapping[str, Any], *, where: str = "geojson") -> BaseGeometry:
    """Return what a GeoJSON geometry, feature, or collection of features of one form draws, as one shape.

    Parameters
    ----------
    document : mapping
        GeoJSON in WGS 84, parsed. Heights are left out.
    where : str
        What messages call it.

    Returns
    -------
    BaseGeometry
        lonlat degrees, flat.

    Raises
    ------
    InputError
        If it is no GeoJSON, mixes points, lines and areas, has too many points or one off the globe, or an outline that
        crosses itself.
    """
    found = [feature.geometry for feature in drawn_features(document, where=where)]
    parts = [part for one in found if one is not None for part in shapely.get_parts(shapely.force_2d(one))]
    if len({part.geom_type for part in parts}) != 1:
        raise InputError(
            "It mixes points, lines and areas.", where=where, todo="Give each as a feature of its own."
        )
    shape = parts[0] if len(parts) == 1 else gathered(parts)
    refuse_off_globe(shape, where)
    if not shape.is_valid:
        raise InputError("Its outline crosses itself.", where=where, todo="Draw it anew, round its edge.")
    if parts[0].geom_type != "Point" and (shape.bounds[:2] == shape.bounds[2:]):
        raise InputError("All its points lie at one place.", where=where)
    return shape
