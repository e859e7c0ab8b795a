"""Layers of what lies on a farm beside its blocks: gates, tracks, water, sheds and power lines, as they are now."""

from collections.abc import Callable, Mapping

from shapely.geometry import LineString, MultiLineString, MultiPolygon, Polygon

from orchardmap.geometry.geodesy import area_m2, line_length_m
from orchardmap.model.farm_feature import FarmFeature
from orchardmap.model.layer import Value
from orchardmap.pruning.clearance import line_clearance_m
from orchardmap.store import farm_features, farm_settings, hazards
from orchardmap.units import m2_to_ha
from orchardmap.usecases.layer_reading import Found, Reading, found

__all__ = ["BESIDE", "farm_areas", "farm_lines", "farm_points", "power_lines"]


def farm_points(reading: Reading) -> list[Found]:
    """Return the features that are points."""
    return [_found(one) for one in _features(reading) if one.shape.geom_type == "Point"]


def farm_lines(reading: Reading) -> list[Found]:
    """Return the features that are lines, with their geodesic length."""
    return [
        _found(one, round(line_length_m(one.shape), 2))
        for one in _features(reading)
        if isinstance(one.shape, LineString | MultiLineString)
    ]


def farm_areas(reading: Reading) -> list[Found]:
    """Return the features that have an area, with how large it is on the ellipsoid."""
    return [
        _found(one, round(m2_to_ha(area_m2(one.shape)), 4))
        for one in _features(reading)
        if isinstance(one.shape, Polygon | MultiPolygon)
    ]


def _features(reading: Reading) -> list[FarmFeature]:
    return farm_features.farm_features(reading.conn, reading.at.farm.id)


def _found(one: FarmFeature, *size: Value) -> Found:
    return found(one.id, one.id, one.shape, one.kind, one.name or None, *size)


def power_lines(reading: Reading) -> list[Found]:
    """Return the power lines, each with the distance to keep from it by the farm's setting."""
    rule = farm_settings.farm_settings(reading.conn, reading.at.farm.id).line_clearance
    return [
        found(
            one.id,
            one.id,
            one.line,
            one.name,
            one.kv,
            round(line_clearance_m(one.kv, rule), 2),
            round(line_length_m(one.line), 2),
        )
        for one in hazards.hazard_lines(reading.conn, reading.at.farm.id)
    ]


BESIDE: Mapping[str, Callable[[Reading], list[Found]]] = {
    "farm_points": farm_points,
    "farm_lines": farm_lines,
    "farm_areas": farm_areas,
    "power_lines": power_lines,
}
"""How each layer is made that hangs on no block."""
