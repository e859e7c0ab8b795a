"""Stretches of row and hatched ground as SVG on paper, by the forms of the one legend. Lengths in millimetres, y downwards.

A form's measures are pixels at a weight of 5 (`orchardmap.maps.signs`); here the weight is a width on paper.
"""

import math
from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from orchardmap.maps import signs
from orchardmap.maps.sign_svg import WEIGHT_PX
from orchardmap.maps.signs import Hatching, LineForm

__all__ = ["THINNEST_MM", "WHITE", "hatched_svg", "on_white", "path_of", "stretches_svg", "stroke"]

WHITE = "#FFFFFF"
"""The ground is the paper itself: ink spent on a ground tells nothing."""
THINNEST_MM = 0.1
"""Finer lines are lost by cheap printers (common practice)."""
_SHOOTS_FROM_MM = 0.3
"""Weight below which a twig's side shoots would be specks."""
_NUDGE_MM = 0.05
_CASING = 3.0
"""White on both sides of ink that crosses the rows, in widths: else it drowns in rows that are pruned."""

Lines = Sequence[BaseGeometry] | NDArray[np.object_]
Points = NDArray[np.float64]


def on_white(drawn: str) -> str:
    """Return drawings of the legend with the screen's grounds turned into bare paper."""
    return drawn.replace(signs.PAPER, WHITE).replace(signs.SHEET, WHITE)


def stretches_svg(key: str, lines: Lines, weight_mm: float) -> str:
    """Return the SVG elements of stretches of rows that one form is drawn by.

    Parameters
    ----------
    key : str
        A key of `orchardmap.maps.signs.LINES`.
    lines : sequence of LineString or MultiLineString, mm on the sheet, y downwards
    weight_mm : float
        The width of the heavy line.

    Returns
    -------
    str
        Few elements however many lines there are; empty for none.
    """
    form = next(one for one in signs.LINES if one.key == key)
    parts = _parts(lines)
    if not len(parts):
        return ""
    unit = weight_mm / WEIGHT_PX
    whole, width = path_of(parts), max(THINNEST_MM, form.width * weight_mm)
    if form.form == "twig":
        dashed = _stroke(whole, form.colour, width, dash=(form.stem * unit, (form.period - form.stem) * unit))
        return dashed + (_shoots(form, parts, unit, width) if weight_mm >= _SHOOTS_FROM_MM else "")
    fine = max(THINNEST_MM, 1.7 * unit)
    if form.form == "cased":
        ends = _across(parts, _ends(parts), form.shoot * unit)
        rails, core = _stroke(whole, form.colour, width), _stroke(whole, WHITE, width * 0.38)
        return rails + core + _stroke(ends, form.colour, fine)
    if form.form == "ticked":
        ticks = _across(
            parts, _steps(parts, form.period * unit, 7 * unit), form.shoot * unit, slant=2.5 * unit
        )
        return _stroke(whole, form.colour, width) + _stroke(ticks, form.colour, fine)
    if form.form == "dotted":
        dots = _stroke(whole, form.colour, width * 1.3, dash=(0.0, form.period * unit), cap="round")
        return dots + _stroke(_across(parts, _ends(parts), form.shoot * unit), form.colour, fine)
    return _stroke(whole, form.colour, width)


def hatched_svg(hatching: Hatching, ground: BaseGeometry, weight_mm: float) -> str:
    """Return the SVG elements of hatched ground: lines aslant, and an edge round all."""
    unit = weight_mm / WEIGHT_PX
    west, north, east, south = ground.bounds
    step = hatching.period * unit * math.sqrt(2)
    at = np.arange(west + north + step / 2, east + south, step)
    slanted = shapely.linestrings(
        np.stack(
            [
                np.stack([at - south, np.full_like(at, south)], -1),
                np.stack([at - north, np.full_like(at, north)], -1),
            ],
            1,
        )
    )
    if hatching.is_crossed:
        mirrored = shapely.transform(slanted, lambda xy: np.stack([west + east - xy[:, 0], xy[:, 1]], -1))
        slanted = np.concatenate([slanted, mirrored])
    inside = _parts(np.asarray(shapely.intersection(slanted, ground)))
    edge = _parts([shapely.boundary(ground)])
    width = max(THINNEST_MM, hatching.width * unit)
    hatch, ring = path_of(inside), path_of(edge)
    return "".join([
        _stroke(hatch, WHITE, _CASING * width),
        _stroke(ring, WHITE, 1.2 * _CASING * width),
        _stroke(hatch, hatching.colour, width),
        _stroke(ring, hatching.colour, 1.5 * width),
    ])


def stroke(
    lines: Lines, colour: str, width_mm: float, *, dash: tuple[float, ...] = (), is_cased: bool = False
) -> str:
    """Return lines as one stroked SVG path, where asked with white on both sides; empty for none."""
    parts = _parts(lines)
    if not len(parts):
        return ""
    path = path_of(parts)
    casing = _stroke(path, WHITE, _CASING * width_mm) if is_cased else ""
    return casing + _stroke(path, colour, width_mm, dash=dash)


def path_of(lines: Lines) -> str:
    """Return lines as SVG path data in hundredths of a millimetre, one subpath a line."""
    xy, number = shapely.get_coordinates(lines, return_index=True)
    begins = np.diff(number, prepend=-1) != 0
    return "".join(
        f"{'M' if begin else 'L'}{x:g},{y:g}"
        for begin, (x, y) in zip(begins, np.round(xy, 2).tolist(), strict=True)
    )


def _parts(lines: Lines) -> NDArray[np.object_]:
    """Return the single lines of what may be several, those without length left out."""
    single = shapely.get_parts(np.array(list(lines), dtype=object))
    is_line = (shapely.get_type_id(single) == shapely.GeometryType.LINESTRING) & (shapely.length(single) > 0)
    return np.asarray(single[is_line])


def _stroke(
    path: str, colour: str, width_mm: float, *, dash: tuple[float, ...] = (), cap: str = "butt"
) -> str:
    dashes = f' stroke-dasharray="{" ".join(f"{one:.3f}" for one in dash)}"' if dash else ""
    return (
        f'<path d="{path}" fill="none" stroke="{colour}" stroke-width="{width_mm:.3f}" '
        f'stroke-linecap="{cap}" stroke-linejoin="round"{dashes}/>'
    )


def _steps(parts: NDArray[np.object_], step: float, first: float) -> tuple[NDArray[np.int64], Points]:
    """Return which line, and how far along it, for places at equal steps."""
    lengths = shapely.length(parts)
    counts = np.maximum(0, np.floor((lengths - first) / step).astype(np.int64) + 1)
    line = np.repeat(np.arange(len(parts)), counts)
    nth = np.arange(len(line)) - np.repeat(np.cumsum(counts) - counts, counts)
    return line, first + nth * step


def _ends(parts: NDArray[np.object_]) -> tuple[NDArray[np.int64], Points]:
    line = np.repeat(np.arange(len(parts)), 2)
    return line, np.where(np.arange(len(line)) % 2, shapely.length(parts)[line], 0.0)


def _across(
    parts: NDArray[np.object_], places: tuple[NDArray[np.int64], Points], reach: float, slant: float = 0.0
) -> str:
    """Return strokes across lines at places, so far to each side, their ends shifted along the line by the slant."""
    at, along, aside = _directions(parts, places)
    low, high = at - aside * reach - along * slant, at + aside * reach + along * slant
    return path_of(np.asarray(shapely.linestrings(np.stack([low, high], 1))))


def _shoots(form: LineForm, parts: NDArray[np.object_], unit: float, width: float) -> str:
    """Return the side shoots of twigs, to one side and the other by turns."""
    places = _steps(parts, form.period * unit, form.stem * 0.45 * unit)
    at, along, aside = _directions(parts, places)
    side = np.where(np.arange(len(at)) % 2, 1.0, -1.0)[:, None]
    tips = at + (along * 0.9 + aside * side) * form.shoot * unit
    return _stroke(path_of(np.asarray(shapely.linestrings(np.stack([at, tips], 1)))), form.colour, width)


def _directions(
    parts: NDArray[np.object_], places: tuple[NDArray[np.int64], Points]
) -> tuple[Points, Points, Points]:
    """Return points on lines, the direction of the line there, and the one across it."""
    line, along = places
    here = parts[line]
    before = shapely.get_coordinates(shapely.line_interpolate_point(here, np.maximum(along - _NUDGE_MM, 0.0)))
    after = shapely.get_coordinates(shapely.line_interpolate_point(here, along + _NUDGE_MM))
    way = after - before
    way /= np.maximum(np.hypot(*way.T), 1e-9)[:, None]
    at = shapely.get_coordinates(shapely.line_interpolate_point(here, along))
    return at, way, np.stack([-way[:, 1], way[:, 0]], -1)
