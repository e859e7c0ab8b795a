"""Coverage: which positions of which rows are pruned, and who claims them.

A pure function of the *set* of marks that stand. Order of arrival, repetition and the way a
stretch was split into marks change nothing. Works on one row or on a whole farm alike: every
step is one numpy call over all marks.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from orchardmap.errors import RecordError

__all__ = ["OVERLAP", "Coverage", "coverage", "positions_covered"]

Ints = NDArray[np.int64]

OVERLAP = -1
"""Crew of a run that two crews or more claim: held until a manager settles it."""


@dataclass(frozen=True, slots=True)
class Coverage:
    """Runs of pruned positions, sorted by row and first position; runs of one row never touch each other's positions.

    All arrays have shape (n_runs,). ``first`` and ``last`` are positions, both included. ``crew`` is
    the crew that claims the run, or `OVERLAP` where ``claims`` (how many crews do) is above 1.
    """

    row: Ints
    first: Ints
    last: Ints
    crew: Ints
    claims: Ints

    @property
    def positions(self) -> Ints:
        """Positions in each run, shape (n_runs,)."""
        return self.last - self.first + 1


def coverage(row: Ints, crew: Ints, first: Ints, last: Ints) -> Coverage:
    """Return the runs of positions that the given marks cover.

    Parameters
    ----------
    row, crew : ndarray of int64, shape (n_marks,), unitless
        Any numbering of rows and of crews, both ``>= 0``.
    first, last : ndarray of int64, shape (n_marks,), positions
        Both included, ``1 <= first <= last``.

    Returns
    -------
    Coverage
        The union of the marks, cut wherever the set of claiming crews changes.

    Raises
    ------
    RecordError
        If a mark runs backwards or starts before position 1.

    Notes
    -----
    First the union per (row, crew) by a running maximum of ``last`` over marks sorted by ``first``;
    then a sweep over the ends of those unions: the running sum of +1 and -1 is the number of
    claims, and the same sum weighted by crew *is* the crew wherever there is one claim.

    Examples
    --------
    Crew 0 prunes 1 to 6 and, later, 5 to 9; crew 1 says it pruned 9 to 12:

    >>> import numpy as np
    >>> a = coverage(np.array([7, 7, 7]), np.array([0, 0, 1]), np.array([1, 5, 9]), np.array([6, 9, 12]))
    >>> [(int(f), int(l), int(c)) for f, l, c in zip(a.first, a.last, a.crew)]
    [(1, 8, 0), (9, 9, -1), (10, 12, 1)]
    """
    if len(row) == 0:
        return Coverage(*(np.empty(0, np.int64) for _ in range(5)))
    if (first < 1).any() or (last < first).any():
        raise RecordError("a mark must run from a position >= 1 to the same or a later one")
    row, crew, first, last = _union_per_crew(row, crew, first, last)
    edge_row = np.concatenate([row, row])
    edge_at = np.concatenate([first, last + 1])
    step = np.repeat(np.array([1, -1]), len(row))
    order = np.lexsort((edge_at, edge_row))
    edge_row, edge_at = edge_row[order], edge_at[order]
    claims = np.cumsum(step[order])
    who = np.cumsum((step * np.concatenate([crew, crew]))[order])
    # between an edge and the next one the claims are constant; edges at one place make empty runs
    real = (claims[:-1] > 0) & (edge_at[1:] > edge_at[:-1])
    run_claims = claims[:-1][real]
    return Coverage(
        row=edge_row[:-1][real],
        first=edge_at[:-1][real],
        last=edge_at[1:][real] - 1,
        crew=np.where(run_claims == 1, who[:-1][real], OVERLAP),
        claims=run_claims,
    )


def _union_per_crew(row: Ints, crew: Ints, first: Ints, last: Ints) -> tuple[Ints, Ints, Ints, Ints]:
    """Merge the marks of each crew in each row into runs that neither touch nor overlap."""
    order = np.lexsort((first, crew, row))
    row, crew, first, last = row[order], crew[order], first[order], last[order]
    new_group = np.ones(len(row), bool)
    new_group[1:] = (row[1:] != row[:-1]) | (crew[1:] != crew[:-1])
    group = np.cumsum(new_group)
    # one running maximum for all groups: a later group starts above everything before it
    lift = group * (int(last.max()) + 2)
    reach = np.maximum.accumulate(last + lift) - lift
    starts = new_group.copy()
    starts[1:] |= first[1:] > reach[:-1] + 1
    head = np.flatnonzero(starts)
    tail = np.append(head[1:], len(row)) - 1
    return row[head], crew[head], first[head], reach[tail]


def positions_covered(runs: Coverage, row: Ints, position: Ints) -> NDArray[np.bool_]:
    """Tell which single positions lie in a run.

    Parameters
    ----------
    runs : Coverage
        As `coverage` returns it: sorted, runs apart.
    row, position : ndarray of int64, shape (n,), unitless
        The positions asked about, rows numbered as in ``runs``.

    Returns
    -------
    ndarray of bool, shape (n,)

    Examples
    --------
    >>> import numpy as np
    >>> one = coverage(np.array([3]), np.array([0]), np.array([2]), np.array([4]))
    >>> positions_covered(one, np.array([3, 3, 4]), np.array([4, 5, 4])).tolist()
    [True, False, False]
    """
    if len(runs.row) == 0:
        return np.zeros(len(row), bool)
    lift = int(max(runs.last.max(), position.max(initial=0))) + 1
    at = np.searchsorted(runs.row * lift + runs.first, row * lift + position, side="right") - 1
    found = np.maximum(at, 0)
    inside: NDArray[np.bool_] = (at >= 0) & (runs.row[found] == row) & (position <= runs.last[found])
    return inside
