"""A window of the farm's flat ground on a sheet: metres to millimetres at one scale, north up."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from shapely.geometry import Polygon, box
from shapely.geometry.base import BaseGeometry

__all__ = ["MapFrame", "frames_over"]

Size = tuple[float, float]


@dataclass(frozen=True, slots=True)
class MapFrame:
    """So much ground about a middle."""

    size_mm: Size
    scale: int
    """Denominator: 2500 is 1:2500."""
    middle_m: tuple[float, float]

    @property
    def box_mm(self) -> Polygon:
        """The frame on its sheet."""
        return box(0.0, 0.0, *self.size_mm)

    @property
    def box_m(self) -> Polygon:
        """The ground it shows."""
        (x, y), (width, height) = self.middle_m, (one * self.scale / 2000 for one in self.size_mm)
        return box(x - width, y - height, x + width, y + height)

    def mm(self, shapes: Sequence[BaseGeometry]) -> Any:  # noqa: ANN401 - an array of shapes
        """Return shapes as they stand in the frame, an array of the same length."""
        per_m, (width, height) = 1000 / self.scale, self.size_mm
        corner = np.array([self.middle_m[0] - width / 2 / per_m, self.middle_m[1] + height / 2 / per_m])
        return shapely.transform(
            np.array(list(shapes), dtype=object), lambda xy: (xy - corner) * np.array([per_m, -per_m])
        )

    def cut_mm(self, shapes: Sequence[BaseGeometry]) -> Any:  # noqa: ANN401 - an array of shapes
        """Return what of shapes lies in the frame, as an array without empty ones."""
        placed = self.mm(shapes)
        near = placed[shapely.intersects(placed, self.box_mm)]
        inside = shapely.covers(self.box_mm, near)
        if not inside.all():
            near = near.copy()
            near[~inside] = shapely.clip_by_rect(near[~inside], 0.0, 0.0, *self.size_mm)
        return near[~shapely.is_empty(near)]


def frames_over(
    bounds_m: tuple[float, float, float, float], size_mm: Size, scale: int, lap_mm: float
) -> Iterator[MapFrame]:
    """Return frames of one scale that cover ground, from the north-west along the rows of sheets, each a little over its neighbours."""
    west, south, east, north = bounds_m
    m = scale / 1000
    columns, lines = (
        max(1, math.ceil((length - lap_mm * m) / ((size - lap_mm) * m) - 1e-9))
        for length, size in zip((east - west, north - south), size_mm, strict=True)
    )
    step_x, step_y = ((size - lap_mm) * m for size in size_mm)
    x, y = (west + east) / 2, (south + north) / 2
    for line in range(lines):
        for column in range(columns):
            middle = x + (column - (columns - 1) / 2) * step_x, y - (line - (lines - 1) / 2) * step_y
            yield MapFrame(size_mm, scale, middle)
