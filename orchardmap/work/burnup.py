"""Trees pruned day by day: what each day added, counting every tree on the first day that a standing mark covers it."""

import numpy as np
from numpy.typing import NDArray

__all__ = ["first_pruned_day"]

Ints = NDArray[np.int64]

NEVER = np.iinfo(np.int64).max
_CHUNK_POSITIONS = 4_000_000  # keeps the exploded positions of a large farm within some tens of megabytes


def first_pruned_day(marks: tuple[Ints, Ints, Ints, Ints], positions: Ints) -> Ints:
    """Return for every position of every row the first day on which it was pruned.

    Parameters
    ----------
    marks : tuple of four ndarray of int64, shape (n_marks,)
        Row (numbered 0..n_rows-1), first and last position, day (any ordinal).
    positions : ndarray of int64, shape (n_rows,), positions
        Tree spaces in each row.

    Returns
    -------
    ndarray of int64, shape (sum(positions),), days
        Rows one after the other; ``NEVER`` (the largest int64) where no mark reaches.

    Examples
    --------
    >>> import numpy as np
    >>> one = lambda *v: np.array(v, np.int64)
    >>> days = first_pruned_day((one(0, 0), one(1, 2), one(3, 5), one(20, 10)), one(6))
    >>> days[:5].tolist(), bool(days[5] == NEVER)
    ([20, 10, 10, 10, 10], True)
    """
    row, first, last, day = marks
    start = np.concatenate([[0], np.cumsum(positions)])
    found = np.full(int(start[-1]), NEVER, np.int64)
    last = np.minimum(last, positions[row])
    # latest day first: numpy writes in order, so the earliest day is what stays
    order = np.argsort(-day, kind="stable")
    order = order[first[order] <= last[order]]
    length = (last - first + 1)[order]
    ends = np.cumsum(length)
    begin = 0
    while begin < len(order):
        done = ends[begin - 1] if begin else 0
        end = max(int(np.searchsorted(ends, done + _CHUNK_POSITIONS)), begin + 1)
        part, n = order[begin:end], length[begin:end]
        within = np.arange(int(n.sum())) - np.repeat(np.cumsum(n) - n, n)
        found[np.repeat(start[row[part]] + first[part] - 1, n) + within] = np.repeat(day[part], n)
        begin = end
    return found
