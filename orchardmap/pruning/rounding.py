"""Rounding at the edge: whole trees, fruit and buds. Nothing is rounded before the last step."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["rounded_half_up", "rounded_up"]

_SLACK = 1e-9  # a product that is whole on paper may miss the whole number by its last bits


def rounded_up(values: ArrayLike) -> NDArray[np.float64]:
    """Return the next whole numbers, for what must not fall short: buds to leave.

    Parameters
    ----------
    values : array_like of float, any shape, ``>= 0``
        Counts.

    Returns
    -------
    ndarray of float64, same shape
        Whole numbers.

    Examples
    --------
    92 fruit at 84 % floral buds are 109.52 buds; 100 fruit at a factor of 1.1 are 110, whatever binary fractions say.

    >>> rounded_up([92 / 0.84, 100 * 1.1]).tolist()
    [110.0, 110.0]
    """
    array = np.asarray(values, np.float64)
    return np.ceil(array * (1.0 - _SLACK))


def rounded_half_up(values: ArrayLike) -> NDArray[np.float64]:
    """Return the nearest whole numbers, halves upwards, as printed tables have them.

    Parameters
    ----------
    values : array_like of float, any shape, ``>= 0``
        Counts.

    Returns
    -------
    ndarray of float64, same shape
        Whole numbers.

    Examples
    --------
    >>> rounded_half_up([907.5, 906.4999]).tolist()
    [908.0, 906.0]
    """
    array = np.asarray(values, np.float64)
    return np.floor(array * (1.0 + _SLACK) + 0.5)
