"""Who pruned each tree first: on which day, which crew, by which method. Pure."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from orchardmap.work.burnup import NEVER, first_pruned_day

__all__ = ["Claims", "FirstPruned", "Settled", "first_pruned"]

Ints = NDArray[np.int64]
_NOBODY_SPOKE, _NOBODYS = -2, -1


class Claims(NamedTuple):
    """Standing marks as columns, each of shape (marks,)."""

    row: Ints
    """Numbered from 0."""
    first: Ints
    last: Ints
    day: Ints
    """Any ordinal."""
    claimant: Ints
    """Whoever is told apart, such as a crew with a method, numbered from 0."""


class Settled(NamedTuple):
    """A manager's word on positions of a row that holds: they are one crew's, or nobody's."""

    row: int
    first: int
    last: int
    crew: int | None


class FirstPruned(NamedTuple):
    """Of every position the day it was first pruned on, and whom it is told for."""

    day: Ints
    """Of shape (positions of all rows,), rows one after the other; `NEVER` where no mark reaches."""
    position: Ints
    """Of shape (credits,): index in `day`."""
    credit_day: Ints
    """The first day of a claimant who counts; later than `day` where a manager credited who came second."""
    claimant: Ints
    share: NDArray[np.float64]
    """Adds up to 1 for every position that is anybody's."""


def first_pruned(
    claims: Claims, positions: Ints, *, crew_of: Ints, settled: Sequence[Settled] = ()
) -> FirstPruned:
    """Return when each position was first pruned, and by whom.

    A position is told for who marked it on the earliest day, shared evenly by all who did so on that day. Where a manager
    settled it for a crew only that crew counts, and where it was settled for nobody it is told for nobody.

    Parameters
    ----------
    claims : Claims
        In any order.
    positions : ndarray of int64, shape (rows,), positions
        Tree spaces in each row.
    crew_of : ndarray of int64, shape (claimants,)
        The crew that each claimant is of, numbered as `Settled` has it.
    settled : sequence of Settled
        Words that hold; none meets another.

    Returns
    -------
    FirstPruned

    Examples
    --------
    Crews 0 and 1 mark 1-3 and 3-4 on one day, crew 1 the first again later:

    >>> columns = zip((0, 1, 3, 7, 0), (0, 3, 4, 7, 1), (0, 1, 1, 8, 1), strict=True)
    >>> claims = Claims(*(np.array(one, np.int64) for one in columns))
    >>> found = first_pruned(claims, np.array([4]), crew_of=np.array([0, 1]))
    >>> found.day.tolist()
    [7, 7, 7, 7]
    >>> sorted(zip(found.position.tolist(), found.claimant.tolist(), found.share.tolist(), strict=True))
    [(0, 0, 1.0), (1, 0, 1.0), (2, 0, 0.5), (2, 1, 0.5), (3, 1, 1.0)]
    """
    start = np.concatenate([[0], np.cumsum(positions)])
    day = np.full(int(start[-1]), NEVER, np.int64)
    credited = day.copy()
    sharing = np.zeros(len(day), np.int16)
    owner = _owners(settled, start, positions)
    reached: list[tuple[int, Ints, Ints]] = []
    for claimant in np.unique(claims.claimant).tolist():
        at, days = _reach(claims, claimant, start, positions)
        day[at] = np.minimum(day[at], days)
        if owner is not None:
            may = (owner[at] == _NOBODY_SPOKE) | (owner[at] == crew_of[claimant])
            at, days = at[may], days[may]
        before = credited[at]
        sharing[at] = np.where(days < before, 1, sharing[at] + (days == before))
        credited[at] = np.minimum(before, days)
        reached.append((claimant, at, days))
    mine = [(claimant, at[days == credited[at]]) for claimant, at, days in reached]
    at = np.concatenate([np.zeros(0, np.int64), *(at for _, at in mine)])
    who = np.concatenate([np.zeros(0, np.int64), *(np.full(len(at), one, np.int64) for one, at in mine)])
    return FirstPruned(day, at, credited[at], who, 1.0 / sharing[at])


def _reach(claims: Claims, claimant: int, start: Ints, positions: Ints) -> tuple[Ints, Ints]:
    """Return the positions that one claimant marked and the first day of each."""
    own = claims.claimant == claimant
    rows, within = np.unique(claims.row[own], return_inverse=True)
    days = first_pruned_day((within, claims.first[own], claims.last[own], claims.day[own]), positions[rows])
    length = positions[rows]
    offset = start[rows] - np.concatenate([[0], np.cumsum(length)[:-1]])
    at = np.repeat(offset, length) + np.arange(len(days))
    marked = days != NEVER
    return at[marked], days[marked]


def _owners(settled: Sequence[Settled], start: Ints, positions: Ints) -> Ints | None:
    """Return of every position whose it was settled to be; None where no manager spoke of any."""
    if not settled:
        return None
    owner = np.full(int(start[-1]), _NOBODY_SPOKE, np.int64)
    for one in settled:
        last = min(one.last, int(positions[one.row]))
        owner[start[one.row] + one.first - 1 : start[one.row] + last] = (
            _NOBODYS if one.crew is None else one.crew
        )
    return owner
