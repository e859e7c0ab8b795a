"""Limbs against their trunk: the limb-to-trunk ratio, which limbs to take out, and which are too thick.

Source of the ratio: Schupp et al. 2017, HortScience 52(9):1233-1240. Sum of the cross-sections of all limbs, 2.5 cm from
the trunk, over the cross-section of the trunk, 30 cm above the graft union. Lower is harder pruning; its trial went
from 1.75 down to 0.5 by taking out the largest limb again and again. No one right ratio is published.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from orchardmap.pruning.bounds import LARGEST, SMALLEST, within

__all__ = ["HALF", "TWO_THIRDS", "is_too_thick", "limbs_to_take_out", "ratios_largest_out_first"]

HALF = 1 / 2
"""Of the leader or trunk, for young trees (Ontario Ministry of Agriculture, Food and Rural Affairs, planting year 1)."""
TWO_THIRDS = 2 / 3
"""Of the trunk, for fruiting limbs of mature trees (T. Robinson, Fruit Growers News, 30 April 2010)."""

_SLACK = 1e-9  # half of 5.0 is not over 2.5, and a target met on paper is met


def ratios_largest_out_first(
    trunk_diameter_cm: ArrayLike, limb_diameters_cm: ArrayLike
) -> NDArray[np.float64]:
    """Return the limb-to-trunk ratio as the trees stand, and after each limb that is taken out, largest first.

    Parameters
    ----------
    trunk_diameter_cm : array_like of float, shape (...), centimetres, 0.001 to 1,000,000
        One a tree.
    limb_diameters_cm : array_like of float, shape (..., limbs), centimetres, 0 to 1,000,000
        In any order; 0 where a tree has fewer limbs than others.

    Returns
    -------
    ndarray of float64, shape (..., limbs + 1)
        Never rising along the last axis; the last is 0.

    Raises
    ------
    InputError
        If a diameter is out of range.

    Examples
    --------
    >>> ratios_largest_out_first(5, [3, 2, 4]).round(2).tolist()
    [1.16, 0.52, 0.16, 0.0]
    """
    trunk = within(trunk_diameter_cm, "trunk_diameter_cm")[..., np.newaxis]
    limbs = within(limb_diameters_cm, "limb_diameters_cm", 0.0)
    shares = np.sort((limbs / trunk) ** 2, axis=-1)
    none_left = np.zeros((*shares.shape[:-1], 1))
    return np.concatenate([none_left, np.cumsum(shares, axis=-1)], axis=-1)[..., ::-1]


def limbs_to_take_out(
    trunk_diameter_cm: ArrayLike, limb_diameters_cm: ArrayLike, target_ratio: ArrayLike
) -> NDArray[np.int64]:
    """Return how many limbs must go, largest first, until the ratio is at the target or below.

    Parameters
    ----------
    trunk_diameter_cm : array_like of float, shape (...), centimetres
        One a tree.
    limb_diameters_cm : array_like of float, shape (..., limbs), centimetres
        As for `ratios_largest_out_first`.
    target_ratio : array_like of float, shape (...), 0.001 to 1,000,000
        A setting of the block.

    Returns
    -------
    ndarray of int64, shape (...)
        The first so many of the limbs, largest first.

    Raises
    ------
    InputError
        If a value is out of range.

    Examples
    --------
    >>> int(limbs_to_take_out(5, [3, 2, 4], 0.52))
    1
    """
    target = within(target_ratio, "target_ratio", SMALLEST, LARGEST)[..., np.newaxis]
    ratios = ratios_largest_out_first(trunk_diameter_cm, limb_diameters_cm)
    return np.asarray(np.sum(ratios > target * (1.0 + _SLACK), axis=-1), np.int64)


def is_too_thick(
    trunk_diameter_cm: ArrayLike, limb_diameters_cm: ArrayLike, share: float
) -> NDArray[np.bool_]:
    """Tell which limbs are thicker than a share of the trunk, or of the limb they grow on.

    Parameters
    ----------
    trunk_diameter_cm : array_like of float, shape (...), centimetres, 0.001 to 1,000,000
        Diameter of what bears the limbs, one a tree.
    limb_diameters_cm : array_like of float, shape (..., limbs), centimetres, 0 to 1,000,000
        At their base; 0 where a tree has fewer limbs than others.
    share : float
        `HALF`, `TWO_THIRDS` or the farm's own.

    Returns
    -------
    ndarray of bool, shape (..., limbs)
        False for a limb of exactly that share.

    Raises
    ------
    InputError
        If a diameter is out of range.

    Examples
    --------
    >>> is_too_thick(5.0, [2.5, 2.6, 3.4], HALF).tolist()
    [False, True, True]
    """
    trunk = within(trunk_diameter_cm, "trunk_diameter_cm")[..., np.newaxis]
    return within(limb_diameters_cm, "limb_diameters_cm", 0.0) > trunk * share * (1.0 + _SLACK)
