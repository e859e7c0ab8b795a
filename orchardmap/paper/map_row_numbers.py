"""Row numbers on a map: at both ends of rows, every one where there is room, else every second, fifth, tenth ..."""

import math
from collections.abc import Iterator, Sequence
from typing import Literal

import numpy as np
import shapely
from shapely.geometry import LineString, Point
from shapely.geometry.base import BaseGeometry

from orchardmap.paper.map_content import MapBlock
from orchardmap.paper.map_frame import MapFrame
from orchardmap.paper.map_labels import DIGIT_HEIGHT, Label, LabelPlaces, upright_angle

__all__ = ["row_number_labels"]

_SIZES_MM = (2.1, 3.6)
"""6 pt is the least that is read at arm's length."""
_AIR_MM = 0.6
_GAP_MM = 0.6
_STEPS = (1, 2, 5, 10, 20, 50, 100)
_ON_FRAME_MM = 0.05

End = Literal[0, -1]


def row_number_labels(blocks: Sequence[MapBlock], frame: MapFrame, places: LabelPlaces) -> Iterator[Label]:
    """Return the numbers of rows, none where another word stands: at first ends, then at far ends.

    A number stands beyond the row's end, or on the row where the ground beyond belongs to another block. An end that
    the frame cuts off has none.
    """
    grounds = frame.mm([block.ground for block in blocks])
    others = shapely.STRtree(grounds)
    for end in (0, -1):
        for i, block in enumerate(blocks):
            yield from _of_block(block, end, frame, places, (others, i))


def _of_block(
    block: MapBlock, end: End, frame: MapFrame, places: LabelPlaces, others: tuple[shapely.STRtree, int]
) -> Iterator[Label]:
    pitch_mm = block.pitch_m * 1000 / frame.scale
    size = min(max((pitch_mm - _AIR_MM) / DIGIT_HEIGHT, _SIZES_MM[0]), _SIZES_MM[1])
    high = DIGIT_HEIGHT * size + _AIR_MM - 1e-9
    step = next((one for one in _STEPS if one * pitch_mm >= high), _STEPS[-1])
    shown = np.flatnonzero((block.numbers % step == 0) | np.isin(block.numbers, block.numbers[[0, -1]]))
    # the first and the last row are named before their neighbours
    for at in sorted(shown.tolist(), key=lambda one: one not in (0, len(block.numbers) - 1)):
        (row,) = frame.mm([block.rows[at]])
        line = row.geoms[end]
        tip = Point(line.coords[end])
        if not frame.box_mm.buffer(-_ON_FRAME_MM).contains(tip):
            continue
        beyond, inside = _beyond_and_inside(str(block.numbers[at]), line, end, size)
        has_room = places.frame.contains(beyond.box) and not _on_another(beyond.box, others)
        found = places.first_free([beyond if has_room else inside])
        if found:
            yield found


def _beyond_and_inside(text: str, line: LineString, end: End, size: float) -> tuple[Label, Label]:
    """Return a number beyond a row's end, and on the row."""
    (x, y), (px, py) = line.coords[end], _point_inside(line, end)
    length = math.hypot(px - x, py - y) or 1.0
    dx, dy = (px - x) / length, (py - y) / length
    angle = upright_angle(dx, dy)
    away = Label(text, 0, 0, size).width_mm / 2 + _GAP_MM
    return (
        Label(text, x - dx * away, y - dy * away, size, angle),
        Label(text, x + dx * away, y + dy * away, size, angle, has_ground=True),
    )


def _point_inside(line: LineString, end: End) -> tuple[float, float]:
    inside = line.interpolate(min(3.0, line.length / 2) * (1 if end == 0 else -1))
    return inside.x, inside.y


def _on_another(box: BaseGeometry, others: tuple[shapely.STRtree, int]) -> bool:
    tree, own = others
    return bool(set(tree.query(box, predicate="intersects").tolist()) - {own})
