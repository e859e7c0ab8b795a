"""What becomes of every position of a row: done, contested, settled or re-opened, and who is credited.

A pure function of the *set* of standing marks and settlements. The same rules stand in TypeScript
(``web/src/core/merge.ts``); both are held to ``tests/vectors``.
"""

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal, NamedTuple

from orchardmap.model.work import StretchSettlement

__all__ = [
    "HELD", "Claim", "HeldStretch", "Run", "Status", "add_run", "held_stretches", "settled_runs", "trees_held",
]  # fmt: skip

Status = Literal["done", "contested", "settled", "reopened"]

HELD: frozenset[Status] = frozenset(("contested", "reopened"))
"""Pruned, and credited to nobody yet: a manager must say to whom."""


class Claim(NamedTuple):
    """A standing mark, as its row needs it."""

    id: str
    first: int
    last: int
    crew_id: str
    content_hash: str


class Run(NamedTuple):
    """Positions of one row, both ends included, that the same can be said of."""

    first: int
    last: int
    crew_id: str | None
    """Credited with it; None while it is held, and when it was settled for nobody."""
    status: Status


@dataclass(frozen=True, slots=True)
class HeldStretch:
    """Positions that wait for a manager, with all that claim them."""

    first: int
    last: int
    status: Status
    claims: tuple[Claim, ...]
    """By id."""
    settlements: tuple[StretchSettlement, ...]
    """Those that cover it, in order."""


def settled_runs(
    claims: Collection[Claim], settlements: Collection[StretchSettlement], *, positions: int
) -> tuple[Run, ...]:
    """Return the runs of one row, in order, each as long as it can be.

    Parameters
    ----------
    claims : collection of Claim
        The row's standing marks, in any order.
    settlements : collection of StretchSettlement
        Those of the row, in any order.
    positions : int
        Tree spaces of the row; what lies beyond is cut off, not forgotten.

    Returns
    -------
    tuple of Run
        Together they hold each position that a mark covers once.

    Examples
    --------
    Crews A and B both claim 5 and 6; the manager credits B with 6:

    >>> claims = [Claim("1", 1, 6, "A", "a1"), Claim("2", 5, 9, "B", "b2")]
    >>> word = StretchSettlement("s", 1, "", "", 1, 6, 6, "B", frozenset(("a1", "b2")))
    >>> for run in settled_runs(claims, [word], positions=8):
    ...     print(run.first, run.last, run.crew_id, run.status)
    1 4 A done
    5 5 None contested
    6 6 B settled
    7 8 B done
    """
    runs: list[Run] = []
    for first, last, here, words in _pieces(claims, settlements, positions):
        status, crew_id = _judged(here, words)
        add_run(runs, Run(first, last, crew_id, status))
    return tuple(runs)


def add_run(runs: list[Run], run: Run) -> None:
    """Append a run to those of its row that lie before it, or lengthen the last one where it goes on saying the same."""
    before = runs[-1] if runs else None
    if before and (before.last + 1, *before[2:]) == (run.first, *run[2:]):
        runs[-1] = before._replace(last=run.last)
    else:
        runs.append(run)


def trees_held(runs: Collection[Run], not_trees: Collection[int]) -> int:
    """Return how many trees of a row wait for a manager; ``not_trees`` are its blanks and pollinizers."""
    return sum(
        run.last - run.first + 1 - sum(run.first <= position <= run.last for position in not_trees)
        for run in runs
        if run.status in HELD
    )


def held_stretches(
    claims: Collection[Claim], settlements: Collection[StretchSettlement], *, positions: int
) -> list[HeldStretch]:
    """Return what of a row waits for a manager, cut wherever the marks or the settlement change that speak of it.

    Parameters
    ----------
    claims, settlements, positions
        As for `settled_runs`.

    Returns
    -------
    list of HeldStretch
        In order.
    """
    found = []
    for first, last, here, words in _pieces(claims, settlements, positions):
        status, _ = _judged(here, words)
        if status in HELD:
            in_order = sorted(words, key=lambda one: (one.number, one.id))
            found.append(HeldStretch(first, last, status, tuple(sorted(here)), tuple(in_order)))
    return found


def _pieces(
    claims: Collection[Claim], settlements: Collection[StretchSettlement], positions: int
) -> Iterator[tuple[int, int, list[Claim], list[StretchSettlement]]]:
    """Cut the row where a mark or a settlement begins or ends; yield each piece that a mark covers, with who says what."""
    spans: list[tuple[int, int]] = [(one.first, one.last) for one in claims]
    spans += [(one.first, one.last) for one in settlements]
    edges = {at for first, last in spans for at in (first, last + 1) if 1 <= at <= positions}
    for first, after in pairwise([*sorted(edges | {1}), positions + 1]):
        here = [one for one in claims if one.first <= first <= one.last]
        if here and first < after:
            yield first, after - 1, here, [one for one in settlements if one.first <= first <= one.last]


def _judged(
    claims: Collection[Claim], settlements: Collection[StretchSettlement]
) -> tuple[Status, str | None]:
    """Say what becomes of positions that all these marks and settlements cover."""
    crews = {one.crew_id for one in claims}
    if not settlements:
        return ("done", crews.pop()) if len(crews) == 1 else ("contested", None)
    last = max((one.number, one.id) for one in settlements)
    words = {
        (one.first, one.last, one.credited_crew_id, one.seen): one
        for one in settlements
        if (one.number, one.id) == last
    }
    (word, *contradictions) = words.values()
    # a mark that the manager has not seen, or saw with another content, opens the matter again: it must not vanish behind an earlier word;
    # and one settlement that says two things (the store takes none such) says nothing
    if contradictions or not all(word.saw(one.id, one.content_hash) for one in claims):
        return "reopened", None
    return "settled", word.credited_crew_id
