"""What grows on wood: buds, leaves, apples; and the sun.

A fruit bud is fat and round and sits on a short stalk; a leaf bud is thin and pointed and leans to the
shoot. On wood that goes they are hollow.
"""

from orchardmap.pruning.pictures.drawing import BLACK, WHITE, Point, line, number, placed, shape, towards
from orchardmap.pruning.pictures.wood import Stem, gone, kept

__all__ = ["apple", "fruit_bud", "leaf", "leaf_bud", "spur", "sun", "tip_fruit_bud"]

_FRUIT_BUD = "M0,-1.4 C-5.4,-1.6 -4.8,-6.8 0,-9 C4.8,-6.8 5.4,-1.6 0,-1.4Z"
_SCALE = "M-2.8,-3 Q0.8,-4.4 0,-8"
_LEAF_BUD = "M-1.3,0 L0,-5.5 L1.3,0Z"
_LEAF = "M0,0 C-4.6,-3 -4,-8 0,-12 C4,-8 4.6,-3 0,0Z"
_APPLE = "M0,2.2 C2.5,0.6 6.2,2 6.2,6.2 C6.2,10.6 3,13 0,12 C-3,13 -6.2,10.6 -6.2,6.2 C-6.2,2 -2.5,0.6 0,2.2Z"


def _fruit_bud(at: Point, heading_deg: float, *, is_gone: bool, stalk: float) -> str:
    inside, scale = (WHITE, BLACK) if is_gone else (BLACK, WHITE)
    body = shape(_FRUIT_BUD, fill=inside, width=1) + line(_SCALE, 1, colour=scale)
    foot = line(f"M0,{number(stalk)} V-2", 1.6) if stalk else ""
    return placed(foot + body, towards(at, heading_deg, stalk), heading_deg)


def fruit_bud(stem: Stem, share: float, side: int, *, is_gone: bool = False, stalk: float = 1.0) -> str:
    """Return a fruit bud on a stem, on the right (1) or the left (-1) of growth.

    Parameters
    ----------
    stem : Stem
        What it sits on.
    share : float, 0 to 1
        How far along.
    side : int
        1 right of growth, -1 left.
    is_gone : bool
        Whether it is taken out.
    stalk : float, units
        Length of the short stalk.

    Returns
    -------
    str
        SVG elements.
    """
    heading = stem.heading_deg(share) + 68 * side
    return _fruit_bud(stem.edge(share, side), heading, is_gone=is_gone, stalk=stalk)


def spur(stem: Stem, share: float, side: int, *, is_gone: bool = False) -> str:
    """Return an old spur, a stout foot with two fruit buds, on the right (1) or the left (-1) of growth."""
    heading = stem.heading_deg(share) + 80 * side
    foot = Stem(stem.edge(share, side), towards(stem.edge(share, side), heading, 15), (3, 3))
    buds = "".join(_fruit_bud(foot.end, heading + turn, is_gone=is_gone, stalk=1) for turn in (-48, 48))
    return (gone(foot) if is_gone else kept(foot)) + buds


def tip_fruit_bud(stem: Stem, *, is_gone: bool = False) -> str:
    """Return the fruit bud at the very tip of a shoot."""
    return _fruit_bud(stem.at(1), stem.heading_deg(1), is_gone=is_gone, stalk=0)


def leaf_bud(stem: Stem, share: float, side: int, *, is_gone: bool = False) -> str:
    """Return a leaf bud on a stem, on the right (1) or the left (-1) of growth."""
    body = shape(_LEAF_BUD, fill=WHITE if is_gone else BLACK, width=1)
    return placed(body, stem.edge(share, side), stem.heading_deg(share) + 32 * side)


def leaf(at: Point, heading_deg: float) -> str:
    """Return a leaf that grows from a point."""
    return placed(shape(_LEAF, fill=WHITE, width=1.3) + line("M0,0 V-9", 1), at, heading_deg)


def apple(at: Point) -> str:
    """Return an apple that hangs from a point."""
    return placed(shape(_APPLE, fill=WHITE, width=1.6) + line("M0,3.4 V-1", 1.6), at)


def sun(at: Point) -> str:
    """Return the sun round a middle."""
    rays = "".join(
        f"M{x0:.1f},{y0:.1f} L{x1:.1f},{y1:.1f}"
        for turn in range(0, 360, 45)
        for (x0, y0), (x1, y1) in [(towards((0, 0), turn, 6.5), towards((0, 0), turn, 9.5))]
    )
    return placed('<circle r="4.6" fill="#fff" stroke="#000" stroke-width="1.6"/>' + line(rays, 1.6), at)
