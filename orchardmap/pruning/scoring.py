"""Does a tree meet a point, and its brief? What was found against the limits of the points.

The same rules stand in TypeScript (``web/src/core/check-scoring.ts``); both are held to ``tests/vectors/checks``.
"""

import math
from collections.abc import Iterable
from typing import NamedTuple

from orchardmap.errors import RecordError
from orchardmap.model.brief import BriefContent, Point
from orchardmap.model.check import Finding, TreeVerdict

__all__ = ["TreeScore", "failed_points", "point_met", "tree_score", "tree_verdict"]


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


class TreeScore(NamedTuple):
    """What the findings of one tree come to; points by their keys, in the brief's order."""

    judged: tuple[str, ...]
    """The checked points that something was found for."""
    failed: tuple[str, ...]
    """Those of them that the tree does not meet."""
    verdict: TreeVerdict


def tree_score(content: BriefContent, findings: Iterable[Finding]) -> TreeScore:
    """Return what the findings of a tree come to.

    Parameters
    ----------
    content : BriefContent
        Of the version that the tree was judged by.
    findings : iterable of Finding
        In any order. A key that the brief does not know, a point that is not checked, and a finding that cannot be
        one of its point (a number for yes or no, say) are passed over; a point that is told twice is met only if
        both findings meet it.

    Returns
    -------
    TreeScore
        Faulty by any critical or major point, minor by minor ones alone.
    """
    of_key: dict[str, list[float | bool]] = {}
    for key, found in findings:
        of_key.setdefault(key, []).append(found)
    judged, missed = [], []
    for point in content.points:
        told = [found for found in of_key.get(point.key, ()) if _can_be_of(point, found)]
        if point.is_checked and told:
            judged.append(point.key)
            if not all(point_met(point, found) for found in told):
                missed.append(point)
    is_faulty = any(point.point_class != "minor" for point in missed)
    verdict: TreeVerdict = "faulty" if is_faulty else "minor" if missed else "meets"
    return TreeScore(tuple(judged), tuple(point.key for point in missed), verdict)


def failed_points(content: BriefContent, findings: Iterable[Finding]) -> tuple[str, ...]:
    """Return the keys of the checked points that a tree does not meet, in the brief's order (see `tree_score`)."""
    return tree_score(content, findings).failed


def tree_verdict(content: BriefContent, findings: Iterable[Finding]) -> TreeVerdict:
    """Return the verdict on a tree by its findings (see `tree_score`).

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
    return tree_score(content, findings).verdict


def _can_be_of(point: Point, found: float | bool) -> bool:
    return isinstance(found, bool) == (point.kind == "yes_no") and math.isfinite(found)
