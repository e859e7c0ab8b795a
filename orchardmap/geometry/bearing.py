"""Suggestions for the bearing of rows, and how far they can be trusted.

A bearing cannot be guessed safely from an outline: numbers and codes only, the words are the edge's.
"""

from dataclasses import dataclass
from typing import Literal, NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from orchardmap.errors import InputError, OutlineError
from orchardmap.geometry.frame import local_xy_m, origin_lonlat
from orchardmap.units import M2_PER_HA

__all__ = ["BearingSuggestion", "BearingSuggestions", "bearing_suggestions", "textbook_trees_per_ha"]

Code = Literal["longest_edge", "across_longest_edge", "minimum_rectangle", "principal_axis"]

_TOLERANCE_M = 1.0  # drawn sides have vertices along them that do not turn
_AGREEING_DEG = 10.0
_ROUND_ISH = 1.2  # below this ratio of its two spreads a shape has no long axis to speak of


class BearingSuggestion(NamedTuple):
    """One way the rows may run; each stands for its opposite too."""

    code: Code
    bearing_deg: float
    """0 <= bearing < 180, from true north, clockwise."""


@dataclass(frozen=True, slots=True)
class BearingSuggestions:
    """What an outline says about the bearing of its rows."""

    suggestions: tuple[BearingSuggestion, ...]
    """The longest edge first, then its perpendicular, the minimum rectangle, the principal axis."""
    spread_deg: float
    """Largest difference between longest edge, minimum rectangle and principal axis, 0 ... 90."""
    disagree: bool
    """They differ by more than 10 degrees, or the shape is too round to have an axis. Even where
    they agree rows may run across: ask for two points along a row."""


def bearing_suggestions(outline: Polygon | MultiPolygon) -> BearingSuggestions:
    """Return bearings that rows may have, by the outline alone.

    Parameters
    ----------
    outline : Polygon or MultiPolygon, degrees
        EPSG:4326; of several parts the largest is looked at.

    Returns
    -------
    BearingSuggestions
        Bearings in degrees, 0 <= bearing < 180, with a flag where they disagree.

    Raises
    ------
    OutlineError
        If the outline has no area.

    Examples
    --------
    >>> outline = Polygon([(11.0, 45.0), (11.001, 45.0), (11.001, 45.004), (11.0, 45.004)])
    >>> found = bearing_suggestions(outline)
    >>> [(one.code, round(one.bearing_deg) % 180) for one in found.suggestions[:2]], found.disagree
    ([('longest_edge', 0), ('across_longest_edge', 90)], False)
    """
    parts = shapely.get_parts(outline)
    if not len(parts) or outline.is_empty or outline.area == 0.0:
        raise OutlineError("It has no area.", where="outline")
    part = max(parts.tolist(), key=lambda polygon: polygon.area)
    lonlat = shapely.get_coordinates(part.exterior)
    ring = Polygon(local_xy_m(lonlat, origin_lonlat(lonlat)))
    simple = shapely.simplify(ring, _TOLERANCE_M)
    longest = _longest_edge_deg(simple if simple.area > 0.0 else ring)
    rectangle = _longest_edge_deg(ring.minimum_rotated_rectangle)
    principal, roundness = _principal_axis(ring)
    spread = max(
        _turn_deg(longest, rectangle), _turn_deg(longest, principal), _turn_deg(rectangle, principal)
    )
    return BearingSuggestions(
        suggestions=(
            BearingSuggestion("longest_edge", longest),
            BearingSuggestion("across_longest_edge", (longest + 90.0) % 180.0),
            BearingSuggestion("minimum_rectangle", rectangle),
            BearingSuggestion("principal_axis", principal),
        ),
        spread_deg=spread,
        disagree=spread > _AGREEING_DEG or roundness < _ROUND_ISH,
    )


def textbook_trees_per_ha(row_spacing_m: float, tree_spacing_m: float) -> float:
    """Return the textbook number of trees in a hectare: area over spacing times spacing.

    Parameters
    ----------
    row_spacing_m, tree_spacing_m : float, metres
        Row spacing and in-row spacing, > 0.

    Returns
    -------
    float
        Trees per hectare. It leaves out headlands and edges: 6 to 15 % too many where there are headlands.

    Raises
    ------
    InputError
        If a spacing is not over 0.

    Examples
    --------
    >>> textbook_trees_per_ha(4.0, 1.0)
    2500.0
    """
    if not (row_spacing_m > 0.0 and tree_spacing_m > 0.0):
        raise InputError("Both spacings must be over 0 m.")
    return M2_PER_HA / (row_spacing_m * tree_spacing_m)


def _longest_edge_deg(polygon: BaseGeometry) -> float:
    steps = np.diff(shapely.get_coordinates(polygon), axis=0)
    return _axis_deg(steps[np.argmax(np.hypot(steps[:, 0], steps[:, 1]))])


def _principal_axis(polygon: Polygon) -> tuple[float, float]:
    # the axis of least inertia of the area, and the ratio of the spreads along and across it
    xy = shapely.get_coordinates(polygon) - shapely.get_coordinates(polygon.centroid)
    (x0, y0), (x1, y1) = xy[:-1].T, xy[1:].T
    cross = x0 * y1 - x1 * y0
    # second moments of area by Green's theorem, signs by the ring's own sense
    sense = np.sign(cross.sum())
    xx = sense * (cross * (x0 * x0 + x0 * x1 + x1 * x1)).sum() / 12.0
    yy = sense * (cross * (y0 * y0 + y0 * y1 + y1 * y1)).sum() / 12.0
    both = sense * (cross * (x0 * y1 + 2.0 * x0 * y0 + 2.0 * x1 * y1 + x1 * y0)).sum() / 24.0
    values, vectors = np.linalg.eigh(np.array([[xx, both], [both, yy]]))
    across, along = np.sqrt(np.maximum(values, 0.0))
    return _axis_deg(vectors[:, 1]), float(along / across) if across > 0.0 else float("inf")


def _axis_deg(step: NDArray[np.float64]) -> float:
    return float(np.degrees(np.arctan2(step[0], step[1])) % 180.0)


def _turn_deg(one_deg: float, other_deg: float) -> float:
    turn = abs(one_deg - other_deg) % 180.0
    return min(turn, 180.0 - turn)
