"""Progress in trees: what the runs of coverage are worth once blanks, pollinizers and row ends are taken off."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from orchardmap.work.coverage import OVERLAP, Coverage, positions_covered

__all__ = ["RowProgress", "clipped", "row_progress"]

Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class RowProgress:
    """Trees pruned in each row, all arrays of shape (n_rows,), in trees."""

    trees: Ints
    pruned: Ints
    overlap: Ints
    """Of ``pruned``: claimed by two crews or more."""

    @property
    def done(self) -> NDArray[np.bool_]:
        """Rows in which no tree is left; a row without trees is not counted as work done."""
        done: NDArray[np.bool_] = (self.trees > 0) & (self.pruned == self.trees)
        return done


def clipped(runs: Coverage, positions: Ints) -> Coverage:
    """Return the runs cut at each row's last position, for rows counted shorter after they were marked.

    Parameters
    ----------
    runs : Coverage
        Rows numbered 0..n_rows-1.
    positions : ndarray of int64, shape (n_rows,), positions
        Tree spaces in each row.

    Returns
    -------
    Coverage
        Never longer than its row; nothing is lost in the log, so a corrected count brings it back.
    """
    end = positions[runs.row]
    keep = runs.first <= end
    return Coverage(
        runs.row[keep], runs.first[keep], np.minimum(runs.last, end)[keep], runs.crew[keep], runs.claims[keep]
    )


def row_progress(runs: Coverage, positions: Ints, not_trees: Sequence[tuple[int, int]]) -> RowProgress:
    """Return the trees pruned in each row.

    Parameters
    ----------
    runs : Coverage
        Rows numbered 0..n_rows-1.
    positions : ndarray of int64, shape (n_rows,), positions
        Tree spaces in each row.
    not_trees : sequence of (row, position)
        Blanks and pollinizers, each once.

    Returns
    -------
    RowProgress
        With ``0 <= overlap <= pruned <= trees`` in every row.

    Examples
    --------
    Ten positions, the fourth blank, pruned from 1 to 6: five trees of nine.

    >>> import numpy as np
    >>> from orchardmap.work.coverage import coverage
    >>> runs = coverage(np.array([0]), np.array([2]), np.array([1]), np.array([6]))
    >>> p = row_progress(runs, np.array([10]), [(0, 4)])
    >>> int(p.pruned[0]), int(p.trees[0])
    (5, 9)
    """
    n_rows = len(positions)
    runs = clipped(runs, positions)
    odd = np.array(sorted(set(not_trees)), np.int64).reshape(-1, 2)
    odd = odd[(odd[:, 1] >= 1) & (odd[:, 1] <= positions[odd[:, 0]])] if len(odd) else odd
    trees = positions - np.bincount(odd[:, 0], minlength=n_rows)
    held = runs.crew == OVERLAP
    both = Coverage(runs.row[held], runs.first[held], runs.last[held], runs.crew[held], runs.claims[held])
    return RowProgress(
        trees=trees,
        pruned=_trees_in(runs, odd, n_rows),
        overlap=_trees_in(both, odd, n_rows),
    )


def _trees_in(runs: Coverage, odd: Ints, n_rows: int) -> Ints:
    spaces = np.bincount(runs.row, weights=runs.positions, minlength=n_rows).astype(np.int64)
    inside = positions_covered(runs, odd[:, 0], odd[:, 1])
    return spaces - np.bincount(odd[inside, 0], minlength=n_rows)
