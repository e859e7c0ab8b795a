"""Features of a layer as GeoJSON texts (RFC 7946), made column by column: a farm's rows are 50,000 of them."""

import math
from collections.abc import Sequence
from datetime import date
from json.encoder import encode_basestring

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from orchardmap.model.layer import Features, Value

__all__ = ["feature_texts"]

_DECIMALS = 8
"""Of a degree: about a millimetre."""


def feature_texts(features: Features) -> list[str]:
    """Return each feature as the text of one GeoJSON object, without a line break.

    Parameters
    ----------
    features : Features
        Geometries in degrees, WGS 84.

    Returns
    -------
    list of str
        Every one with ``id``, ``geometry`` (null where it is not known) and all fields of the layer, in its order.
    """
    names = [encode_basestring(name) for name in features.layer.field_names]
    columns = [map(_value, features.columns[name]) for name in features.layer.field_names]
    values = zip(*columns, strict=True) if columns else iter([()] * len(features))
    return [
        f'{{"type":"Feature","id":{encode_basestring(feature_id)},"geometry":{geometry},"properties":{{'
        + ",".join(f"{name}:{value}" for name, value in zip(names, of_one, strict=True))
        + "}}"
        for feature_id, geometry, of_one in zip(
            features.ids, _geometries(features.geometries), values, strict=True
        )
    ]


def _geometries(geometries: Sequence[BaseGeometry | None]) -> list[str]:
    if not geometries:
        return []
    rounded = shapely.transform(
        np.array(geometries, dtype=object), lambda lonlat: np.round(lonlat, _DECIMALS)
    )
    return [text or "null" for text in shapely.to_geojson(rounded).tolist()]


def _value(value: Value) -> str:
    """Return a value as JSON has it; a number that JSON has none for is not known."""
    match value:
        case None:
            return "null"
        case str():
            return encode_basestring(value)
        case bool():
            return "true" if value else "false"
        case date():
            return f'"{value.isoformat()}"'
        case float() if not math.isfinite(value):
            return "null"
        case _:
            return repr(value)
