"""A block's name on a map: its verdict, code, variety and share on a small white board, where nothing else stands."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime

import shapely
from shapely.geometry import Polygon, box
from shapely.geometry.base import BaseGeometry

from orchardmap.locale.catalogue import message, translated
from orchardmap.locale.dates import day_month_text
from orchardmap.locale.numbers import part_text
from orchardmap.maps import signs
from orchardmap.maps.sign_svg import glyph_svg
from orchardmap.paper.map_content import MapBlock
from orchardmap.paper.map_frame import MapFrame
from orchardmap.paper.map_labels import Label, LabelPlaces, label_svg
from orchardmap.paper.text_size import text_width_em

__all__ = ["block_name"]

Below = tuple[str, ...]
_CLOSED = message("closed")
_UNTIL = message("until {day}, {time}")
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
    below: tuple[str, ...]
    x: float
    y: float

    @property
    def size(self) -> tuple[float, float]:
        code = self.code_mm * (text_width_em(self.block.code) + self._pith_em)
        face = 1.0 if self.block.closed_until else 0.92  # the plain face is narrower than the bold one
        below = [_SMALL_MM * text_width_em(one) * face for one in self.below]
        height = self.code_mm + _SMALL_MM * _LEADING * len(below)
        return max(code, *below, 0.0) + 2 * _PAD_MM, height + 2 * _PAD_MM

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
        is_closed, last = bool(self.block.closed_until), south - _PAD_MM - _SMALL_MM / 2
        for up, said in enumerate(reversed(self.below)):
            parts.append(
                label_svg(Label(said, self.x, last - up * _SMALL_MM * _LEADING, _SMALL_MM, is_bold=is_closed))
            )
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
    for below, sizes in _below(block, language):
        for size in sizes:
            if _Board(block, size, below, 0, 0).size[0] > _MOST_OF_GROUND * width:
                continue
            for start in (middle, inner):
                for dx, dy in _SPOTS:
                    board = _Board(block, size, below, start.x + dx * width, start.y + dy * height)
                    if shown.contains(board.box):
                        yield board
    least: Below = (translated(_CLOSED, language),) if block.closed_until else ()
    smallest = _Board(block, _CODE_MM[-1], least, 0, 0)
    for far in (1.0, 1.8, 2.6):
        for dx, dy in ((0, 0), *_BESIDE):
            x = middle.x + dx * far * (width + smallest.size[0])
            yield _Board(block, _CODE_MM[-1], least, x, middle.y + dy * far * (height + smallest.size[1]))


def _below(block: MapBlock, language: str) -> list[tuple[Below, Sequence[float]]]:
    """Return what may stand below a code, with the sizes of the code for it: of a closed block that it is closed, always."""
    share = part_text(block.pruned, block.trees, language)
    if not block.closed_until:
        full = " · ".join(one for one in (block.variety, share) if one)
        return [((full,), _CODE_MM[:4]), ((share,), _CODE_MM), ((), _CODE_MM)]
    until, closed = datetime.fromisoformat(block.closed_until), translated(_CLOSED, language)
    when = translated(_UNTIL, language).format(
        day=day_month_text(until.date(), language), time=f"{until:%H:%M}"
    )
    return [((closed, when), _CODE_MM[:4]), ((closed, share), _CODE_MM[:5]), ((closed,), _CODE_MM)]
