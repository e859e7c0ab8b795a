"""From a yield goal to the buds to leave on a tree and on a limb.

Everything is vectorised over blocks or trees and unrounded; `orchardmap.pruning.rounding` is for the last step.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from orchardmap.pruning.bounds import SMALLEST, within
from orchardmap.units import HA_PER_ACRE

__all__ = [
    "buds_by_floral_share",
    "buds_by_insurance",
    "buds_per_limb",
    "fruit_per_ha",
    "fruit_per_ha_of_bushels",
    "fruit_per_tree",
]

_G_PER_T = 1_000_000.0
_ANY = 1e24  # beyond whatever the step before can give


def fruit_per_ha(yield_t_per_ha: ArrayLike, fruit_mass_g: ArrayLike) -> NDArray[np.float64]:
    """Return the fruit on a hectare that make a yield.

    Parameters
    ----------
    yield_t_per_ha : array_like of float, tonnes per hectare, 0.001 to 1,000,000
        The yield goal.
    fruit_mass_g : array_like of float, broadcastable, grams, 0.001 to 1,000,000
        Mean mass of a fruit at harvest.

    Returns
    -------
    ndarray of float64
        Fruit per hectare, unrounded: mass over mass.

    Raises
    ------
    InputError
        If a value is out of range.

    Examples
    --------
    >>> round(float(fruit_per_ha(60, 180)))
    333333
    """
    goal = within(yield_t_per_ha, "yield_t_per_ha")
    return goal * _G_PER_T / within(fruit_mass_g, "fruit_mass_g")


def fruit_per_ha_of_bushels(yield_bu_per_acre: ArrayLike, fruit_per_bushel: ArrayLike) -> NDArray[np.float64]:
    """Return the fruit on a hectare that make a yield in bushels.

    Parameters
    ----------
    yield_bu_per_acre : array_like of float, bushels per acre, 0.001 to 1,000,000
        The yield goal.
    fruit_per_bushel : array_like of float, broadcastable, 0.001 to 1,000,000
        Differs by market and fruit size, so there is no usual value.

    Returns
    -------
    ndarray of float64
        Fruit per hectare, unrounded.

    Raises
    ------
    InputError
        If a value is out of range.

    Examples
    --------
    >>> round(float(fruit_per_ha_of_bushels(800, 100)))
    197684
    """
    goal = within(yield_bu_per_acre, "yield_bu_per_acre")
    return goal * within(fruit_per_bushel, "fruit_per_bushel") / HA_PER_ACRE


def fruit_per_tree(fruit_per_ha: ArrayLike, trees_per_ha: ArrayLike) -> NDArray[np.float64]:
    """Return the fruit that an average tree must carry.

    Parameters
    ----------
    fruit_per_ha : array_like of float, ``>= 0``
        As `fruit_per_ha` or `fruit_per_ha_of_bushels` gives them.
    trees_per_ha : array_like of float, broadcastable, 0.001 to 10,000,000,000
        Trees that bear, per hectare.

    Returns
    -------
    ndarray of float64
        Fruit per tree, unrounded.

    Raises
    ------
    InputError
        If a value is out of range.

    Examples
    --------
    60 t/ha of 180 g on 3,000 trees/ha:

    >>> round(float(fruit_per_tree(60 * 1e6 / 180, 3000)), 1)
    111.1
    """
    fruit = within(fruit_per_ha, "fruit_per_ha", 0.0, _ANY)
    return fruit / within(trees_per_ha, "trees_per_ha", high=1e10)


def buds_by_insurance(fruit_per_tree: ArrayLike, insurance_factor: ArrayLike) -> NDArray[np.float64]:
    """Return the buds to leave on a tree so that some may fail.

    Parameters
    ----------
    fruit_per_tree : array_like of float, ``>= 0``
        The target.
    insurance_factor : array_like of float, broadcastable, 1 to 1,000
        Buds for one fruit. Ontario's trial of precision pruning (2013) used 1.8 to 2.5 by cultivar.

    Returns
    -------
    ndarray of float64
        Buds per tree, unrounded: fruit x factor.

    Raises
    ------
    InputError
        If a value is out of range.

    Examples
    --------
    >>> float(buds_by_insurance(150, 2))
    300.0
    """
    fruit = within(fruit_per_tree, "fruit_per_tree", 0.0, _ANY)
    return fruit * within(insurance_factor, "insurance_factor", 1.0, 1000.0)


def buds_by_floral_share(fruit_per_tree: ArrayLike, floral_share: ArrayLike) -> NDArray[np.float64]:
    """Return the buds to leave on a tree where only a share of them is floral.

    Parameters
    ----------
    fruit_per_tree : array_like of float, ``>= 0``
        The target.
    floral_share : array_like of float, broadcastable, 0.001 to 1
        Share of buds that are found floral when cut open.

    Returns
    -------
    ndarray of float64
        Buds per tree, unrounded: fruit / share, as in *Good Fruit Grower*, "Precision crop load management requires
        counting, not cameras" (an IFTA talk).

    Raises
    ------
    InputError
        If a value is out of range.

    Examples
    --------
    >>> round(float(buds_by_floral_share(92, 0.84)), 2)
    109.52
    """
    fruit = within(fruit_per_tree, "fruit_per_tree", 0.0, _ANY)
    todo = "A share is written 0.84 for 84 %."
    return fruit / within(floral_share, "floral_share", SMALLEST, 1.0, todo=todo)


def buds_per_limb(buds_per_tree: ArrayLike, limbs_per_tree: ArrayLike) -> NDArray[np.float64]:
    """Return the buds to leave on an average limb.

    Parameters
    ----------
    buds_per_tree : array_like of float, ``>= 0``
        Unrounded, as the two functions above give them.
    limbs_per_tree : array_like of float, broadcastable, 1 to 1,000
        Structural limbs; a mean of sample trees need not be whole.

    Returns
    -------
    ndarray of float64
        Buds per limb, unrounded.

    Raises
    ------
    InputError
        If a value is out of range.

    Examples
    --------
    >>> float(buds_per_limb(300, 24))
    12.5
    """
    buds = within(buds_per_tree, "buds_per_tree", 0.0, _ANY)
    return buds / within(limbs_per_tree, "limbs_per_tree", 1.0, 1000.0)
