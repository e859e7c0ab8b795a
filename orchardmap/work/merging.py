"""The merge model: four sets of records that only grow, and what follows from them.

Merging is the union of sets, so order, repeats and the way an upload was cut can change nothing. The
store answers the same questions by SQL; tests hold the two to each other.
"""

from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass
from typing import TypeVar

from orchardmap.model.work import RecordSettlement, StretchSettlement
from orchardmap.work.settling import HELD, Claim, Run, settled_runs
from orchardmap.work.speaking import judged_by_senders

__all__ = [
    "CAN_COUNT",
    "MarkVersion",
    "Records",
    "RowView",
    "WithdrawalVersion",
    "counting",
    "standing",
    "view",
]

CAN_COUNT: frozenset[str] = frozenset((
    "season_closed",
    "before_season",
    "later_than_today",
    "block_closed",
    "other_ground",
    "beyond_row_end",
    "other_crew",
    "device_revoked",
    "unknown_person",
    "other_content",
))
"""Reasons for which a manager may let a record that was set aside count after all. The others name nothing to count it for."""

Version = TypeVar("Version", "MarkVersion", "WithdrawalVersion")
Place = tuple[str, int]
"""Block id, row number."""


@dataclass(frozen=True, slots=True)
class MarkVersion:
    """One content of a mark, as a sender of one scope handed it in."""

    id: str
    content_hash: str
    place: Place
    first: int
    last: int
    crew_id: str
    reason: str | None = None
    """Why this content by itself is set aside; None when it fits."""
    for_crew_id: str | None = None
    """The crew that its sender may speak for; None speaks for any. Handed in again from elsewhere it is one more element."""


@dataclass(frozen=True, slots=True)
class WithdrawalVersion:
    """One content of a withdrawal, as a sender of one scope handed it in."""

    id: str
    content_hash: str
    mark_id: str
    for_crew_id: str | None = None
    """The crew that its sender may speak for; None speaks for any."""
    reason: str | None = None


@dataclass(frozen=True, slots=True)
class Records:
    """Everything recorded of one season."""

    marks: frozenset[MarkVersion] = frozenset()
    withdrawals: frozenset[WithdrawalVersion] = frozenset()
    settlements: frozenset[StretchSettlement] = frozenset()
    record_settlements: frozenset[RecordSettlement] = frozenset()

    def merged(self, other: "Records") -> "Records":
        """Return all that either side knows."""
        return Records(
            self.marks | other.marks,
            self.withdrawals | other.withdrawals,
            self.settlements | other.settlements,
            self.record_settlements | other.record_settlements,
        )


@dataclass(frozen=True, slots=True)
class RowView:
    """One row: its runs and their worth in positions."""

    runs: tuple[Run, ...]
    credited: Mapping[str | None, int]
    """Crew id -> positions; under None what was settled for nobody."""
    held: int

    @property
    def done(self) -> int:
        """Positions pruned, each counted once."""
        return sum(self.credited.values()) + self.held


def counting(versions: Mapping[str, str | None], settlements: Iterable[RecordSettlement]) -> str | None:
    """Return the content hash of the version of a record that counts, or None if none does.

    Parameters
    ----------
    versions : mapping of str to str or None
        Content hash -> why that version by itself is set aside, or None.
    settlements : iterable of RecordSettlement
        Of this record, in any order.

    Returns
    -------
    str or None

    Examples
    --------
    Twice the same id with other content counts only once a manager has seen both and named one:

    >>> word = RecordSettlement("s", 1, "mark", "m", "a", frozenset(("a", "b")))
    >>> counting({"a": None}, []), counting({"a": None, "b": None}, []), counting({"a": None, "b": None}, [word])
    ('a', None, 'a')
    >>> counting({"a": None, "b": None, "c": None}, [word]) is None
    True

    And a word given for one reason says nothing of another:

    >>> word = RecordSettlement("s", 1, "mark", "m", "a", frozenset("a"), reason="other_crew")
    >>> counting({"a": "other_crew"}, [word]), counting({"a": "block_closed"}, [word])
    ('a', None)
    """
    if len(versions) == 1:
        ((only, reason),) = versions.items()
        if reason is None:
            return only
    found = list(settlements)
    last = max(((one.number, one.id) for one in found), default=None)
    words = {(one.content_hash, one.seen, one.reason) for one in found if (one.number, one.id) == last}
    if len(words) != 1:
        return None
    ((named, seen, given_for),) = words
    if named is None or named not in versions or not versions.keys() <= seen:
        return None
    own = versions[named]
    if given_for not in {None, own if len(versions) == 1 else "other_content"}:
        return None
    return named if own is None or own in CAN_COUNT else None


def standing(records: Records) -> set[MarkVersion]:
    """Return the marks that count and are not taken back.

    Parameters
    ----------
    records : Records
        In any state of completeness.

    Returns
    -------
    set of MarkVersion

    Notes
    -----
    A mark counts once one of its senders may speak for its crew; a withdrawal holds once its senders may speak for every crew
    that its mark is known under, or a manager says so. That is asked of the whole set and not on arrival, because the
    mark, or a sender who may, can come later.
    """
    words: dict[tuple[str, str], list[RecordSettlement]] = defaultdict(list)
    for word in records.record_settlements:
        words[word.record_kind, word.record_id].append(word)
    crews: dict[str, set[str]] = defaultdict(set)
    for mark in records.marks:
        crews[mark.id].add(mark.crew_id)
    back = _counting_of(records.withdrawals, "withdrawal", words, lambda one: crews[one.mark_id])
    taken_back = {withdrawal.mark_id for withdrawal in back}
    marks = _counting_of(records.marks, "mark", words, lambda one: {one.crew_id})
    return {mark for mark in marks if mark.id not in taken_back}


def _counting_of(
    found: Collection[Version],
    kind: str,
    words: Mapping[tuple[str, str], list[RecordSettlement]],
    crews_of: Callable[[Version], set[str]],
) -> list[Version]:
    """Return the versions that count, each as one sender handed it in, the same one whatever the order."""
    versions: dict[str, dict[str, list[Version]]] = defaultdict(lambda: defaultdict(list))
    for one in found:
        versions[one.id][one.content_hash].append(one)
    counted = []
    for record_id, of in versions.items():
        reasons = {
            key: judged_by_senders(same[0].reason, {one.for_crew_id for one in same}, crews_of(same[0]))
            for key, same in of.items()
        }
        named = counting(reasons, words.get((kind, record_id), []))
        if named is not None:
            counted.append(min(of[named], key=lambda one: one.for_crew_id or ""))
    return counted


def view(records: Records, positions: Mapping[Place, int]) -> dict[Place, RowView]:
    """Return every row that a standing mark reaches.

    Parameters
    ----------
    records : Records
        Of one season.
    positions : mapping of (block id, row number) to int
        Tree spaces of each row; marks elsewhere reach nothing.

    Returns
    -------
    dict of (block id, row number) to RowView
    """
    claims: dict[Place, list[Claim]] = defaultdict(list)
    for mark in standing(records):
        claims[mark.place].append(Claim(mark.id, mark.first, mark.last, mark.crew_id, mark.content_hash))
    words: dict[Place, list[StretchSettlement]] = defaultdict(list)
    for word in records.settlements:
        words[word.block_id, word.row].append(word)
    views = {}
    for place in sorted(claims.keys() & positions.keys()):
        runs = settled_runs(claims[place], words[place], positions=positions[place])
        if runs:
            views[place] = _worth(runs)
    return views


def _worth(runs: tuple[Run, ...]) -> RowView:
    credited: dict[str | None, int] = defaultdict(int)
    held = 0
    for run in runs:
        if run.status in HELD:
            held += run.last - run.first + 1
        else:
            credited[run.crew_id] += run.last - run.first + 1
    return RowView(runs, dict(credited), held)
