"""Who is credited with which trees: from the marks that stand to trees per crew, day, row and method, each tree once a round.

A pure function of the *sets* of marks and settlements. The first pruning is one round, and each return is one of its own.
"""

from collections import Counter, defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace
from datetime import date
from itertools import pairwise

from orchardmap.errors import InputError
from orchardmap.model.people import Method
from orchardmap.model.work import StretchSettlement
from orchardmap.work.settling import HELD, Claim, Run, settled_runs

__all__ = ["Credit", "CreditedTrees", "HeldTrees", "PayMark", "PayRow", "credited_trees"]

Place = tuple[str, int]
"""Block id, row number."""


@dataclass(frozen=True, slots=True)
class PayMark:
    """A mark that stands, as pay needs it."""

    id: str
    crew_id: str
    day: date
    """Worked on, in the farm's own time zone."""
    block_id: str
    row: int
    first: int
    last: int
    method: Method | None = None
    content_hash: str = ""
    """By which a settlement may name it, as may its id."""
    return_id: str | None = None
    """The return that it answers; cut to what that one asks for before it comes here."""


@dataclass(frozen=True, slots=True)
class PayRow:
    """A row, as pay needs it."""

    block_id: str
    number: int
    positions: int
    variety: str | None = None
    not_paid: frozenset[int] = frozenset()
    """Positions of blanks and pollinizers."""


@dataclass(frozen=True, slots=True)
class Credit:
    """Trees of one crew, day, row and method in one round."""

    crew_id: str
    day: date
    trees: int
    variety: str | None = None
    method: Method | None = None
    block_id: str = ""
    row: int = 0
    """0 where only the number of trees is known, not which."""
    return_id: str | None = None
    """None for the first pruning."""

    def __post_init__(self) -> None:
        if self.trees < 0:
            raise InputError(f"It is {self.trees}.", where="trees", todo="Give 0 or more.")


@dataclass(frozen=True, slots=True)
class HeldTrees:
    """Trees that two crews claim, or more: paid to nobody until a manager settles them."""

    block_id: str
    row: int
    first: int
    last: int
    trees: int
    """Without blanks and pollinizers; never 0."""
    crew_ids: tuple[str, ...]
    days: tuple[date, ...]
    return_id: str | None = None


@dataclass(frozen=True, slots=True)
class CreditedTrees:
    """What marks come to. Each tree of a round is in exactly one of the three."""

    credits: tuple[Credit, ...] = ()
    held: tuple[HeldTrees, ...] = ()
    for_nobody: tuple[Credit, ...] = ()
    """Settled for no crew: pruned and never paid. ``crew_id`` is empty, the day is the earliest one claimed."""

    @property
    def done(self) -> int:
        """Trees pruned, each once a round."""
        counted = sum(one.trees for one in (*self.credits, *self.for_nobody))
        return counted + sum(one.trees for one in self.held)

    def within(self, first: date, last: date) -> "CreditedTrees":
        """Return what falls on some days, both included; held trees as long as one of their days does."""
        return CreditedTrees(
            tuple(one for one in self.credits if first <= one.day <= last),
            tuple(one for one in self.held if any(first <= day <= last for day in one.days)),
            tuple(one for one in self.for_nobody if first <= one.day <= last),
        )


def credited_trees(
    marks: Collection[PayMark],
    rows: Iterable[PayRow],
    settlements: Iterable[StretchSettlement] = (),
) -> CreditedTrees:
    """Return who is credited with which trees.

    Parameters
    ----------
    marks : collection of PayMark
        All of the season that stand, not of a pay period only, in any order; repeats change nothing.
    rows : iterable of PayRow
        Marks elsewhere reach nothing; positions beyond a row's end are cut off.
    settlements : iterable of StretchSettlement
        A manager's words, which speak of the first round.

    Returns
    -------
    CreditedTrees
        In the order of day, crew, block, row.

    Notes
    -----
    A tree that one crew marked on several days belongs to the first of them: it is paid when it was pruned, and marking it
    anew pays nothing. Of two marks of one day the one with the lower id says by which method. A tree settled for a crew without a
    mark of its own there belongs to the earliest day that anybody claims.

    Examples
    --------
    A marks 1 to 6 on Monday and again on Tuesday; B says it pruned 6 to 9. The fourth position is a blank:

    >>> from datetime import timedelta
    >>> monday = date(2026, 1, 12)
    >>> tuesday = monday + timedelta(days=1)
    >>> marks = [PayMark("1", "A", monday, "H1", 1, 1, 6), PayMark("2", "A", tuesday, "H1", 1, 1, 6),
    ...          PayMark("3", "B", tuesday, "H1", 1, 6, 9)]
    >>> found = credited_trees(marks, [PayRow("H1", 1, 20, not_paid=frozenset({4}))])
    >>> [(one.crew_id, one.day == monday, one.trees) for one in found.credits], found.held[0].trees, found.done
    ([('A', True, 4), ('B', False, 3)], 1, 8)
    """
    found = _Found()
    words: dict[Place, list[StretchSettlement]] = defaultdict(list)
    for word in settlements:
        words[word.block_id, word.row].append(word)
    claims: dict[Place, dict[str | None, list[PayMark]]] = defaultdict(lambda: defaultdict(list))
    for mark in marks:
        claims[mark.block_id, mark.row][mark.return_id].append(mark)
    for row in rows:
        place = (row.block_id, row.number)
        for return_id, claimed in claims.get(place, {}).items():
            found.add(row, claimed, words.get(place, []) if return_id is None else [])
    return found.in_order()


class _Found:
    """What has been found of the rows so far."""

    def __init__(self) -> None:
        self.credits: Counter[Credit] = Counter()
        self.held: list[HeldTrees] = []

    def add(self, row: PayRow, marks: list[PayMark], words: list[StretchSettlement]) -> None:
        """Add one round of a row."""
        by_age = sorted(marks, key=lambda one: (one.day, one.id, one.content_hash))
        claims = [Claim(one.id, one.first, one.last, one.crew_id, one.content_hash) for one in by_age]
        for run in settled_runs(claims, words, positions=row.positions):
            if run.status in HELD:
                self._hold(row, run, by_age)
            else:
                self._credit(row, run, by_age)

    def _hold(self, row: PayRow, run: Run, marks: list[PayMark]) -> None:
        trees = _trees(row, run.first, run.last)
        if trees:
            here = [one for one in marks if one.first <= run.last and run.first <= one.last]
            crews, days = sorted({one.crew_id for one in here}), sorted({one.day for one in here})
            place = (row.block_id, row.number, run.first, run.last)
            self.held.append(HeldTrees(*place, trees, tuple(crews), tuple(days), here[0].return_id))

    def _credit(self, row: PayRow, run: Run, marks: list[PayMark]) -> None:
        """Give each position of a run to the day and method of the oldest mark that speaks of it."""
        inside = [one for one in marks if one.first <= run.last and run.first <= one.last]
        edges = {at for one in inside for at in (one.first, one.last + 1) if run.first < at <= run.last}
        for first, after in pairwise([run.first, *sorted(edges), run.last + 1]):
            here = [one for one in inside if one.first <= first <= one.last]
            # a crew may be credited with what only others marked: then theirs is all that is known of the day
            oldest = next((one for one in here if one.crew_id == run.crew_id), here[0])
            key = Credit(
                run.crew_id or "", oldest.day, 0, row.variety, oldest.method, row.block_id, row.number, oldest.return_id
            )  # fmt: skip
            self.credits[key] += _trees(row, first, after - 1)

    def in_order(self) -> CreditedTrees:
        counted = [replace(key, trees=trees) for key, trees in self.credits.items() if trees]
        counted.sort(key=_order)
        self.held.sort(key=lambda one: (one.block_id, one.row, one.first, one.return_id or ""))
        return CreditedTrees(
            tuple(one for one in counted if one.crew_id),
            tuple(self.held),
            tuple(one for one in counted if not one.crew_id),
        )


def _trees(row: PayRow, first: int, last: int) -> int:
    return last - first + 1 - sum(first <= position <= last for position in row.not_paid)


def _order(one: Credit) -> tuple[object, ...]:
    return (
        one.day,
        one.crew_id,
        one.block_id,
        one.row,
        one.variety or "",
        one.method or "",
        one.return_id or "",
    )
