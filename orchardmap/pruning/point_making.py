"""Short ways to write down a point of a ready-made brief."""

from collections.abc import Mapping
from dataclasses import replace

from orchardmap.model.brief import COMMON_PRACTICE, Point, PointClass, PointKind, PointUnit

__all__ = ["measured", "rule", "taught"]


def rule(
    key: str, sentences: Mapping[str, str], point_class: PointClass, *, source: str = COMMON_PRACTICE
) -> Point:
    """Return a checked point that a tree meets or does not.

    Parameters
    ----------
    key : str
        Names the point and its drawing.
    sentences : mapping of str to str
        Language to sentence.
    point_class : PointClass
    source : str
        Where the rule or its number was published.

    Returns
    -------
    Point
    """
    return Point(key, sentences, key, "yes_no", None, None, "", point_class, True, source)


def measured(
    point: Point, kind: PointKind, low: float | None, high: float | None, unit: PointUnit = ""
) -> Point:
    """Return the point as one that a number decides.

    Parameters
    ----------
    point : Point
    kind : PointKind
    low, high : float or None
        Inclusive limits in `unit`.
    unit : PointUnit

    Returns
    -------
    Point
    """
    return replace(point, kind=kind, low=low, high=high, unit=unit)


def taught(point: Point, *, picture: str = "") -> Point:
    """Return the point as one that is taught and never scored.

    Parameters
    ----------
    point : Point
    picture : str
        Name of the drawing, if it is not the point's own.

    Returns
    -------
    Point
    """
    return replace(point, is_checked=False, picture=picture or point.picture)
