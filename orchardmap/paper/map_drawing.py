"""A window of the farm as one SVG drawing: rows at their true length, weak areas, power lines, and words that do not collide."""

from collections.abc import Iterator

import shapely

from orchardmap.maps import signs
from orchardmap.paper.map_block_names import block_name
from orchardmap.paper.map_content import MapBlock, MapContent
from orchardmap.paper.map_features import (
    feature_names,
    ground_features,
    keep_power_lines_clear,
    power_lines,
)
from orchardmap.paper.map_frame import MapFrame
from orchardmap.paper.map_labels import LabelPlaces, label_svg
from orchardmap.paper.map_lines import hatched_svg, stretches_svg, stroke
from orchardmap.paper.map_row_numbers import row_number_labels

__all__ = ["drawn_blocks", "map_drawing", "weight_mm"]

_EDGE_MM = 1.0
"""Words stay off the frame's edge."""
_WEIGHTS_MM = (0.28, 0.9)


def weight_mm(block: MapBlock, scale: int) -> float:
    """Return the width of a block's heavy line: a third of the way to the next row."""
    return min(max(0.36 * block.pitch_m * 1000 / scale, _WEIGHTS_MM[0]), _WEIGHTS_MM[1])


def drawn_blocks(content: MapContent, frame: MapFrame) -> list[MapBlock]:
    """Return the blocks that have rows in a frame."""
    window = frame.box_m
    return [block for block in content.blocks if shapely.intersects(block.rows, window).any()]


def map_drawing(content: MapContent, frame: MapFrame, language: str) -> str:
    """Return a window of the farm as SVG elements in millimetres, without the ``svg`` element round them.

    Parameters
    ----------
    content : MapContent
    frame : MapFrame
        At a scale at which its rows stand apart.
    language : str
        Of numbers.
    """
    blocks = drawn_blocks(content, frame)
    places = LabelPlaces(shapely.buffer(frame.box_mm, -_EDGE_MM))
    keep_power_lines_clear(content, frame, places)
    names = [block_name(block, frame, places, language) for block in blocks]
    features = ground_features(content, frame, places)
    words = [*feature_names(content, frame, places), *row_number_labels(blocks, frame, places)]
    return "".join([
        features,
        *(_outline(block, frame) for block in blocks),
        *(part for block in blocks for part in _rows(block, frame)),
        *(part for block in blocks for part in _patches(block, frame)),
        power_lines(content, frame),
        f'<g fill="{signs.INK}">{"".join(map(label_svg, words))}{"".join(names)}</g>',
    ])


def _outline(block: MapBlock, frame: MapFrame) -> str:
    if block.outline is None:
        return ""
    return stroke(frame.cut_mm([shapely.boundary(block.outline)]), signs.CLOSED, 0.15)


def _rows(block: MapBlock, frame: MapFrame) -> Iterator[str]:
    weight = weight_mm(block, frame.scale)
    for form in signs.LINES:
        found = block.stretches.get(form.key, ())
        if len(found):
            yield stretches_svg(form.key, frame.cut_mm(found), weight)


def _patches(block: MapBlock, frame: MapFrame) -> Iterator[str]:
    weight = weight_mm(block, frame.scale)
    for patch in block.patches:
        hatching = next(one for one in signs.PATCHES if one.key == patch.state)
        for ground in frame.cut_mm([patch.ground]):
            yield hatched_svg(hatching, ground, max(weight, 0.5))
