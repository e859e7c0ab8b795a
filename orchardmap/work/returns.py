"""Returns: what is still to be gone over again, and which checks describe a tree as it was before.

A pure function of the *sets* of stretches asked for and of marks that answer. The same rules stand in TypeScript
(``web/src/core/again.ts``); both are held to ``tests/vectors/returns``.
"""

from collections.abc import Collection, Iterable, Iterator, Sequence
from datetime import date
from typing import Literal

from orchardmap.model.returns import ReturnState, Stretch
from orchardmap.work.settling import HELD, Run

__all__ = [
    "again_runs", "common", "is_past", "joined", "open_stretches", "return_state", "trees_in",
]  # fmt: skip

NotTrees = Collection[tuple[int, int]]
"""(row, position) of blanks and pollinizers; a set, where there are many."""


def joined(stretches: Iterable[Stretch]) -> tuple[Stretch, ...]:
    """Return the same positions as few stretches, by row and position; those that run backwards hold none."""
    made: list[Stretch] = []
    for one in sorted(one for one in stretches if one.first <= one.last):
        before = made[-1] if made else None
        if before and before.row == one.row and one.first <= before.last + 1:
            made[-1] = before._replace(last=max(before.last, one.last))
        else:
            made.append(one)
    return tuple(made)


def common(some: Iterable[Stretch], others: Iterable[Stretch]) -> tuple[Stretch, ...]:
    """Return the positions that both hold."""
    there = joined(others)
    return tuple(
        Stretch(one.row, max(one.first, other.first), min(one.last, other.last))
        for one in joined(some)
        for other in there
        if one.row == other.row and one.first <= other.last and other.first <= one.last
    )


def trees_in(stretches: Iterable[Stretch], not_trees: NotTrees = frozenset()) -> int:
    """Return how many trees stretches hold, each once, blanks and pollinizers left out."""
    found = joined(stretches)
    odd = sum(
        any(one.row == row and one.first <= position <= one.last for one in found)
        for row, position in set(not_trees)
    )
    return sum(one.last - one.first + 1 for one in found) - odd


def open_stretches(
    stretches: Iterable[Stretch], answers: Iterable[Stretch], not_trees: NotTrees = frozenset()
) -> tuple[Stretch, ...]:
    """Return what of a return no mark answers yet, by row and position.

    Parameters
    ----------
    stretches : iterable of Stretch
        What the return asks for, in any order; what they hold twice counts once.
    answers : iterable of Stretch
        Of the marks that answer it and stand, in any order; what lies outside the return is passed over.
    not_trees : collection of (row, position)
        Blanks and pollinizers: a stretch that holds nothing else is not open.

    Returns
    -------
    tuple of Stretch

    Examples
    --------
    >>> asked = [Stretch(4, 1, 10), Stretch(5, 1, 3)]
    >>> [tuple(one) for one in open_stretches(asked, [Stretch(4, 3, 6), Stretch(5, 1, 80)])]
    [(4, 1, 2), (4, 7, 10)]
    """
    answered = joined(answers)
    left = [piece for one in joined(stretches) for piece in _without(one, answered)]
    return tuple(one for one in left if trees_in([one], not_trees) > 0)


def _without(one: Stretch, taken: Iterable[Stretch]) -> Iterator[Stretch]:
    """Yield what of a stretch joined ones do not hold."""
    at = one.first
    for other in taken:
        if other.row != one.row or other.last < at or other.first > one.last:
            continue
        if other.first > at:
            yield Stretch(one.row, at, other.first - 1)
        at = other.last + 1
    if at <= one.last:
        yield Stretch(one.row, at, one.last)


def return_state(
    *,
    is_cancelled: bool,
    trees_open: int,
    recheck: Literal["accepted", "send_back"] | None,
    is_redone_since: bool,
) -> ReturnState:
    """Say where a return stands.

    Parameters
    ----------
    is_cancelled : bool
    trees_open : int
        Trees that no mark answers yet.
    recheck : str or None
        Verdict of the last lot drawn over its trees, None while there is none. One that accepts them outweighs what marks
        say; one that sends them back may have been drawn before they were gone over.
    is_redone_since : bool
        Whether a mark that answers was made after the recheck's last check.

    Returns
    -------
    str
    """
    if is_cancelled:
        return "cancelled"
    if recheck == "accepted":
        return "confirmed"
    if trees_open > 0:
        return "open"
    return "failed" if recheck == "send_back" and not is_redone_since else "redone"


def again_runs(row: int, runs: Iterable[Run], waiting: Sequence[Stretch]) -> list[tuple[Run, bool]]:
    """Cut the runs of a row where a return waits, and say of each piece whether it is to be gone over again.

    Parameters
    ----------
    row : int
        Number of the row.
    runs : iterable of Run
        Its runs, in order.
    waiting : sequence of Stretch
        Open in returns, of any rows, in any order.

    Returns
    -------
    list of (Run, bool)
        What two crews claim is a manager's first, and stays whole.
    """
    ahead = [one for one in joined(waiting) if one.row == row]
    made: list[tuple[Run, bool]] = []
    for run in runs:
        whole = Stretch(row, run.first, run.last)
        again = () if run.status in HELD else common([whole], ahead)
        pieces = [(one, True) for one in again] + [(one, False) for one in _without(whole, again)]
        made += [(run._replace(first=one.first, last=one.last), is_again) for one, is_again in sorted(pieces)]
    return made


def is_past(day: date, recheck_of: str | None, answers: Iterable[tuple[str, date]]) -> bool:
    """Tell whether a check describes its tree as it was before it was gone over again.

    Parameters
    ----------
    day : date
        Of the check.
    recheck_of : str or None
        The return whose recheck lot the check belongs to.
    answers : iterable of (str, date)
        Return and day of each mark that answers for this tree and stands.

    Returns
    -------
    bool
        On one day the check came first, unless it was made for the very lot drawn over the return.
    """
    return any(done > day or (done == day and return_id != recheck_of) for return_id, done in answers)
