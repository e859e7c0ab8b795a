"""Heat and chill that buds have had: degree days, growing degree hours, chill units. Temperatures in degrees Celsius."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from orchardmap.pruning.bounds import air_temperature_c
from orchardmap.units import fahrenheit_to_celsius

__all__ = ["BASE_C", "degree_days", "growing_degree_hours", "hourly_temperatures_c", "utah_chill_units"]

BASE_C = fahrenheit_to_celsius(43.0)
"""43 degrees F, the base of apple's green-tip sums (UMass, 1 April 2019; Geneva NY, *Scaffolds*, 20 March 1995)."""

_UTAH_UP_TO_C = np.array([fahrenheit_to_celsius(edge) for edge in (34.0, 36.0, 48.0, 54.0, 60.0, 65.0)])
_UTAH_UNITS = np.array([0.0, 0.5, 1.0, 0.5, 0.0, -0.5, -1.0])


def degree_days(tmin_c: ArrayLike, tmax_c: ArrayLike, *, base_c: float = BASE_C) -> NDArray[np.float64]:
    """Return the degree days of each day, by the simple average.

    Parameters
    ----------
    tmin_c, tmax_c : array_like of float, broadcastable, degrees Celsius
        Of each day.
    base_c : float, degrees Celsius
        Below it nothing counts.

    Returns
    -------
    ndarray of float64
        Celsius degree days, ``>= 0``: (min + max) / 2 - base. Over `orchardmap.units.C_PER_F` they are Fahrenheit's.

    Raises
    ------
    InputError
        If a temperature is out of range.

    Examples
    --------
    >>> degree_days([5.0, -4.0], [16.0, 3.0], base_c=6.0).tolist()
    [4.5, 0.0]
    """
    mean = (air_temperature_c(tmin_c, "tmin_c") + air_temperature_c(tmax_c, "tmax_c")) / 2.0
    return np.maximum(mean - base_c, 0.0)


def hourly_temperatures_c(tmin_c: ArrayLike, tmax_c: ArrayLike) -> NDArray[np.float64]:
    """Return a guess of 24 hourly temperatures for each day.

    Parameters
    ----------
    tmin_c, tmax_c : array_like of float, shape (n,), degrees Celsius
        Of each day.

    Returns
    -------
    ndarray of float64, shape (n, 24)
        Degrees Celsius at 0, 1 ... 23 h: a cosine with the minimum at 4 h and the maximum at 16 h (common practice). Its
        mean is that of minimum and maximum; sums made from it are approximate, hourly readings are better.

    Raises
    ------
    InputError
        If a temperature is out of range.

    Examples
    --------
    >>> hourly_temperatures_c([0.0], [10.0])[0, [4, 10, 16]].round(6).tolist()
    [0.0, 5.0, 10.0]
    """
    low = air_temperature_c(tmin_c, "tmin_c")[..., np.newaxis]
    high = air_temperature_c(tmax_c, "tmax_c")[..., np.newaxis]
    wave: NDArray[np.float64] = np.cos(2.0 * np.pi * (np.arange(24) - 4) / 24.0)
    return (low + high) / 2.0 - (high - low) / 2.0 * wave


def utah_chill_units(temperature_c: ArrayLike) -> NDArray[np.float64]:
    """Return the chill units of each hour.

    Parameters
    ----------
    temperature_c : array_like of float, any shape, degrees Celsius
        Hourly.

    Returns
    -------
    ndarray of float64, same shape
        Units from -1 to 1.

    Raises
    ------
    InputError
        If a temperature is out of range.

    Notes
    -----
    Up to 34 degrees F 0, to 36 0.5, to 48 1, to 54 0.5, to 60 0, to 65 -0.5, above -1: UC Davis, *About chilling units*
    (the Utah model). The bands join; as whole degrees, as first published, they leave gaps.

    Examples
    --------
    >>> utah_chill_units([0.0, 5.0, 20.0]).tolist()
    [0.0, 1.0, -1.0]
    """
    return _UTAH_UNITS[np.searchsorted(_UTAH_UP_TO_C, air_temperature_c(temperature_c, "temperature_c"))]


def growing_degree_hours(
    temperature_c: ArrayLike, *, base_c: float = 4.0, optimum_c: float = 25.0, critical_c: float = 36.0
) -> NDArray[np.float64]:
    """Return the growing degree hours of each hour.

    Parameters
    ----------
    temperature_c : array_like of float, any shape, degrees Celsius
        Hourly.
    base_c, optimum_c, critical_c : float, degrees Celsius, rising
        Growth begins, is fastest, and stops.

    Returns
    -------
    ndarray of float64, same shape
        Degree hours from 0 to ``optimum_c - base_c``.

    Raises
    ------
    InputError
        If a temperature is out of range.

    Notes
    -----
    Anderson 1986, Acta Horticulturae 184:71-78, with its temperatures for fruit trees: a cosine up from base to optimum
    and a steeper one down to the critical temperature.

    Examples
    --------
    >>> growing_degree_hours([4.0, 25.0, 36.0]).round(6).tolist()
    [0.0, 21.0, 0.0]
    """
    t = air_temperature_c(temperature_c, "temperature_c")
    span = optimum_c - base_c
    rising = span / 2.0 * (1.0 + np.cos(np.pi + np.pi * (t - base_c) / span))
    falling = span * (1.0 + np.cos(np.pi / 2.0 * (1.0 + (t - optimum_c) / (critical_c - optimum_c))))
    return np.where((t < base_c) | (t > critical_c), 0.0, np.where(t <= optimum_c, rising, falling))
