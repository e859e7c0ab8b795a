"""The local metre frame of a block: transverse Mercator about its centre, on WGS 84.

``x_m`` runs east and ``y_m`` north from an origin, at scale 1 on the origin's meridian. Every
point may bring its own origin, so that all blocks of a farm are projected in one call.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["curvature_radius_m", "local_xy_m", "lonlat_deg", "origin_lonlat", "unwrapped_lonlat"]

FloatArray = NDArray[np.float64]

# WGS 84, defining parameters (NGA.STND.0036): semi-major axis and inverse flattening
_A_M = 6_378_137.0
_F = 1.0 / 298.257223563
_E2 = _F * (2.0 - _F)
_EP2 = _E2 / (1.0 - _E2)
_N = _F / (2.0 - _F)
_ARC_M = _A_M / (1.0 + _N)
_RECTIFYING_M = _ARC_M * (1.0 + _N**2 / 4.0 + _N**4 / 64.0)
# Helmert's series for the meridian arc in the third flattening, terms in sin 2k(lat), and its reversal,
# both to the fifth order (k = 1 ... 5)
_ARC_TERMS = (
    -_ARC_M * 3.0 / 2.0 * (_N - _N**3 / 8.0 - _N**5 / 64.0),
    _ARC_M * 15.0 / 16.0 * (_N**2 - _N**4 / 4.0),
    -_ARC_M * 35.0 / 48.0 * (_N**3 - _N**5 * 5.0 / 16.0),
    _ARC_M * 315.0 / 512.0 * _N**4,
    -_ARC_M * 693.0 / 1280.0 * _N**5,
)
_FOOT_TERMS = (
    3.0 / 2.0 * _N - 27.0 / 32.0 * _N**3 + 269.0 / 512.0 * _N**5,
    21.0 / 16.0 * _N**2 - 55.0 / 32.0 * _N**4,
    151.0 / 96.0 * _N**3 - 417.0 / 128.0 * _N**5,
    1097.0 / 512.0 * _N**4,
    8011.0 / 2560.0 * _N**5,
)


def local_xy_m(lonlat: ArrayLike, origin_lonlat: ArrayLike) -> FloatArray:
    """Return metres east and north of an origin, transverse Mercator on WGS 84.

    Parameters
    ----------
    lonlat : array_like of float, shape (n, 2), degrees
        Points, longitude first (EPSG:4326). Longitudes may be wrapped or not.
    origin_lonlat : array_like of float, shape (2,) or (n, 2), degrees
        One origin for all points, or one for each.

    Returns
    -------
    ndarray of float64, shape (n, 2), metres
        ``x`` east, ``y`` north.

    Notes
    -----
    The classical series in the longitude difference (J. P. Snyder 1987, "Map Projections: A
    Working Manual", USGS Professional Paper 1395, equations 8-9 to 8-12) with Helmert's series
    for the meridian arc. Within 5 km of the origin and up to 75 degrees of latitude it stays
    under 0.001 mm of PROJ's ``tmerc`` (tested).

    Examples
    --------
    One arc second of latitude at 45 degrees north:

    >>> local_xy_m([[11.0, 45.0 + 1 / 3600]], [11.0, 45.0]).round(2)
    array([[ 0.  , 30.87]])
    """
    point, origin = np.asarray(lonlat, dtype=np.float64), np.asarray(origin_lonlat, dtype=np.float64)
    lat = np.radians(point[..., 1])
    turn = point[..., 0] - origin[..., 0]
    lon = np.radians(turn - 360.0 * np.round(turn / 360.0))
    sine, cosine = np.sin(lat), np.cos(lat)
    tangent = sine / cosine
    radius_m = _A_M / np.sqrt(1.0 - _E2 * sine * sine)
    t, c = tangent * tangent, _EP2 * cosine * cosine
    a = lon * cosine
    a2 = a * a
    east = 1.0 + a2 * ((1.0 - t + c) / 6.0 + a2 * (5.0 - 18.0 * t + t * t + 72.0 * c - 58.0 * _EP2) / 120.0)
    north = 0.5 + a2 * ((5.0 - t + 9.0 * c + 4.0 * c * c) / 24.0 + a2 * (61.0 - 58.0 * t + t * t) / 720.0)
    y = _arc_m(lat) - _arc_m(np.radians(origin[..., 1])) + radius_m * tangent * a2 * north
    return np.stack((radius_m * a * east, y), axis=-1)


def lonlat_deg(xy_m: ArrayLike, origin_lonlat: ArrayLike) -> FloatArray:
    """Return longitude and latitude of points in a local frame: `local_xy_m` backwards.

    Parameters
    ----------
    xy_m : array_like of float, shape (n, 2), metres
        Metres east and north of the origin.
    origin_lonlat : array_like of float, shape (2,) or (n, 2), degrees
        One origin for all points, or one for each.

    Returns
    -------
    ndarray of float64, shape (n, 2), degrees
        EPSG:4326, longitude first. Longitudes run on from the origin's without a jump: beside
        the antimeridian they may pass 180, so that a row stays one unbroken line.

    Notes
    -----
    Snyder 1987 (see `local_xy_m`), equations 8-17 to 8-25; there and back within 0.001 mm at 5 km.

    Examples
    --------
    >>> lonlat_deg([[0.0, 30.87]], [11.0, 45.0]).round(5)
    array([[11.     , 45.00028]])
    """
    xy, origin = np.asarray(xy_m, dtype=np.float64), np.asarray(origin_lonlat, dtype=np.float64)
    mu = (_arc_m(np.radians(origin[..., 1])) + xy[..., 1]) / _RECTIFYING_M
    foot = mu + _sine_series(mu, _FOOT_TERMS)
    sine, cosine = np.sin(foot), np.cos(foot)
    tangent = sine / cosine
    shrink = 1.0 - _E2 * sine * sine
    t, c = tangent * tangent, _EP2 * cosine * cosine
    d = xy[..., 0] * np.sqrt(shrink) / _A_M
    d2 = d * d
    fall = 0.5 - d2 * (5.0 + 3.0 * t + 10.0 * c - 4.0 * c * c - 9.0 * _EP2) / 24.0
    lat = foot - tangent * shrink / (1.0 - _E2) * d2 * fall
    lon = d * (1.0 - d2 * ((1.0 + 2.0 * t + c) / 6.0 - d2 * (5.0 + 28.0 * t + 24.0 * t * t) / 120.0)) / cosine
    return np.stack((origin[..., 0] + np.degrees(lon), np.degrees(lat)), axis=-1)


def curvature_radius_m(lat_deg: ArrayLike) -> FloatArray:
    """Return the mean (Gaussian) radius of curvature of the WGS 84 ellipsoid.

    Parameters
    ----------
    lat_deg : array_like of float, any shape, degrees
        Latitudes.

    Returns
    -------
    ndarray of float64, same shape, metres
        ``a sqrt(1 - e2) / (1 - e2 sin2(lat))``.

    Examples
    --------
    >>> float(curvature_radius_m(45.0).round(0))
    6378101.0
    """
    sine = np.sin(np.radians(np.asarray(lat_deg, dtype=np.float64)))
    return np.asarray(_A_M * np.sqrt(1.0 - _E2) / (1.0 - _E2 * sine * sine))


def unwrapped_lonlat(lonlat: ArrayLike) -> FloatArray:
    """Return the points of one geometry with longitudes that do not jump at the antimeridian.

    Parameters
    ----------
    lonlat : array_like of float, shape (n, 2), degrees
        Points of one block; spread over less than 180 degrees of longitude in truth.

    Returns
    -------
    ndarray of float64, shape (n, 2), degrees
        Where the longitudes span more than 180 degrees, the negative ones are raised by 360.

    Examples
    --------
    >>> unwrapped_lonlat([[179.999, -16.8], [-179.999, -16.8]]).tolist()
    [[179.999, -16.8], [180.001, -16.8]]
    """
    points = np.array(lonlat, dtype=np.float64)
    if len(points) and np.ptp(points[:, 0]) > 180.0:
        points[points[:, 0] < 0.0, 0] += 360.0
    return points


def origin_lonlat(lonlat: ArrayLike) -> FloatArray:
    """Return the origin of a block's frame: the centre of its bounding box.

    Parameters
    ----------
    lonlat : array_like of float, shape (n, 2), degrees
        The block's vertices, ``n >= 1``.

    Returns
    -------
    ndarray of float64, shape (2,), degrees
        Longitude (unwrapped at the antimeridian) and latitude.

    Examples
    --------
    >>> origin_lonlat([[179.0, -17.0], [-179.0, -16.0]]).tolist()
    [180.0, -16.5]
    """
    points = unwrapped_lonlat(lonlat)
    return np.asarray((points.min(axis=0) + points.max(axis=0)) / 2.0, dtype=np.float64)


def _arc_m(lat_rad: FloatArray) -> FloatArray:
    return _RECTIFYING_M * lat_rad + _sine_series(lat_rad, _ARC_TERMS)


def _sine_series(angle_rad: FloatArray, terms: tuple[float, ...]) -> FloatArray:
    # the sum of terms[k-1] sin(2 k angle) by Clenshaw's recurrence: one sine and one cosine
    twice = 2.0 * angle_rad
    double_cosine = 2.0 * np.cos(twice)
    later, latest = np.zeros_like(twice), np.zeros_like(twice)
    for term in reversed(terms):
        later, latest = term + double_cosine * later - latest, later
    return np.asarray(later * np.sin(twice))
