"""What lies on a farm beside its blocks, as SVG elements: lines, areas and points in the signs of the legend.

Nothing but `orchardmap.maps.signs` and numbers enter them; no text from people does.
"""

import math
from collections.abc import Sequence
from itertools import pairwise

from orchardmap.maps import signs
from orchardmap.maps.sign_svg import WEIGHT_PX, glyph_svg
from orchardmap.maps.signs import FeatureSign

__all__ = ["RIPPLE_PX", "feature_area_svg", "feature_line_svg", "feature_picture_svg"]

RIPPLE_PX = (16.0, 7.0)
"""From ripple to ripple along a line, and from line to line."""

Points = Sequence[tuple[float, float]]


def _number(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".")


def _path(points: Points, *, closed: bool = False) -> str:
    return "M" + " L".join(f"{_number(x)},{_number(y)}" for x, y in points) + (" Z" if closed else "")


def _stroke(path: str, colour: str, width: float, dash: str = "") -> str:
    dashes = f' stroke-dasharray="{dash}"' if dash else ""
    return (
        f'<path d="{path}" fill="none" stroke="{colour}" stroke-width="{_number(width)}" '
        f'stroke-linejoin="round"{dashes}/>'
    )


def feature_line_svg(sign: FeatureSign, points: Points) -> str:
    """Return the SVG elements of a line.

    Parameters
    ----------
    sign : FeatureSign
        One of `orchardmap.maps.signs.FEATURES` that has a line.
    points : sequence of (float, float), pixels
        Two or more.

    Returns
    -------
    str
        SVG elements, without the ``svg`` element round them.
    """
    form = sign.line
    assert form is not None  # noqa: S101 - who calls chose the sign by its form
    width = form.width * WEIGHT_PX
    if form.form == "rails":
        between = 2 * form.shoot
        rails = _stroke(_path(points), form.colour, between + width, "6 3")
        return rails + _stroke(_path(points), signs.PAPER, between - width)
    if form.form == "waves":
        return _stroke(_waves(points, form.period, form.shoot), form.colour, width)
    if form.form == "wired":
        return _stroke(_path(points), form.colour, width) + _poles(points, form.colour, form.shoot)
    return _stroke(_path(points), form.colour, width, "8 2.5 1 2.5")


def _waves(points: Points, period: float, reach: float) -> str:
    """Return a line that swings from side to side of the points, a curve for each half period."""
    path, side = f"M{_number(points[0][0])},{_number(points[0][1])}", 1.0
    for (ax, ay), (bx, by) in pairwise(points):
        length = math.hypot(bx - ax, by - ay)
        halves = max(1, round(length / (period / 2)))
        for i in range(halves):
            mx, my = ax + (bx - ax) * (i + 0.5) / halves, ay + (by - ay) * (i + 0.5) / halves
            ex, ey = ax + (bx - ax) * (i + 1) / halves, ay + (by - ay) * (i + 1) / halves
            off = 2 * reach * side / length if length else 0.0
            path += f" Q{_number(mx - (by - ay) * off)},{_number(my + (bx - ax) * off)} {_number(ex)},{_number(ey)}"
            side = -side
    return path


def _poles(points: Points, colour: str, reach: float) -> str:
    arms, knots = "", ""
    for i, (x, y) in enumerate(points):
        (ax, ay), (bx, by) = points[max(0, i - 1)], points[min(len(points) - 1, i + 1)]
        length = math.hypot(bx - ax, by - ay) or 1.0
        ux, uy = -(by - ay) / length * reach, (bx - ax) / length * reach
        arms += f"M{_number(x - ux)},{_number(y - uy)} L{_number(x + ux)},{_number(y + uy)} "
        knots += f'<circle cx="{_number(x)}" cy="{_number(y)}" r="3.2" fill="{colour}"/>'
    return _stroke(arms.strip(), colour, 2.2) + knots


def feature_area_svg(sign: FeatureSign, rings: Sequence[Points]) -> str:
    """Return the SVG elements of an area; islands are left open.

    Parameters
    ----------
    sign : FeatureSign
        One of `orchardmap.maps.signs.FEATURES` that has an area.
    rings : sequence of sequence of (float, float), pixels
        Its outer ring and its islands.

    Returns
    -------
    str
        SVG elements, without the ``svg`` element round them.
    """
    path = " ".join(_path(ring, closed=True) for ring in rings)
    if sign.area == "roof":
        return f'<path d="{path}" fill="{signs.INK}" fill-rule="evenodd"/>'
    if sign.area == "yard":
        return _stroke(path, signs.INK, 1.1, "8 2.5 1 2.5")
    ripples = _stroke(_ripples(rings), signs.INK, 1.0)
    return _stroke(path, signs.INK, 1.2) + ripples


def _ripples(rings: Sequence[Points]) -> str:
    """Return short waves inside rings, counted from the top left of the sheet."""
    every, down = RIPPLE_PX
    xs, ys = [x for ring in rings for x, _ in ring], [y for ring in rings for _, y in ring]
    path = ""
    for j in range(math.floor(min(ys) / down), math.ceil(max(ys) / down)):
        for i in range(math.floor(min(xs) / every), math.ceil(max(xs) / every)):
            x, y = i * every + (j % 2) * every / 2, j * down + down / 2
            if all(_is_inside(rings, x + dx, y + dy) for dx in (-1, 9) for dy in (-2, 2)):
                path += f"M{_number(x)},{_number(y)} q2,-3 4,0 t4,0 "
    return path.strip() or "M0,0"


def _is_inside(rings: Sequence[Points], x: float, y: float) -> bool:
    inside = False
    for ring in rings:
        for (ax, ay), (bx, by) in zip(ring, [*ring[1:], ring[0]], strict=True):
            if (ay > y) != (by > y) and x < (bx - ax) * (y - ay) / (by - ay) + ax:
                inside = not inside
    return inside


def feature_picture_svg(sign: FeatureSign) -> str:
    """Return a sign's picture for the legend, in a box of 84 x 24 pixels: its line, its area, its point, as it has them.

    Parameters
    ----------
    sign : FeatureSign
        One of `orchardmap.maps.signs.FEATURES`.

    Returns
    -------
    str
        SVG elements, without the ``svg`` element round them.
    """
    room = 84.0 - (26.0 if sign.glyph else 0.0) - (30.0 if sign.area else 0.0)
    # what has no line stands beside its words
    parts, at = "", 3.0 if sign.line else room + 3.0
    if sign.line:
        bend = [(at, 15.0), (at + room * 0.45, 9.0), (at + room - 6, 13.0)]
        parts += feature_line_svg(sign, bend)
        at += room
    if sign.area:
        parts += feature_area_svg(sign, [[(at, 4.0), (at + 26, 4.0), (at + 26, 20.0), (at, 20.0)]])
        at += 30
    if sign.glyph:
        parts += glyph_svg(sign.glyph, x=at + 11, y=12, scale=0.8)
    return parts
