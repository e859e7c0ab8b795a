"""Trees and metres of row on a hectare, from the spacing."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from orchardmap.pruning.bounds import within
from orchardmap.units import M2_PER_HA

__all__ = ["row_m_per_ha", "trees_per_ha"]


def trees_per_ha(row_spacing_m: ArrayLike, tree_spacing_m: ArrayLike) -> NDArray[np.float64]:
    """Return trees per hectare of single rows, headlands and gaps not counted.

    Parameters
    ----------
    row_spacing_m, tree_spacing_m : array_like of float, broadcastable, metres, 0.001 to 1,000,000
        From row to row, and from tree to tree within one.

    Returns
    -------
    ndarray of float64
        Trees per hectare, unrounded.

    Raises
    ------
    InputError
        If a spacing is out of range.

    Notes
    -----
    One tree to a rectangle: 10,000 / (row x tree), as Ontario's chart of densities has it per acre (Ontario Ministry of
    Agriculture, Food and Rural Affairs, *Orchard Design for the New Apple Orchard*).

    Examples
    --------
    >>> float(trees_per_ha(4, 1.25))
    2000.0
    """
    rows = within(row_spacing_m, "row_spacing_m")
    return M2_PER_HA / (rows * within(tree_spacing_m, "tree_spacing_m"))


def row_m_per_ha(row_spacing_m: ArrayLike) -> NDArray[np.float64]:
    """Return metres of row on a hectare, headlands not counted.

    Parameters
    ----------
    row_spacing_m : array_like of float, any shape, metres, 0.001 to 1,000,000
        From row to row.

    Returns
    -------
    ndarray of float64, same shape
        Metres per hectare, unrounded: 10,000 / row spacing, plane geometry.

    Raises
    ------
    InputError
        If a spacing is out of range.

    Examples
    --------
    >>> float(row_m_per_ha(4))
    2500.0
    """
    return M2_PER_HA / within(row_spacing_m, "row_spacing_m")
