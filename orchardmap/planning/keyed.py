"""Luck that stays with its name: whoever else draws, each name draws the same. Pure."""

from collections.abc import Sequence
from zlib import crc32

import numpy as np
from numpy.typing import NDArray

__all__ = ["keyed_normals"]


def keyed_normals(rng: np.random.Generator, names: Sequence[str], n: int) -> NDArray[np.float64]:
    """Return standard normal numbers of which each name has its own.

    Parameters
    ----------
    rng : numpy.random.Generator
        One number is drawn from it, however many names there are.
    names : sequence of str
        In any order.
    n : int
        How many for each.

    Returns
    -------
    ndarray of float64, shape (n, names)

    Examples
    --------
    >>> alone, beside = (keyed_normals(np.random.default_rng(1), names, 3) for names in (["b"], ["a", "b"]))
    >>> bool((alone[:, 0] == beside[:, 1]).all())
    True
    """
    key = int(rng.integers(2**32))
    found = np.empty((len(names), n))
    for row, name in zip(found, names, strict=True):
        np.random.default_rng((key, crc32(name.encode()))).standard_normal(out=row)
    return found.T
