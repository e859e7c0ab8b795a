"""Does a tree meet a point? The finding against the point's limits."""

import math

from orchardmap.errors import RecordError
from orchardmap.model.brief import Point

__all__ = ["point_met"]


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
