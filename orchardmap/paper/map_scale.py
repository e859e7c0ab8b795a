"""Scales for maps on paper: round ones, and a bar that shows one. Lengths on paper in millimetres."""

import math
from dataclasses import dataclass

from orchardmap.errors import InputError

__all__ = ["PAPERS_MM", "Bar", "fitting_scale", "read_paper", "scale_bar", "smallest_scale"]

PAPERS_MM = {"a2": (420.0, 594.0), "a3": (297.0, 420.0), "a4": (210.0, 297.0)}
"""ISO 216, upright."""
_STEPS = (1.0, 1.25, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 7.5, 8.0, 10.0)
_BAR_STEPS = (1.0, 2.0, 5.0, 10.0)
_FINEST = 100


@dataclass(frozen=True, slots=True)
class Bar:
    """A bar of equal parts."""

    parts: int
    part_m: float
    length_mm: float


def fitting_scale(ground_m: tuple[float, float], frame_mm: tuple[float, float]) -> int:
    """Return the denominator of the largest round scale at which ground fits a frame, both (width, height).

    Examples
    --------
    >>> fitting_scale((950.0, 600.0), (400.0, 250.0))
    2500
    """
    return _round_up(max(1000 * one / other for one, other in zip(ground_m, frame_mm, strict=True)))


def smallest_scale(metres: float, at_least_mm: float) -> int:
    """Return the denominator of the smallest round scale at which a length is still that long on paper.

    Examples
    --------
    >>> smallest_scale(4.0, 1.2)
    3000
    """
    limit = 1000 * metres / at_least_mm
    found, scale = _FINEST, _FINEST
    while scale <= limit:
        found, scale = scale, _round_up(scale + 1)
    return found


def _round_up(least: float) -> int:
    least = max(least, _FINEST)
    power = 10 ** math.floor(math.log10(least) + 1e-12)
    # a length that fits exactly must not lose its scale to rounding
    return int(next(step * power for step in _STEPS if step * power >= least * (1 - 1e-9)))


def scale_bar(scale: int, longest_mm: float) -> Bar:
    """Return a bar of a round length in metres, no longer on paper than that.

    Examples
    --------
    >>> scale_bar(2500, 50.0)
    Bar(parts=4, part_m=25.0, length_mm=40.0)
    """
    longest_m = longest_mm * scale / 1000
    power = 10 ** math.floor(math.log10(longest_m))
    whole_m = max(step * power for step in _BAR_STEPS if step * power <= longest_m * (1 + 1e-9))
    parts = 5 if whole_m / power == 5 else 4
    return Bar(parts, whole_m / parts, whole_m * 1000 / scale)


def read_paper(size: str) -> tuple[float, float]:
    """Return width and height of a size of paper, upright.

    Raises
    ------
    InputError
        If no map is made in that size.
    """
    found = PAPERS_MM.get(size.strip().lower())
    if found is None:
        raise InputError(
            "is no size of paper here", where=size[:20], todo=f"Take one of: {', '.join(PAPERS_MM)}."
        )
    return found
