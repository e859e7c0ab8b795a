"""What can be a measure of an orchard at all: a finite number within wide bounds."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from orchardmap.errors import InputError

__all__ = ["LARGEST", "SMALLEST", "air_temperature_c", "rain_mm", "within"]

SMALLEST, LARGEST = 0.001, 1_000_000.0
"""Of any diameter, spacing, yield, mass or count: wide enough for every orchard, so narrow that no result overflows."""


def within(
    values: ArrayLike, name: str, low: float = SMALLEST, high: float = LARGEST, *, todo: str = ""
) -> NDArray[np.float64]:
    """Return values as an array, once each lies between two bounds, inclusive.

    Parameters
    ----------
    values : array_like of float, any shape
        In the unit that the name ends with.
    name : str
        Where they stand, for the error.
    low, high : float
        Bounds in the same unit.
    todo : str
        What to do about a value beyond them.

    Returns
    -------
    ndarray of float64, same shape

    Raises
    ------
    InputError
        If one is beyond, or no number; ``where`` is the name.

    Examples
    --------
    >>> within([4, 1.2], "row_spacing_m").tolist()
    [4.0, 1.2]
    """
    array = np.asarray(values, np.float64)
    beyond = array[~((array >= low) & (array <= high))]
    if beyond.size:
        raise InputError(
            f"It is {beyond[0]:g}; it must be between {low:,g} and {high:,.0f}.", where=name, todo=todo
        )
    return array


def air_temperature_c(values: ArrayLike, name: str) -> NDArray[np.float64]:
    """Return temperatures as an array, once each has been seen on earth.

    Parameters
    ----------
    values : array_like of float, any shape, degrees Celsius, -90 to 60
        The records are -89.2 (Vostok, 1983) and 56.7 (Death Valley, 1913; World Meteorological Organization).
    name : str
        Where they stand, for the error.

    Returns
    -------
    ndarray of float64, same shape

    Raises
    ------
    InputError
        If one is beyond, or no number; ``where`` is the name.

    Examples
    --------
    >>> air_temperature_c([-17.8, 4], "tmin_c").tolist()
    [-17.8, 4.0]
    """
    return within(values, name, -90.0, 60.0, todo="Temperatures in _c columns are degrees Celsius.")


def rain_mm(values: ArrayLike, name: str) -> NDArray[np.float64]:
    """Return the rain of days as an array, once each has been seen on earth.

    Parameters
    ----------
    values : array_like of float, any shape, millimetres, 0 to 2,000
        The most in 24 hours was 1,825 (Réunion, 1966; World Meteorological Organization).
    name : str
        Where they stand, for the error.

    Returns
    -------
    ndarray of float64, same shape

    Raises
    ------
    InputError
        If one is beyond, or no number; ``where`` is the name.

    Examples
    --------
    >>> rain_mm([0, 3.4], "rain_mm").tolist()
    [0.0, 3.4]
    """
    return within(values, name, 0.0, 2000.0)
