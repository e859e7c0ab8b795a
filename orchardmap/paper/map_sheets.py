"""How a farm is laid out on sheets of one size: on one at a round scale, or on several that cover it, and which lies beside which."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from orchardmap.errors import InputError
from orchardmap.paper.map_content import MapContent
from orchardmap.paper.map_frame import MapFrame, frames_over
from orchardmap.paper.map_scale import fitting_scale, read_paper, smallest_scale

__all__ = ["GAP_MM", "HEAD_MM", "MARGIN_MM", "MapSheets", "laid_out", "panel_width_mm", "stands_apart"]

MARGIN_MM = 9.0
"""Most printers leave up to 5 mm of an edge white (common practice)."""
HEAD_MM = 12.0
GAP_MM = 4.0
_PANEL_MM = {"a2": 78.0, "a3": 66.0, "a4": 52.0}
_AIR = 1.04
"""Ground about the blocks, so that numbers at row ends have room."""
_READABLE_MM = 0.6
"""From row to row: closer ones cannot be followed by eye (tried on paper)."""
_LAP_MM = 15.0
_MOST_SHEETS = 5_000
"""More are not even counted: a scale was meant for something smaller."""

Size = tuple[float, float]


@dataclass(frozen=True, slots=True)
class MapSheets:
    """Frames of ground on sheets of one size."""

    paper_mm: Size
    whole: MapFrame
    """All of it on one sheet."""
    parts: tuple[MapFrame, ...]
    """At the scale of the rows; the whole alone where all fits one sheet so."""

    def beside(self, at: int) -> dict[str, int]:
        """Return which parts lie north, east, south and west of one, by their place in ``parts``."""
        here = np.array(self.parts[at].middle_m)
        step = (np.array(self.parts[at].size_mm) - _LAP_MM) * self.parts[at].scale / 1000
        found: dict[str, int] = {}
        for way, turn in (("north", (0, 1)), ("east", (1, 0)), ("south", (0, -1)), ("west", (-1, 0))):
            wanted = here + step * np.array(turn)
            near = [i for i, one in enumerate(self.parts) if np.hypot(*(one.middle_m - wanted)) < 1.0]
            found |= {way: near[0]} if near else {}
        return found


def laid_out(content: MapContent, paper: str, scale: int | None) -> MapSheets:
    """Return a farm on sheets, upright or across as shows more.

    Parameters
    ----------
    content : MapContent
    paper : str
        A size of `orchardmap.paper.map_scale.PAPERS_MM`.
    scale : int or None
        Denominator of the parts; the largest at which all fits one sheet when left out, or where rows do not stand apart
        so, the smallest at which they do.

    Raises
    ------
    InputError
        If no map is made in that size, or at that scale it takes thousands of sheets.
    """
    upright = read_paper(paper)
    west, south, east, north = content.bounds_m
    middle = (west + east) / 2, (south + north) / 2
    ground = (east - west) * _AIR, (north - south) * _AIR
    ways = [(size, _frame_mm(size, paper)) for size in (upright, (upright[1], upright[0]))]
    size, frame_mm = min(ways, key=lambda way: fitting_scale(ground, way[1]))
    whole = MapFrame(frame_mm, fitting_scale(ground, frame_mm), middle)
    if scale is None and stands_apart(content, whole.scale):
        return MapSheets(size, whole, (whole,))
    wanted = scale or smallest_scale(_closest_m(content), _READABLE_MM)
    if wanted >= whole.scale:
        return MapSheets(size, MapFrame(frame_mm, wanted, middle), (MapFrame(frame_mm, wanted, middle),))
    _refuse_heaps(ground, frame_mm, wanted)
    bounds = (
        middle[0] - ground[0] / 2,
        middle[1] - ground[1] / 2,
        middle[0] + ground[0] / 2,
        middle[1] + ground[1] / 2,
    )
    tree = shapely.STRtree(np.concatenate([block.rows for block in content.blocks]))
    choices = [
        (one, frame, _with_rows(list(frames_over(bounds, frame, wanted, _LAP_MM)), tree))
        for one, frame in ways
    ]
    # of two ways that take as many, the one that shows the whole larger
    size, frame_mm, parts = min(
        choices, key=lambda choice: (len(choice[2]), fitting_scale(ground, choice[1]))
    )
    return MapSheets(size, MapFrame(frame_mm, fitting_scale(ground, frame_mm), middle), parts)


def _refuse_heaps(ground_m: Size, frame_mm: Size, scale: int) -> None:
    sheets = math.prod(
        math.ceil(one * 1000 / scale / other) for one, other in zip(ground_m, frame_mm, strict=True)
    )
    if sheets > _MOST_SHEETS:
        raise InputError(
            "that would be thousands of sheets",
            where=f"1:{scale}",
            todo="Ask for fewer blocks, or a smaller scale.",
        )


def panel_width_mm(paper: str) -> float:
    """Return how wide the panel beside the map is on a size of paper."""
    return _PANEL_MM[paper]


def stands_apart(content: MapContent, scale: int) -> bool:
    """Tell whether rows can be told apart by eye at a scale."""
    return 1000 * _closest_m(content) / scale >= _READABLE_MM


def _closest_m(content: MapContent) -> float:
    return min(block.pitch_m for block in content.blocks)


def _frame_mm(paper_mm: Size, paper: str) -> Size:
    width, height = paper_mm
    return width - 2 * MARGIN_MM - _PANEL_MM[paper] - GAP_MM, height - 2 * MARGIN_MM - HEAD_MM


def _with_rows(frames: Sequence[MapFrame], tree: shapely.STRtree) -> tuple[MapFrame, ...]:
    """Return the frames that rows cross."""
    which, _ = tree.query([frame.box_m for frame in frames], predicate="intersects")
    return tuple(frames[i] for i in np.unique(which).tolist())
