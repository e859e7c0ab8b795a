"""What changed from one version of a brief to the next, as data."""

from bisect import bisect_left
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from orchardmap.model.brief import BriefContent, BudTarget, Point

__all__ = ["Difference", "DifferenceKind", "differences"]

DifferenceKind = Literal["point_added", "point_removed", "point_moved", "point_changed", "brief_changed"]
DifferenceValue = str | float | bool | tuple[str, ...] | Point | BudTarget | None

_POINT_PARTS = ("kind", "low", "high", "unit", "point_class", "is_checked", "picture", "source")
_BRIEF_PARTS = ("habit", "is_heavy_setter", "cautions", "bud_target")


@dataclass(frozen=True, slots=True)
class Difference:
    """One change. What an old version lacks, or a new one, is None there."""

    kind: DifferenceKind
    point_key: str = ""
    """Empty for a change of the whole brief."""
    part: str = ""
    """Name of the field that changed, for ``point_changed`` and ``brief_changed``."""
    language: str = ""
    """Of a sentence or a note."""
    old: DifferenceValue = None
    new: DifferenceValue = None
    """The field's values; the point itself if it came or went; its number from 1 if it moved."""


def differences(old: BriefContent, new: BriefContent) -> tuple[Difference, ...]:
    """Return what changed from one content to another.

    Parameters
    ----------
    old, new : BriefContent
        Each with unique point keys, as published ones are. A key names a point for good.

    Returns
    -------
    tuple of Difference
        The brief's own changes; points that went; then the new points in their order, with what changed of each.
        Empty if and only if the two are equal.

    Notes
    -----
    As few points as possible are said to have moved: those outside a longest common order (longest increasing
    subsequence, C. Schensted 1961). A point that only made room for others has not moved.

    Examples
    --------
    >>> from dataclasses import replace
    >>> from orchardmap.pruning.habits import ready_made
    >>> old = ready_made("spur_uncut")
    >>> new = replace(old, points=(replace(old.points[0], low=1.0), *old.points[1:]))
    >>> [(change.point_key, change.part, change.new) for change in differences(old, new)]
    [('dead-wood', 'low', 1.0)]
    """
    before = {point.key: point for point in old.points}
    after = {point.key: point for point in new.points}
    found = list(_brief_changes(old, new))
    found += [
        Difference("point_removed", key, old=point) for key, point in before.items() if key not in after
    ]
    old_numbers = {key: number for number, key in enumerate(before, 1)}
    moved = _moved([key for key in after if key in before], old_numbers)
    for number, (key, point) in enumerate(after.items(), 1):
        if key not in before:
            found.append(Difference("point_added", key, old=None, new=point))
            continue
        if key in moved:
            found.append(Difference("point_moved", key, old=old_numbers[key], new=number))
        found += _point_changes(before[key], point)
    return tuple(found)


def _brief_changes(old: BriefContent, new: BriefContent) -> Iterator[Difference]:
    for part in _BRIEF_PARTS:
        was, now = getattr(old, part), getattr(new, part)
        if was != now:
            yield Difference("brief_changed", part=part, old=was, new=now)
    for language, was, now in _text_changes(old.notes, new.notes):
        yield Difference("brief_changed", part="notes", language=language, old=was, new=now)


def _point_changes(old: Point, new: Point) -> Iterator[Difference]:
    for part in _POINT_PARTS:
        was, now = getattr(old, part), getattr(new, part)
        if was != now:
            yield Difference("point_changed", new.key, part, old=was, new=now)
    for language, was, now in _text_changes(old.sentences, new.sentences):
        yield Difference("point_changed", new.key, "sentences", language, was, now)


def _text_changes(
    old: Mapping[str, str], new: Mapping[str, str]
) -> Iterator[tuple[str, str | None, str | None]]:
    for language in dict.fromkeys((*old, *new)):
        was, now = old.get(language), new.get(language)
        if was != now:
            yield language, was, now


def _moved(keys: Sequence[str], old_numbers: Mapping[str, int]) -> frozenset[str]:
    # patience sorting: ends[n] is the least old number that ends an increasing run of n + 1 keys
    ends: list[int] = []
    lengths = []
    for key in keys:
        at = bisect_left(ends, old_numbers[key])
        ends[at : at + 1] = [old_numbers[key]]
        lengths.append(at)
    wanted, stayed = len(ends) - 1, set()
    for key, length in zip(reversed(keys), reversed(lengths), strict=True):
        if length == wanted:
            stayed.add(key)
            wanted -= 1
    return frozenset(keys) - stayed
