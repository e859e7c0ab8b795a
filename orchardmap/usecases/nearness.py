"""What is drawn for a farm must lie near it: else its coordinates are another place's."""

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from orchardmap.errors import InputError
from orchardmap.geometry.geodesy import distance_azimuth
from orchardmap.store import orchard
from orchardmap.store.session import Connection

__all__ = ["FARTHEST_M", "refuse_far"]

FARTHEST_M = 100_000.0
"""From the farm's nearest block."""


def refuse_far(conn: Connection, farm_id: str, shape: BaseGeometry, *, what: str) -> None:
    """Refuse a shape that lies far from every block of a farm; a farm without blocks takes any.

    Parameters
    ----------
    conn : Connection
        Open for reading.
    farm_id : str
        The farm.
    shape : BaseGeometry
        lonlat degrees.
    what : str
        How messages call it.

    Raises
    ------
    InputError
        With how far off it is.
    """
    extents = np.array(list(orchard.extents(conn, farm_id).values()))
    if not len(extents):
        return  # a farm may be told of its ground before its blocks
    # a farm may lie at two places: the middle of both is at none
    middles = np.unique(np.round(extents.reshape(-1, 2, 2).mean(axis=1), 1), axis=0)
    points = shapely.get_coordinates(shape)
    away_m = min(float(distance_azimuth(middle, points)[0].min()) for middle in middles)
    if away_m > FARTHEST_M:
        raise InputError(
            f"The {what} is {away_m / 1000:,.0f} km from the farm.",
            where="geojson",
            todo="Give longitude first, then latitude, in degrees of WGS 84.",
        )
