"""Words on a map, each where nothing else stands. Lengths in millimetres, y downwards; angles in degrees, clockwise."""

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from html import escape

import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from orchardmap.paper.text_size import text_width_em

__all__ = ["Label", "LabelPlaces", "label_svg", "upright_angle"]

DIGIT_HEIGHT = 0.73
"""Of the size of a letter (DejaVu Sans)."""
_CELL_MM = 12.0
_PAD_MM = 0.25


@dataclass(frozen=True, slots=True)
class Label:
    """One line of text about its middle."""

    text: str
    x: float
    y: float
    size_mm: float
    angle: float = 0.0
    is_bold: bool = False
    has_ground: bool = False
    """White below it, where it stands on lines."""

    @property
    def width_mm(self) -> float:
        """No less than it takes."""
        return text_width_em(self.text) * self.size_mm

    @property
    def box(self) -> Polygon:
        """What it takes up, with a little air."""
        half_w, half_h = self.width_mm / 2 + _PAD_MM, self.size_mm * DIGIT_HEIGHT / 2 + _PAD_MM
        turn = math.radians(self.angle)
        along = (math.cos(turn) * half_w, math.sin(turn) * half_w)
        across = (-math.sin(turn) * half_h, math.cos(turn) * half_h)
        return Polygon([
            (self.x + a * along[0] + b * across[0], self.y + a * along[1] + b * across[1])
            for a, b in ((-1, -1), (1, -1), (1, 1), (-1, 1))
        ])


@dataclass
class LabelPlaces:
    """What of a sheet is taken by words."""

    frame: BaseGeometry
    _cells: dict[tuple[int, int], list[BaseGeometry]] = field(default_factory=lambda: defaultdict(list))

    def is_free(self, box: BaseGeometry) -> bool:
        """Tell whether a box lies inside the frame and on no other one."""
        if not self.frame.contains(box):
            return False
        return not any(
            shapely.intersects(box, other) for cell in _cells_of(box) for other in self._cells[cell]
        )

    def take(self, box: BaseGeometry) -> None:
        """Keep others off a box."""
        for cell in _cells_of(box):
            self._cells[cell].append(box)

    def first_free(self, choices: Iterable[Label]) -> Label | None:
        """Return the first of several labels that has room, and keep others off it."""
        for label in choices:
            box = label.box
            if self.is_free(box):
                self.take(box)
                return label
        return None


def _cells_of(box: BaseGeometry) -> Iterator[tuple[int, int]]:
    west, north, east, south = (math.floor(one / _CELL_MM) for one in box.bounds)
    for i in range(west, east + 1):
        for j in range(north, south + 1):
            yield i, j


def label_svg(label: Label) -> str:
    """Return a label as SVG elements."""
    turned = f'transform="translate({label.x:.2f} {label.y:.2f}) rotate({label.angle:.2f})"'
    ground = ""
    if label.has_ground:
        half_w, half_h = label.width_mm / 2, label.size_mm * DIGIT_HEIGHT / 2 + _PAD_MM
        ground = (
            f'<rect x="{-half_w:.2f}" y="{-half_h:.2f}" width="{2 * half_w:.2f}" height="{2 * half_h:.2f}" '
            f'fill="#FFFFFF" {turned}/>'
        )
    weight = ' font-weight="700"' if label.is_bold else ""
    return (
        f'{ground}<text {turned} y="{label.size_mm * DIGIT_HEIGHT / 2:.2f}" text-anchor="middle" '
        f'font-size="{label.size_mm:.2f}"{weight}>{escape(label.text)}</text>'
    )


def upright_angle(dx: float, dy: float) -> float:
    """Return the angle of text along a direction, so that nobody reads it upside down.

    Examples
    --------
    >>> upright_angle(1.0, 0.0), upright_angle(-1.0, 0.0), upright_angle(0.0, 1.0)
    (0.0, 0.0, -90.0)
    """
    angle = math.degrees(math.atan2(dy, dx))
    while angle >= 90.0 - 1e-9:
        angle -= 180.0
    while angle < -90.0 - 1e-9:
        angle += 180.0
    return angle + 0.0
