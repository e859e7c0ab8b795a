"""How long the day is. Pure."""

import numpy as np
from numpy.typing import NDArray

__all__ = ["daylight_hours"]


def daylight_hours(days: NDArray[np.datetime64], latitude_deg: float) -> NDArray[np.float64]:
    """Return the hours from sunrise to sunset, the air's refraction left out (a quarter of an hour at most at farms' latitudes).

    Equation 34 of R. Allen, L. Pereira, D. Raes and M. Smith 1998, Crop evapotranspiration, FAO Irrigation and Drainage
    Paper 56, chapter 3.

    Parameters
    ----------
    days : ndarray of datetime64[D]
        The farm's own.
    latitude_deg : float
        WGS 84, north positive.

    Returns
    -------
    ndarray of float64, hours, of the shape of `days`
        0 where the sun stays down, 24 where it stays up.

    Examples
    --------
    Example 10 of the same chapter, 20 degrees south on 3 September: 11.7 hours.

    >>> daylight_hours(np.array(["2026-09-03"], "datetime64[D]"), -20.0).round(1).tolist()
    [11.7]
    """
    day_of_year = (days - days.astype("datetime64[Y]")).astype(int) + 1
    declination = 0.409 * np.sin(2.0 * np.pi / 365.0 * day_of_year - 1.39)
    cosine = -np.tan(np.radians(latitude_deg)) * np.tan(declination)
    hours: NDArray[np.float64] = 24.0 / np.pi * np.arccos(np.clip(cosine, -1.0, 1.0))
    return hours
