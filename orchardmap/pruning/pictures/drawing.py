"""The pen: numbers, points, headings and strokes, black on white.

Every picture stands in a box from 0 to 100, y downwards; at its usual 4 cm one unit is 0.4 mm. A
heading is in degrees clockwise from straight up. Elements carry no ids and no classes, so that many
pictures can stand in one page.
"""

import math
from collections.abc import Iterable
from html import escape

__all__ = [
    "BLACK",
    "WHITE",
    "Point",
    "enlarged",
    "line",
    "number",
    "placed",
    "polygon",
    "shape",
    "text",
    "towards",
]

Point = tuple[float, float]
BLACK = "#000"
WHITE = "#fff"
_BOLD_WIDTH = 0.7
"""Of a bold figure, as a share of the size of the type; wide faces have this much."""


def number(value: float) -> str:
    """Return a coordinate to a tenth of a unit, as short as it can be said."""
    return f"{round(value, 1) + 0.0:g}"  # the sum turns a minus nought into nought


def towards(start: Point, heading_deg: float, length: float) -> Point:
    """Return the point that lies a length away from another in a heading."""
    angle = math.radians(heading_deg)
    return start[0] + length * math.sin(angle), start[1] - length * math.cos(angle)


def line(path: str, width: float, *, colour: str = BLACK, dash: str = "") -> str:
    """Return a stroke along SVG path data, with round ends where it is not broken."""
    broken = f' stroke-dasharray="{dash}" stroke-linecap="butt"' if dash else ""
    return f'<path d="{path}" stroke="{colour}" stroke-width="{number(width)}"{broken}/>'


def shape(path: str, *, fill: str = BLACK, width: float = 0, dash: str = "") -> str:
    """Return a closed shape, with a black edge where it has a width."""
    edge = f' stroke="{BLACK}" stroke-width="{number(width)}"' if width else ""
    broken = f' stroke-dasharray="{dash}" stroke-linecap="butt"' if dash else ""
    return f'<path d="{path}" fill="{fill}"{edge}{broken}/>'


def polygon(points: Iterable[Point]) -> str:
    """Return the SVG path data of a closed outline."""
    return "M" + " ".join(f"{number(x)},{number(y)}" for x, y in points) + "Z"


def text(at: Point, words: str, size: float = 11, *, room: float = 96) -> str:
    """Return a number and its unit round a middle, but within the picture and smaller where its room is too narrow."""
    if not words:
        return ""
    fitting = min(size, room / (_BOLD_WIDTH * len(words)))
    half = fitting * _BOLD_WIDTH * len(words) / 2
    x, y = min(max(at[0], half + 1), 99 - half), min(max(at[1], fitting / 2 + 1), 99 - fitting * 0.6)
    return (
        f'<text x="{number(x)}" y="{number(y + fitting * 0.36)}" font-family="sans-serif" font-weight="bold" '
        f'font-size="{number(fitting)}" text-anchor="middle" fill="{BLACK}">{escape(words)}</text>'
    )


def placed(svg: str, at: Point, heading_deg: float = 0) -> str:
    """Return elements that were drawn round 0, 0 and upwards, at their place and turned to their heading."""
    turn = f" rotate({number(heading_deg)})" if heading_deg else ""
    return f'<g transform="translate({number(at[0])} {number(at[1])}){turn}">{svg}</g>'


def enlarged(svg: str, factor: float) -> str:
    """Return elements larger than they were drawn, lines and all."""
    return f'<g transform="scale({number(factor)})">{svg}</g>'
