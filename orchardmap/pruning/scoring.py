"""Does a tree meet a point, and its brief? What was found against the limits of the points.

The same rules stand in TypeScript (``web/src/core/check-scoring.ts``); both are held to ``tests/vectors/checks``.
"""

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator

from orchardmap.errors import RecordError
from orchardmap.model.brief import BriefContent, Point, PointClass
from orchardmap.model.check import Finding, TreeVerdict

__all__ = ["failed_points", "judged_points", "point_met", "tree_verdict"]


def point_met(point: Point, finding: float | bool) -> bool:
    """Return whether a finding meets a point.

    Parameters
    ----------
    point : Point
    finding : bool or float, in the point's unit
        Yes or no for a ``yes_no`` point, else the number found on the tree; unitless for a ratio.

    Returns
    -------
    bool
        Limits are inclusive: a limb of exactly half the trunk is not thicker than half.

    Raises
    ------
    RecordError
        If a yes or no is given for a number, a number for a yes or no, or the number is not finite.

    Examples
    --------
    >>> from orchardmap.pruning.general_points import general_points
    >>> limbs = next(point for point in general_points() if point.key == "limb-count")
    >>> point_met(limbs, 22), point_met(limbs, 23)
    (True, False)
    """
    if point.kind == "yes_no":
        if not isinstance(finding, bool):
            raise RecordError(f"It is {finding!r}; it must be yes or no.", where=point.key)
        return finding
    if isinstance(finding, bool) or not -math.inf < finding < math.inf:
        raise RecordError(f"It is {finding!r}; it must be a number.", where=point.key)
    is_enough = point.low is None or finding >= point.low
    return is_enough and (point.high is None or finding <= point.high)


def judged_points(content: BriefContent, findings: Iterable[Finding]) -> tuple[str, ...]:
    """Return the keys of the checked points that something was found for, in the brief's order.

    Parameters
    ----------
    content : BriefContent
        Of the version that the tree was judged by.
    findings : iterable of Finding
        In any order. A key that the brief does not know, a point that is not checked, and a finding that cannot be
        one of its point (a number for yes or no, say) are passed over.

    Returns
    -------
    tuple of str
    """
    return tuple(point.key for point, _ in _judged(content, findings))


def failed_points(content: BriefContent, findings: Iterable[Finding]) -> tuple[str, ...]:
    """Return the keys of the checked points that the tree does not meet, in the brief's order.

    Parameters
    ----------
    content : BriefContent
        Of the version that the tree was judged by.
    findings : iterable of Finding
        As for `judged_points`; a point that is told twice is met only if both findings meet it.

    Returns
    -------
    tuple of str
    """
    return tuple(point.key for point, is_met in _judged(content, findings) if not is_met)


def tree_verdict(content: BriefContent, findings: Iterable[Finding]) -> TreeVerdict:
    """Return the verdict on a tree: faulty by any critical or major point, minor by minor ones alone.

    Parameters
    ----------
    content : BriefContent
        Of the version that the tree was judged by.
    findings : iterable of Finding
        As for `judged_points`.

    Returns
    -------
    {"meets", "minor", "faulty"}

    Examples
    --------
    >>> from orchardmap.pruning.general_points import general_points
    >>> brief = BriefContent("spur_uncut", False, tuple(general_points()), ())
    >>> tree_verdict(brief, [("limb-count", 22)]), tree_verdict(brief, [("limb-count", 23)])
    ('meets', 'faulty')
    """
    missed: set[PointClass] = {
        point.point_class for point, is_met in _judged(content, findings) if not is_met
    }
    if missed & {"critical", "major"}:
        return "faulty"
    return "minor" if missed else "meets"


def _judged(content: BriefContent, findings: Iterable[Finding]) -> Iterator[tuple[Point, bool]]:
    """Yield each checked point that something was found for, and whether all of that meets it."""
    of_key: dict[str, list[float | bool]] = defaultdict(list)
    for key, found in findings:
        of_key[key].append(found)
    for point in content.points:
        told = [found for found in of_key.get(point.key, ()) if _can_be_of(point, found)]
        if point.is_checked and told:
            yield point, all(point_met(point, found) for found in told)


def _can_be_of(point: Point, found: float | bool) -> bool:
    return isinstance(found, bool) == (point.kind == "yes_no") and math.isfinite(found)
