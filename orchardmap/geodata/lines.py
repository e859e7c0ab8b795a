"""One line out of GeoJSON, such as a power line drawn on a map."""

from collections.abc import Mapping
from typing import Any

import shapely
from shapely.geometry import LineString, MultiLineString

from orchardmap.errors import InputError
from orchardmap.geodata.drawn import drawn_features, refuse_off_globe
from orchardmap.geodata.preview import RawFeature
from orchardmap.geometry.geodesy import distance_azimuth

__all__ = ["LONGEST_SPAN_M", "line_of_geojson"]

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
    read = drawn_features(document, where=where, wanted=_WANTED)
    line = MultiLineString([part for feature in read for part in _parts(feature, where)])
    _refuse_odd(line, where)
    return line


def _parts(feature: RawFeature, where: str) -> list[LineString]:
    found = feature.geometry
    if not isinstance(found, LineString | MultiLineString):
        kind = found.geom_type if found is not None else "nothing"
        raise InputError(f"Feature {feature.number} is a {kind}, not a line.", where=where, todo=_WANTED)
    return list(shapely.get_parts(shapely.force_2d(found)))


def _refuse_odd(line: MultiLineString, where: str) -> None:
    lonlat, part = shapely.get_coordinates(line, return_index=True)
    refuse_off_globe(line, where)
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
