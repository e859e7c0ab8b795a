"""A farm from far on paper: each block a ring that closes as it is pruned, with its verdict in the middle and its code beside it."""

import math
from collections.abc import Iterator, Sequence
from operator import itemgetter

import numpy as np
import shapely

from orchardmap.locale.numbers import part_text
from orchardmap.maps import signs
from orchardmap.maps.sign_svg import ring_svg
from orchardmap.maps.signs import RingSign
from orchardmap.paper.map_content import MapBlock, MapContent
from orchardmap.paper.map_features import feature_names, ground_features, keep_power_lines_clear, power_lines
from orchardmap.paper.map_frame import MapFrame
from orchardmap.paper.map_labels import Label, LabelPlaces, label_svg
from orchardmap.paper.map_lines import stroke

__all__ = ["far_drawing"]

_RADII_MM = (1.3, 5.5)
_RADIUS_PX = 12.0
"""Of the ring in the legend: strokes and pith are drawn for it and grow with it."""
_OUTER = 1.4
"""What belongs to a ring reaches about so far out, in radii: a closed one's dots, an overlap's bars."""
_CODES_MM = (2.1, 3.4)
_EDGE_MM = 0.5
_NUMBER_MM = 2.6
_CROWD = 0.3


def far_drawing(
    content: MapContent, frame: MapFrame, language: str, *, sheets: Sequence[MapFrame] = ()
) -> str:
    """Return a farm from far as SVG elements in millimetres, without the ``svg`` element round them.

    Parameters
    ----------
    content : MapContent
    frame : MapFrame
    language : str
        Of numbers.
    sheets : sequence of MapFrame
        Further sheets, drawn as numbered frames where they lie.
    """
    places = LabelPlaces(shapely.buffer(frame.box_mm, -_EDGE_MM))
    grounds = frame.mm([block.ground for block in content.blocks])
    centres = shapely.centroid(grounds)
    # the middle of a bent block may lie in its neighbour
    inner = np.where(shapely.contains(grounds, centres), centres, shapely.point_on_surface(grounds))
    middles = shapely.get_coordinates(inner)
    largest = _largest_radius_mm(middles)
    most = max(block.trees for block in content.blocks) or 1
    radii = [max(_RADII_MM[0], largest * math.sqrt(block.trees / most)) for block in content.blocks]
    for (x, y), radius in zip(middles.tolist(), radii, strict=True):
        places.take(shapely.Point(x, y).buffer(radius * _OUTER))
    keep_power_lines_clear(content, frame, places)
    features = ground_features(content, frame, places, with_points=False)
    frames, numbers = _sheets(frame, sheets, places)
    numbers += feature_names(content, frame, places, only_power_lines=True)
    rings, words = [], []
    for block, ground, (x, y), radius in zip(content.blocks, grounds, middles.tolist(), radii, strict=True):
        scaled = f'<g transform="translate({x:.2f} {y:.2f}) scale({radius / _RADIUS_PX:.4f})">'
        rings.append((-radius, f"{scaled}{ring_svg(_sign(block), x=0, y=0, radius=_RADIUS_PX)}</g>"))
        choices = list(_names(block, (x, y), radius, language))
        inside = [one for one in choices if one.box.within(ground)]
        words += [one for one in (places.first_free([*inside, *choices]),) if one]
    # a large ring may reach over its neighbour: it lies under it
    drawn = "".join(ring for _, ring in sorted(rings, key=itemgetter(0)))
    outlines = [shapely.boundary(block.outline) for block in content.blocks if block.outline is not None]
    edges = stroke(frame.cut_mm(outlines), signs.CLOSED, 0.12)
    return f'{features}{edges}{power_lines(content, frame)}{frames}{drawn}<g fill="{signs.INK}">{"".join(map(label_svg, [*numbers, *words]))}</g>'


def _largest_radius_mm(middles: np.ndarray) -> float:
    """Return a radius at which neighbours seldom touch."""
    if len(middles) < 2:
        return _RADII_MM[1]
    points = np.asarray(shapely.points(middles))
    tree = shapely.STRtree(points)
    pairs, apart = tree.query_nearest(points, exclusive=True, all_matches=False, return_distance=True)
    near = float(np.median(apart)) if pairs.size else _RADII_MM[1]
    return min(max(_CROWD * near, _RADII_MM[0]), _RADII_MM[1])


def _sign(block: MapBlock) -> RingSign:
    return RingSign(
        "",
        block.share,
        pith=block.verdict,
        has_overlap=block.has_overlap,
        has_again=block.has_again,
        has_weak=block.has_weak,
        is_closed=bool(block.closed_until),
    )


def _names(block: MapBlock, middle: tuple[float, float], radius: float, language: str) -> Iterator[Label]:
    """Return where a block's code and share may stand, near its ring."""
    x, y = middle
    size = min(max(radius * 0.8, _CODES_MM[0]), _CODES_MM[1])
    share = part_text(block.pruned, block.trees, language)
    for text in (f"{block.code} {share}", block.code):
        half = Label(text, 0, 0, size).width_mm / 2
        down, right = radius * _OUTER + size * 0.7, radius * _OUTER + half + 0.4
        for dx, dy in ((0, down), (0, -down), (right, 0), (-right, 0), (right, down), (-right, down)):
            yield Label(text, x + dx, y + dy, size, is_bold=True)
    for turn in range(16):
        away = radius * 2.6 + size
        yield Label(
            block.code, x + away * math.cos(turn), y + away * math.sin(turn), _CODES_MM[0], is_bold=True
        )


def _sheets(frame: MapFrame, sheets: Sequence[MapFrame], places: LabelPlaces) -> tuple[str, list[Label]]:
    """Return the frames of further sheets, and their numbers in a corner of each."""
    boxes = frame.mm([one.box_m for one in sheets])
    drawn = stroke(shapely.boundary(boxes), signs.INK, 0.2, dash=(1.2, 0.6)) if len(boxes) else ""
    numbers = []
    for i, box in enumerate(boxes, 2):  # the first sheet is the one they are drawn on
        # a sheet may reach beyond the paper that it is drawn on: its number stands where both lie
        west, north, _, _ = shapely.intersection(box, places.frame).bounds
        half = Label(str(i), 0, 0, _NUMBER_MM).width_mm / 2
        choices = [
            Label(str(i), west + half + 0.6 + dx, north + 0.7 * _NUMBER_MM + dy, _NUMBER_MM, is_bold=True, has_ground=True)
            for dy in range(0, 9, 2) for dx in range(0, 9, 2)
        ]  # fmt: skip
        # rather on something else than a sheet without its number
        numbers.append(places.first_free(choices) or choices[0])
    return drawn, numbers
