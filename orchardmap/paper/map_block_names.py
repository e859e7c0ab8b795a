"""A block's name on a map: its verdict, code, variety and share on a small white board, where nothing else stands."""

from collections.abc import Iterator
from dataclasses import dataclass

import shapely
from shapely.geometry import Polygon, box
from shapely.geometry.base import BaseGeometry

from orchardmap.locale.numbers import part_text
from orchardmap.maps import signs
from orchardmap.maps.sign_svg import glyph_svg
from orchardmap.paper.map_content import MapBlock
from orchardmap.paper.map_frame import MapFrame
from orchardmap.paper.map_labels import Label, LabelPlaces, label_svg
from orchardmap.paper.text_size import text_width_em

__all__ = ["block_name"]

_CODE_MM = (7.0, 5.0, 4.2, 3.4, 2.8, 2.1)
"""Sizes of a block's code, the largest that its ground has room for; 2.1 mm is 6 pt, the least that is read at arm's length."""
_SMALL_MM = 2.1
_PAD_MM = 0.6
_LEADING = 1.25
_GLYPH_BOX = 24.0
_PITH_EM = 1.25
_MOST_OF_GROUND = 0.92
_SPOTS = (
    (0, 0),
    (0, -0.2),
    (0, 0.2),
    (0.2, 0),
    (-0.2, 0),
    (0.25, 0.25),
    (-0.25, -0.25),
    (0.25, -0.25),
    (-0.25, 0.25),
)
"""Where a board may stand, in shares of the ground's width and height about its middle."""
_BESIDE = ((0, -0.6), (0, 0.6), (-0.6, 0), (0.6, 0), (-0.6, -0.6), (0.6, -0.6), (-0.6, 0.6), (0.6, 0.6))
"""Beside ground that has no room for it."""


@dataclass(frozen=True, slots=True)
class _Board:
    block: MapBlock
    code_mm: float
    below: str
    x: float
    y: float

    @property
    def size(self) -> tuple[float, float]:
        code = self.code_mm * (text_width_em(self.block.code) + self._pith_em)
        below = _SMALL_MM * text_width_em(self.below) * 0.92  # the plain face is narrower than the bold one
        height = self.code_mm + (_SMALL_MM * _LEADING if self.below else 0.0)
        return max(code, below) + 2 * _PAD_MM, height + 2 * _PAD_MM

    @property
    def _pith_em(self) -> float:
        return _PITH_EM if self.block.verdict != "not_begun" else 0.0

    @property
    def box(self) -> Polygon:
        half_w, half_h = (one / 2 for one in self.size)
        return box(self.x - half_w, self.y - half_h, self.x + half_w, self.y + half_h)

    def svg(self) -> str:
        west, north, east, south = self.box.bounds
        code_width, middle = self.code_mm * text_width_em(self.block.code), north + _PAD_MM + self.code_mm / 2
        code_x = self.x + self._pith_em * self.code_mm / 2
        parts = [
            f'<rect x="{west:.2f}" y="{north:.2f}" width="{east - west:.2f}" height="{south - north:.2f}" '
            f'rx="0.6" fill="#FFFFFF" stroke="{signs.INK}" stroke-width="0.15"/>',
            label_svg(Label(self.block.code, code_x, middle, self.code_mm, is_bold=True)),
        ]
        if self._pith_em:
            pith = next(one for one in signs.PITHS if one.key == self.block.verdict)
            at = code_x - code_width / 2 - self._pith_em / 2 * self.code_mm
            parts.append(glyph_svg(pith, x=at, y=middle, scale=_PITH_EM * self.code_mm / _GLYPH_BOX))
        if self.below:
            parts.append(label_svg(Label(self.below, self.x, south - _PAD_MM - _SMALL_MM / 2, _SMALL_MM)))
        return "".join(parts)


def block_name(block: MapBlock, frame: MapFrame, places: LabelPlaces, language: str) -> str:
    """Return the board of a block as SVG, and keep other words off it.

    Inside what is shown of its ground as large as that allows, else small beside it; empty where the frame has no room at all.
    """
    ground = frame.cut_mm([block.ground])
    if not len(ground):
        return ""
    weak = shapely.union_all(frame.mm([patch.ground for patch in block.patches]))
    free = [one for one in _choices(block, shapely.union_all(ground), language) if places.is_free(one.box)]
    # a weak area is not hidden where another place will do
    board = next((one for one in free if not one.box.intersects(weak)), next(iter(free), None))
    if board is None:
        return ""
    places.take(board.box)
    return board.svg()


def _choices(block: MapBlock, shown: BaseGeometry, language: str) -> Iterator[_Board]:
    west, north, east, south = shown.bounds
    width, height = east - west, south - north
    middle, inner = shapely.centroid(shown), shapely.point_on_surface(shown)
    share = part_text(block.pruned, block.trees, language)
    full = " · ".join(one for one in (block.variety, share) if one)
    for below, sizes in ((full, _CODE_MM[:4]), (share, _CODE_MM), ("", _CODE_MM)):
        for size in sizes:
            if _Board(block, size, below, 0, 0).size[0] > _MOST_OF_GROUND * width:
                continue
            for start in (middle, inner):
                for dx, dy in _SPOTS:
                    board = _Board(block, size, below, start.x + dx * width, start.y + dy * height)
                    if shown.contains(board.box):
                        yield board
    smallest = _Board(block, _CODE_MM[-1], "", 0, 0)
    for far in (1.0, 1.8, 2.6):
        for dx, dy in ((0, 0), *_BESIDE):
            x = middle.x + dx * far * (width + smallest.size[0])
            yield _Board(block, _CODE_MM[-1], "", x, middle.y + dy * far * (height + smallest.size[1]))
