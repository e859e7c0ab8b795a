"""How good a forecast was."""

import numpy as np
from numpy.typing import ArrayLike


def crps(drawn: ArrayLike, true: float) -> float:
    """Return the continuous ranked probability score of an ensemble, in its own units; 0 is perfect.

    T. Gneiting and A. Raftery 2007, Journal of the American Statistical Association 102:359-378.
    """
    ranked = np.sort(drawn).astype(float)
    n = len(ranked)
    spread = (2 * np.arange(1, n + 1) - n - 1) @ ranked / n**2
    return float(np.abs(ranked - true).mean() - spread)
