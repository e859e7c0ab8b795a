"""What an auditor of the invented farm finds on a tree, point by point."""

from collections.abc import Sequence

import numpy as np

from orchardmap.model.brief import BriefContent, Point
from orchardmap.model.check import Finding, TreeVerdict

__all__ = ["findings_of", "serious_points"]


def serious_points(content: BriefContent) -> list[Point]:
    """Return the checked points that make a tree faulty where it misses one."""
    return [point for point in content.points if point.is_checked and point.point_class != "minor"]


def findings_of(
    content: BriefContent, verdict: TreeVerdict, *, weak: Point | None, rng: np.random.Generator
) -> tuple[Finding, ...]:
    """Return what is found for every checked point of a brief, so that the tree comes out as it was meant to.

    Parameters
    ----------
    content : BriefContent
        Of the version that the tree is judged by.
    verdict : {"meets", "minor", "faulty"}
        What the tree is to come out as; a brief without minor points has no tree with minor faults.
    weak : Point or None
        The point that a faulty tree misses here; one of the serious ones by chance if None.
    rng : Generator
        Decides which point is missed, and the numbers.

    Returns
    -------
    tuple of Finding
        In the order of the brief.
    """
    checked = [point for point in content.points if point.is_checked]
    missed = _missed(checked, verdict, weak, rng)
    return tuple((point.key, _value(point, point is not missed, rng)) for point in checked)


def _missed(
    checked: Sequence[Point], verdict: TreeVerdict, weak: Point | None, rng: np.random.Generator
) -> Point | None:
    if verdict == "meets":
        return None
    if verdict == "faulty" and weak is not None:
        return weak
    of_class = [point for point in checked if (point.point_class == "minor") == (verdict == "minor")]
    return of_class[int(rng.integers(len(of_class)))] if of_class else None


def _value(point: Point, is_met: bool, rng: np.random.Generator) -> float | bool:
    if point.kind == "yes_no":
        return is_met
    low, high = point.low, point.high
    if low is not None and high is not None:
        value = rng.uniform(low, high) if is_met else high + max(1.0, 0.2 * high)
    elif high is not None:
        value = high * (rng.uniform(0.5, 1.0) if is_met else 1.3) + (0.0 if is_met else 1.0)
    else:
        value = (low or 0.0) * (rng.uniform(1.0, 1.4) if is_met else 0.5)
    return float(round(value)) if point.kind == "count" else round(float(value), 2)
