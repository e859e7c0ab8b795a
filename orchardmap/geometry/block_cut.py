"""A straight line through a block: on which side of it rows and outline lie."""

from functools import partial
from typing import cast

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import MultiPolygon, Polygon

from orchardmap.errors import InputError, OutlineError
from orchardmap.geometry.frame import local_xy_m, lonlat_deg, origin_lonlat
from orchardmap.geometry.ground import GroundRow
from orchardmap.geometry.positions import position_lonlat
from orchardmap.geometry.row_edits import split_ground_row
from orchardmap.model.orchard import Row

__all__ = ["Cut"]

FloatArray = NDArray[np.float64]
Areal = Polygon | MultiPolygon

_FAR_M = 100_000.0
"""Half-planes are drawn as boxes of this size: no block reaches so far."""
_SLIVER_M2 = 0.001


class Cut:
    """A straight line in a local frame around it."""

    def __init__(self, points: tuple[tuple[float, float], tuple[float, float]]) -> None:
        self.origin = origin_lonlat(np.array(points))
        self.start, end = local_xy_m(np.array(points), self.origin)
        step = end - self.start
        length = float(np.hypot(*step))
        if not length > 0.1:
            raise InputError(
                "the two points of the line are one", where="cut", todo="Take them farther apart."
            )
        self.unit = step / length

    def side(self, lonlat: FloatArray) -> NDArray[np.int64]:
        """Return 1 for points on the right of the line or on it, -1 for those on its left."""
        off = local_xy_m(lonlat, self.origin) - self.start
        return np.where(off[:, 0] * self.unit[1] - off[:, 1] * self.unit[0] >= 0.0, 1, -1)

    def first_side(self, row: Row) -> int:
        """Return the side on which a row begins."""
        return int(self.side(_places(row))[0])

    def pieces(self, one: GroundRow) -> list[tuple[int, GroundRow]]:
        """Return a row, whole or cut, with the side of each piece."""
        sides = self.side(_places(one.row))
        turns = np.flatnonzero(np.diff(sides))
        if not len(turns):
            return [(int(sides[0]), one)]
        if len(turns) > 1:
            raise OutlineError(
                "the line crosses it more than once",
                where=f"row {one.row.number}",
                todo="Cut it in two steps.",
            )
        first, second = split_ground_row(one, int(turns[0]) + 1)
        return [(int(sides[0]), first), (int(sides[-1]), second)]

    def outlines(self, outline: Areal | None, keeps: int) -> tuple[Areal | None, Areal | None]:
        """Return what of an outline lies on the side that keeps the block, and the rest."""
        if outline is None:
            return None, None
        right = np.array([self.unit[1], -self.unit[0]]) * keeps
        ahead = self.unit * _FAR_M
        corners = [
            self.start - ahead,
            self.start + ahead,
            self.start + ahead + right * _FAR_M,
            self.start - ahead + right * _FAR_M,
        ]
        half = Polygon(corners)
        local = shapely.transform(outline, partial(local_xy_m, origin_lonlat=self.origin))
        both = shapely.intersection(local, half), shapely.difference(local, half)
        kept, rest = (self._areal(piece) for piece in both)
        return kept, rest

    def _areal(self, piece: shapely.Geometry) -> Areal | None:
        parts = [
            part
            for part in shapely.get_parts(piece)
            if part.geom_type == "Polygon" and part.area > _SLIVER_M2
        ]
        if not parts:
            return None
        areal = parts[0] if len(parts) == 1 else MultiPolygon(parts)
        return cast(Areal, shapely.transform(areal, lambda xy: lonlat_deg(xy, self.origin)))


def _places(row: Row) -> FloatArray:
    """Return where the positions of a row stand, shape (n, 2), degrees; the middle of its line where it has none."""
    if row.positions:
        return position_lonlat(row)
    return np.array([row.line.interpolate(0.5, normalized=True).coords[0]])
