"""Trees credited day by day: each tree once, to the crew that it counts for, on the day and by the method of that crew's mark."""

from collections.abc import Iterable, Sequence
from datetime import date
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from orchardmap.model.returns import Stretch
from orchardmap.work.settling import HELD, Run

__all__ = ["Answered", "Credit", "Worked", "credited_trees", "trees_gone_over"]

Ints = NDArray[np.int64]
_NONE, _HELD, _NOBODY = -3, -2, -1


class Worked(NamedTuple):
    """A standing mark, as pay needs it."""

    row: int
    first: int
    last: int
    crew_id: str
    day: date
    method: str


class Answered(NamedTuple):
    """A standing mark that answers a return."""

    row: int
    first: int
    last: int
    crew_id: str
    day: date
    method: str
    id: str


class Credit(NamedTuple):
    """Trees of one block."""

    day: date
    crew_id: str | None
    """None for what a manager settled for nobody, and while it is held."""
    method: str
    is_held: bool
    trees: int


def credited_trees(
    marks: Sequence[Worked],
    runs: Iterable[tuple[int, Run]],
    positions: dict[int, int],
    not_trees: Iterable[tuple[int, int]] = (),
) -> list[Credit]:
    """Return what each day added to each crew's trees in one block.

    Parameters
    ----------
    marks : sequence of Worked
        The block's standing marks of the first round, in any order.
    runs : iterable of (row number, Run)
        What becomes of every position that they cover (see `orchardmap.work.settling`).
    positions : dict of int to int
        Row number -> tree spaces.
    not_trees : iterable of (row number, position)
        Blanks and pollinizers: not credited.

    Returns
    -------
    list of Credit
        By day, crew, method; together each pruned tree once.

    Notes
    -----
    A tree counts on the first day on which a mark of the crew that it is credited to covers it: that is the day of which that
    crew's hours tell. What is held, settled for nobody, or settled for a crew without a mark there counts on the first day of
    any mark, as progress has it.

    Examples
    --------
    Crew A claims 1 to 6, crew B later 5 to 9; a manager credited B with 5, and 6 is still held:

    >>> marks = [Worked(1, 1, 6, "A", date(2026, 1, 5), "ladder"), Worked(1, 5, 9, "B", date(2026, 1, 7), "ladder")]
    >>> runs = [Run(1, 4, "A", "done"), Run(5, 5, "B", "settled"), Run(6, 6, None, "contested"), Run(7, 9, "B", "done")]
    >>> for one in credited_trees(marks, [(1, run) for run in runs], {1: 9}, [(1, 2)]):
    ...     print(one.day.day, one.crew_id, one.is_held, one.trees)
    5 None True 1
    5 A False 3
    7 B False 4
    """
    start = dict(zip(positions, np.cumsum([0, *positions.values()]).tolist(), strict=False))
    here = [m for m in marks if m.row in start and m.first <= min(m.last, positions[m.row])]
    if not here:
        return []
    runs_of = list(runs)
    crews = sorted({mark.crew_id for mark in here} | {run.crew_id for _, run in runs_of if run.crew_id})
    methods = sorted({mark.method for mark in here})
    credit = np.full(sum(positions.values()), _NONE, np.int64)
    for row, run in runs_of:
        who = _HELD if run.status in HELD else _NOBODY if run.crew_id is None else crews.index(run.crew_id)
        credit[start[row] + run.first - 1 : start[row] + run.last] = who
    for row, position in not_trees:
        if row in start and position <= positions[row]:
            credit[start[row] + position - 1] = _NONE
    place, mark = _exploded(here, start, positions)
    own = np.array([crews.index(one.crew_id) for one in here], np.int64)[mark] == credit[place]
    has_own = np.zeros(len(credit), bool)
    has_own[place[own]] = True
    counts = (own | ~has_own[place]) & (credit[place] != _NONE)
    place, mark = place[counts], mark[counts]
    day = np.array([one.day.toordinal() for one in here], np.int64)[mark]
    method = np.array([methods.index(one.method) for one in here], np.int64)[mark]
    first = np.lexsort((method, day, place))
    first = first[np.unique(place[first], return_index=True)[1]]
    keys, trees = np.unique(
        np.stack([day[first], credit[place[first]], method[first]]), axis=1, return_counts=True
    )
    made = [
        Credit(date.fromordinal(on), crews[who] if who >= 0 else None, methods[how], who == _HELD, n)
        for on, who, how, n in zip(*keys.tolist(), trees.tolist(), strict=True)
    ]
    return sorted(made, key=lambda one: (one.day, one.crew_id or "", one.method, one.is_held))


def _exploded(marks: Sequence[Worked], start: dict[int, int], positions: dict[int, int]) -> tuple[Ints, Ints]:
    """Return for every position of every mark its place among all positions, and the mark's index."""
    begin = np.array([start[one.row] + one.first - 1 for one in marks], np.int64)
    length = np.array([min(one.last, positions[one.row]) - one.first + 1 for one in marks], np.int64)
    index = np.repeat(np.arange(len(marks)), length)
    within = np.arange(int(length.sum())) - np.repeat(np.cumsum(length) - length, length)
    return begin[index] + within, index


def trees_gone_over(
    stretches: Iterable[Stretch], answers: Iterable[Answered], not_trees: Iterable[tuple[int, int]] = ()
) -> list[Credit]:
    """Return the trees of one return that were gone over again: each once, for the mark that was first.

    Parameters
    ----------
    stretches : iterable of Stretch
        What the return asks for.
    answers : iterable of Answered
        The standing marks that answer it, in any order; what lies outside the return is passed over.
    not_trees : iterable of (row number, position)
        Blanks and pollinizers.

    Returns
    -------
    list of Credit
        By day, crew, method.

    Examples
    --------
    >>> first = Answered(4, 1, 3, "A", date(2026, 1, 5), "ladder", "1")
    >>> again = Answered(4, 2, 9, "B", date(2026, 1, 6), "ladder", "2")
    >>> [(one.crew_id, one.trees) for one in trees_gone_over([Stretch(4, 1, 5)], [again, first], [(4, 1)])]
    [('A', 2), ('B', 2)]
    """
    left = {(one.row, at) for one in stretches for at in range(one.first, one.last + 1)} - set(not_trees)
    found: dict[tuple[date, str, str], int] = {}
    for one in sorted(answers, key=lambda answer: (answer.day, answer.id)):
        taken = left & {(one.row, at) for at in range(one.first, one.last + 1)}
        left -= taken
        key = one.day, one.crew_id, one.method
        found[key] = found.get(key, 0) + len(taken)
    return [Credit(*key, is_held=False, trees=trees) for key, trees in sorted(found.items()) if trees]
