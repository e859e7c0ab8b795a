"""Signs that mean the same in every picture: cut here, do not cut, right, wrong, then, how far."""

import math

from orchardmap.pruning.pictures.drawing import BLACK, WHITE, Point, line, number, placed, shape
from orchardmap.pruning.pictures.wood import Stem

__all__ = ["cut", "cut_at", "distance", "do_not_cut", "pointing", "right", "then", "wrong"]

_HANDLES = (
    '<circle cx="-3.1" cy="10.4" r="2.5" fill="#fff" stroke="#000" stroke-width="1.6"/>'
    '<circle cx="3.1" cy="10.4" r="2.5" fill="#fff" stroke="#000" stroke-width="1.6"/>'
)


def cut(at: Point, heading_deg: float, length: float, *, with_shears: bool = True) -> str:
    """Return the cut bar: a bold bar across the wood, the blades of a pair of shears.

    Parameters
    ----------
    at : Point, units
        The middle of the cut.
    heading_deg : float
        Where the blades point to.
    length : float, units
        How long the bar is.
    with_shears : bool
        False for the bar alone, where several cuts stand close.

    Returns
    -------
    str
        SVG elements.
    """
    half = length / 2
    bar = f"M0,{number(half)} V{number(-half)}"
    blades = line(bar, 6, colour=WHITE) + line(bar, 3.4)
    if with_shears:
        arms = line("M-1.6,0 L2,8 M1.6,0 L-2,8", 1.8) + _HANDLES
        blades += placed(arms, (0, half - 0.5))
    return placed(blades, at, heading_deg)


def cut_at(stem: Stem, share: float, *, side: int = 1, with_shears: bool = True) -> str:
    """Return the cut bar straight across a stem, its handles on the right (1) or the left (-1) of growth."""
    length = stem.width(share) + 9
    return cut(stem.at(share), stem.heading_deg(share) - 90 * side, length, with_shears=with_shears)


def do_not_cut(at: Point, wood: Point) -> str:
    """Return open shears in a barred ring, with an arrow to the wood that is not cut."""
    shears = line("M-4.6,-10.5 L2.6,3.4 M4.6,-10.5 L-2.6,3.4", 2.6) + "".join(
        f'<circle cx="{x}" cy="6.6" r="3" stroke="{BLACK}" stroke-width="1.8"/>' for x in (-4.2, 4.2)
    )
    slash = "M-9.9,-9.9 L9.9,9.9"
    bar = line(slash, 5.4, colour=WHITE) + line(slash, 2.8)
    ring = f'<circle r="14" stroke="{BLACK}" stroke-width="2.8"/>'
    inside = f'<circle r="14" fill="{WHITE}"/>' + placed(shears, (0, 0), 45) + bar + ring
    return pointing(at, wood) + placed(inside, at)


def right(at: Point) -> str:
    """Return a tick: so it is right."""
    return placed(line("M-7,0 L-2,6 L8,-7", 3.4), at)


def wrong(at: Point) -> str:
    """Return a cross: so it is wrong."""
    return placed(line("M-6,-6 L6,6 M-6,6 L6,-6", 3.4), at)


def then(at: Point, heading_deg: float) -> str:
    """Return the arrow from one scene to the next."""
    return placed(line("M0,5 V-2", 3) + shape("M-5,-1 L0,-7 L5,-1Z", width=1), at, heading_deg)


def distance(start: Point, end: Point) -> str:
    """Return a line with a head at each end between two points."""
    return pointing(start, end) + pointing(end, start)


def pointing(start: Point, end: Point) -> str:
    """Return an arrow from one point to another."""
    (x0, y0), (x1, y1) = start, end
    heading = math.degrees(math.atan2(x1 - x0, y0 - y1))
    shaft = line(f"M{number(x0)},{number(y0)} L{number(x1)},{number(y1)}", 1.2)
    return shaft + placed(shape("M0,0 L-2,4.5 L2,4.5Z"), end, heading)
