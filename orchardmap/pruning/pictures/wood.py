"""Wood: what stays is solid black, what goes is a broken outline. Age shows in the line.

One year old: thin and smooth. Two years: twice as thick. Older: thick, with marks on the bark. A ring stands
where one year's growth ended and the next began.
"""

import math
from dataclasses import dataclass

from orchardmap.pruning.pictures.drawing import WHITE, Point, line, number, polygon, shape, towards

__all__ = ["LIMB", "OLDER", "ONE_YEAR", "TWO_YEAR", "Stem", "gone", "kept", "year_ring"]

ONE_YEAR = (2.0, 1.2)
TWO_YEAR = (3.8, 2.4)
OLDER = (8.0, 7.0)
"""Widths of a stem at its base and its tip, in units."""
LIMB = (4.4, 1.2)
"""Of a whole limb seen from far, which runs out in a point."""

_BARK_FROM = 5.0
"""The width from which bark is marked."""
_BARK_STEP = 7.0
"""From one mark to the next, in units."""
_THIN_BELOW = 3.0
"""The width under which two broken edges would run together: one broken line is drawn."""
_STEPS = 6
"""Straight pieces that a bent edge is drawn in."""


@dataclass(frozen=True, slots=True)
class Stem:
    """A piece of wood: its middle line and how thick it is."""

    start: Point
    end: Point
    widths: tuple[float, float]
    """At its base and its tip, in units."""
    bend: Point | None = None
    """Where the middle line is drawn to (a quadratic Bezier curve); straight without."""

    def at(self, share: float) -> Point:
        """Return the point of the middle line at a share of the curve, 0 the base and 1 the tip."""
        bend = self._bend()
        first, second = _between(self.start, bend, share), _between(bend, self.end, share)
        return _between(first, second, share)

    def heading_deg(self, share: float) -> float:
        """Return where the stem grows to at a share, in degrees clockwise from straight up."""
        bend = self._bend()
        (x0, y0), (x1, y1) = _between(self.start, bend, share), _between(bend, self.end, share)
        return math.degrees(math.atan2(x1 - x0, y0 - y1))

    def width(self, share: float) -> float:
        """Return the thickness at a share, in units."""
        base, tip = self.widths
        return base + (tip - base) * share

    def edge(self, share: float, side: int) -> Point:
        """Return the point of the bark at a share, on the right (1) or the left (-1) of growth."""
        return towards(self.at(share), self.heading_deg(share) + 90 * side, self.width(share) / 2)

    def part(self, start: float, end: float) -> "Stem":
        """Return the piece between two shares, exactly as it lies in the whole."""
        bend = self._bend()
        # the control point of a piece is the blossom of the curve at its two ends
        corner = _between(_between(self.start, bend, start), _between(bend, self.end, start), end)
        widths = self.width(start), self.width(end)
        return Stem(self.at(start), self.at(end), widths, corner if self.bend else None)

    def _bend(self) -> Point:
        return self.bend or _between(self.start, self.end, 0.5)

    def outline(self) -> str:
        """Return the SVG path data round the wood."""
        steps = _STEPS if self.bend else 1
        shares = [i / steps for i in range(steps + 1)]
        right = [self.edge(share, 1) for share in shares]
        left = [self.edge(share, -1) for share in reversed(shares)]
        return polygon([*right, *left])

    def middle(self) -> str:
        """Return the SVG path data of the middle line."""
        start, bend, end = (f"{number(x)},{number(y)}" for x, y in (self.start, self._bend(), self.end))
        return f"M{start} Q{bend} {end}" if self.bend else f"M{start} L{end}"


def _between(start: Point, end: Point, share: float) -> Point:
    return start[0] + (end[0] - start[0]) * share, start[1] + (end[1] - start[1]) * share


def kept(*stems: Stem) -> str:
    """Return wood that stays."""
    return "".join(_kept(stem) for stem in stems)


def _kept(stem: Stem) -> str:
    wood = shape(stem.outline(), width=1)
    return wood + line(_bark(stem), 1, colour=WHITE) if min(stem.widths) >= _BARK_FROM else wood


def _bark(stem: Stem) -> str:
    """Return short marks across the wood, in turn left and right of its middle."""
    count = int(math.dist(stem.start, stem.end) / _BARK_STEP)
    marks = ""
    for i in range(count):
        share, side = (i + 0.5) / count, 1 if i % 2 else -1
        across, reach = stem.heading_deg(share) + 90 * side, stem.width(share) / 2
        (x0, y0), (x1, y1) = (towards(stem.at(share), across, reach * part) for part in (0.15, 0.6))
        marks += f"M{number(x0)},{number(y0)} L{number(x1)},{number(y1)}"
    return marks


def gone(*stems: Stem) -> str:
    """Return wood that is taken out."""
    return "".join(_gone(stem) for stem in stems)


def _gone(stem: Stem) -> str:
    if stem.widths[0] < _THIN_BELOW:
        return line(stem.middle(), 1.6, dash="3 2.2")
    return shape(stem.outline(), fill=WHITE, width=1.3, dash="3.2 2.2")


def year_ring(stem: Stem, share: float) -> str:
    """Return the ring between two years' growth."""
    heading, reach = stem.heading_deg(share), stem.width(share) / 2 + 2
    ring = ""
    for along in (-1.1, 1.1):
        middle = towards(stem.at(share), heading, along)
        (x0, y0), (x1, y1) = towards(middle, heading - 90, reach), towards(middle, heading + 90, reach)
        ring += f"M{number(x0)},{number(y0)} L{number(x1)},{number(y1)}"
    return line(ring, 1)
