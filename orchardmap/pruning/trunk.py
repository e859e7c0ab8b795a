"""What a young tree can carry, by the cross-section of its trunk."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from orchardmap.pruning.bounds import within

__all__ = ["fruit_on_trunk", "trunk_area_cm2"]


def trunk_area_cm2(trunk_diameter_cm: ArrayLike) -> NDArray[np.float64]:
    """Return the cross-section of trunks, taken as round.

    Parameters
    ----------
    trunk_diameter_cm : array_like of float, any shape, centimetres, 0.001 to 1,000,000
        Just below the lowest limbs, about 60 cm above the ground. A tape's circumference has been rounded more
        coarsely than a calliper's diameter; measure the diameter.

    Returns
    -------
    ndarray of float64, same shape
        Square centimetres, unrounded: pi d2 / 4.

    Raises
    ------
    InputError
        If a diameter is out of range.

    Examples
    --------
    >>> round(float(trunk_area_cm2(5.0)), 2)
    19.63
    """
    return np.pi / 4.0 * within(trunk_diameter_cm, "trunk_diameter_cm") ** 2


def fruit_on_trunk(trunk_diameter_cm: ArrayLike, fruit_per_cm2: ArrayLike) -> NDArray[np.float64]:
    """Return the fruit to leave on young trees, from the second leaf to about the seventh.

    Parameters
    ----------
    trunk_diameter_cm : array_like of float, any shape, centimetres
        As for `trunk_area_cm2`.
    fruit_per_cm2 : array_like of float, broadcastable, 0.001 to 1,000
        Fruit per square centimetre of trunk.

    Returns
    -------
    ndarray of float64
        Fruit per tree, unrounded.

    Raises
    ------
    InputError
        If a value is out of range.

    Notes
    -----
    The table of J. Clements, *Crop load guide for young apple trees* (UMass, 2017), is this at 4 fruit per cm2 for
    biennial and 6 for annual bearers (the two numbers are inferred from its printed fruit).

    Examples
    --------
    >>> round(float(fruit_on_trunk(3.81, 4)))
    46
    """
    return trunk_area_cm2(trunk_diameter_cm) * within(fruit_per_cm2, "fruit_per_cm2", high=1000.0)
