"""What chance alone would show somewhere in a block, by dealing its faulty trees out anew. Pure."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from orchardmap.quality.scan import Rectangles, Runs

__all__ = ["chance_maxima"]

_PERMUTATIONS_AT_ONCE = 128
_WORD = np.dtype(np.uint64)
"""In one word lie the counts of several permutations, side by side."""


def chance_maxima(
    looked_at: Rectangles, llr: NDArray[np.float64], *, permutations: int, rng: np.random.Generator
) -> NDArray[np.float64]:
    """Return the largest log likelihood ratio anywhere in the block, each time the faulty trees are dealt out anew.

    Parameters
    ----------
    looked_at : Rectangles
        The rectangles.
    llr : ndarray of float, shape (most + 1, faulty + 1)
        Of `llr_table`.
    permutations : int
        How often the faulty trees are dealt out among all checked ones.
    rng : Generator
        Deals.

    Returns
    -------
    ndarray of float, shape (permutations,)
        What chance shows where nothing is weak.
    """
    faulty = llr.shape[1] - 1
    counts = np.min_scalar_type(faulty)
    at_once = _WORD.itemsize // counts.itemsize
    maxima = []
    for begin in range(0, permutations, _PERMUTATIONS_AT_ONCE):
        labels = np.zeros((min(_PERMUTATIONS_AT_ONCE, permutations - begin), looked_at.checks), counts)
        labels[:, :faulty] = 1
        dealt = np.zeros((looked_at.checks, -(-len(labels) // at_once) * at_once), counts)
        dealt[:, : len(labels)] = rng.permuted(labels, axis=1).T
        # the ratio rises with the faulty trees among n, so the most of them are all that need be known for each n
        best = np.zeros((looked_at.most + 1, dealt.shape[1]), counts)
        for some in looked_at.runs:
            _raise_to_most(best, some, dealt)
        ratios = llr[np.arange(looked_at.most + 1)[:, np.newaxis], best].max(axis=0)
        maxima.append(ratios[: len(labels)])
    return np.concatenate(maxima) if maxima else np.empty(0)


def _raise_to_most(best: NDArray[Any], some: Runs, dealt: NDArray[Any]) -> None:
    """Raise, for each number of checks and each permutation, the faulty trees of ``best`` to those of any rectangle.

    The counts of several permutations are added as one number. Running sums overflow, from one count into the next and at the end, but
    the difference of two is modulo 2^64 the sum of what lies between, where no count is above what it can hold.
    """
    running = np.zeros((len(some.members) + 1, dealt.shape[1] * dealt.itemsize // _WORD.itemsize), _WORD)
    np.cumsum(dealt.view(_WORD)[some.members], axis=0, out=running[1:])
    found = running[some.high]
    found -= running[some.low]
    faulty = found.view(dealt.dtype)
    ends = [*some.groups[1:].tolist(), len(found)]
    for n, first, end in zip(some.numbers.tolist(), some.groups.tolist(), ends, strict=True):
        np.maximum(best[n], faulty[first:end].max(axis=0), out=best[n])
