"""Edits of whole blocks: drawn, laid anew, cut in two, joined, shifted, taken away. Nothing here asks what was marked."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import cast

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import MultiLineString, MultiPolygon, Polygon

from orchardmap.errors import ConflictError, InputError, UnknownError
from orchardmap.geometry.block_cut import Cut
from orchardmap.geometry.frame import local_xy_m, lonlat_deg, origin_lonlat
from orchardmap.geometry.geodesy import area_m2, line_lengths_m
from orchardmap.geometry.ground import BlockGround, Ground, GroundRow, next_number
from orchardmap.geometry.laying import laid_rows
from orchardmap.geometry.plantings import checked_planting
from orchardmap.geometry.resurvey import rows_by_place
from orchardmap.model.orchard import Block, Planting, Row
from orchardmap.units import m2_to_ha

__all__ = ["BlockEdit", "DrawOutline", "DropBlock", "JoinBlocks", "LayBlock", "NameBlock", "NewBlock", "ShiftBlock", "SplitBlock"]  # fmt: skip

Areal = Polygon | MultiPolygon
FloatArray = NDArray[np.float64]
Blocks = dict[str, BlockGround]
Mover = Callable[[FloatArray], FloatArray]

_MOST_SHIFT_M = 1_000.0
_SAME_ROW = 0.45
"""Of the row spacing: a row of a new survey that stands nearer to an old one is that row."""


def _of(ground: Ground, block_id: str) -> BlockGround:
    if block_id not in ground:
        raise UnknownError("no such block here", where=block_id)
    return ground[block_id]


def _area_ha(outline: Areal | None) -> float:
    return 0.0 if outline is None else m2_to_ha(area_m2(outline))


@dataclass(frozen=True, slots=True)
class NewBlock:
    """A block that is missing: an outline with its planting, or surveyed rows."""

    block: Block
    """With outline and planting; its area is worked out."""
    surveyed: tuple[MultiLineString, ...] = ()
    numbers: tuple[int, ...] | None = None

    def applied(self, ground: Ground) -> Blocks:
        """Return the ground with the block and its rows."""
        made = replace(self.block, area_ha=_area_ha(self.block.outline))
        if made.id in ground:
            raise ConflictError("there is a block of that id already", where=made.code)
        rows = laid_rows(
            made.outline,
            made.planting,
            surveyed=self.surveyed,
            numbers=self.numbers,
            block_id=made.id,
            where=made.code,
        )
        return {**ground, made.id: BlockGround(made, tuple(GroundRow(row) for row in rows))}


@dataclass(frozen=True, slots=True)
class LayBlock:
    """A block surveyed again, or laid by other numbers: rows that stand where one stood keep its number and what was counted."""

    block_id: str
    outline: Areal | None = None
    """None keeps the outline."""
    planting: Planting | None = None
    """None keeps the planting."""
    surveyed: tuple[MultiLineString, ...] = ()
    numbers: tuple[int, ...] | None = None
    """Of the surveyed rows, as the file has them: for those that stand where none stood."""

    def applied(self, ground: Ground) -> Blocks:
        """Return the ground with the rows that outline and planting give, or that were surveyed."""
        there = _of(ground, self.block_id)
        outline = self.outline or there.block.outline
        planting = self.planting or there.block.planting
        block = replace(there.block, outline=outline, planting=planting, area_ha=_area_ha(outline))
        laid = laid_rows(
            outline,
            planting,
            surveyed=self.surveyed,
            numbers=self.numbers,
            block_id=block.id,
            where=block.code,
        )
        pitch_m = checked_planting(cast(Planting, planting)).row_spacing_m
        rows = rows_by_place(there, laid, within_m=_SAME_ROW * pitch_m)
        fresh = BlockGround(block, ()).with_rows(rows)
        return {**ground, block.id: fresh}


@dataclass(frozen=True, slots=True)
class NameBlock:
    """Another code, name or variety of a block; no row changes."""

    block_id: str
    code: str
    name: str
    variety_id: str | None

    def applied(self, ground: Ground) -> Blocks:
        """Return the ground with the block called so."""
        there = _of(ground, self.block_id)
        block = replace(there.block, code=self.code, name=self.name, variety_id=self.variety_id)
        return {**ground, block.id: replace(there, block=block)}


@dataclass(frozen=True, slots=True)
class DrawOutline:
    """Another outline around the rows that are there."""

    block_id: str
    outline: Areal

    def applied(self, ground: Ground) -> Blocks:
        """Return the ground with the outline; no row changes."""
        there = _of(ground, self.block_id)
        block = replace(there.block, outline=self.outline, area_ha=_area_ha(self.outline))
        return {**ground, block.id: replace(there, block=block)}


@dataclass(frozen=True, slots=True)
class ShiftBlock:
    """A block that was drawn beside its place: outline and rows move as one, no tree is counted anew."""

    block_id: str
    east_m: float
    north_m: float

    def applied(self, ground: Ground) -> Blocks:
        """Return the ground with the block moved."""
        if not np.hypot(self.east_m, self.north_m) <= _MOST_SHIFT_M:
            raise InputError("a block moves by 1,000 m at most", where="shift", todo="Draw it anew there.")
        there = _of(ground, self.block_id)
        outlines = [] if there.block.outline is None else [there.block.outline]
        geometries = [*(one.row.line for one in there.rows), *outlines]
        origin = origin_lonlat(shapely.get_coordinates(geometries))
        by_m = np.array((self.east_m, self.north_m))

        def moved(lonlat: FloatArray) -> FloatArray:
            return lonlat_deg(local_xy_m(lonlat, origin) + by_m, origin)

        rows = tuple(replace(one, row=_moved_row(one.row, moved)) for one in there.rows)
        outline = None if there.block.outline is None else shapely.transform(there.block.outline, moved)
        block = replace(
            there.block,
            outline=outline,
            planting=_moved_planting(there.block.planting, moved),
            area_ha=_area_ha(outline),
        )
        return {**ground, block.id: BlockGround(block, rows)}


def _moved_row(row: Row, moved: Mover) -> Row:
    line = shapely.transform(row.line, moved)
    return replace(row, line=line, length_m=float(line_lengths_m(list(line.geoms)).sum()))


def _moved_planting(planting: Planting | None, moved: Mover) -> Planting | None:
    if planting is None:
        return None

    def points(drawn: tuple[tuple[float, float], ...]) -> list[tuple[float, float]]:
        return [(lon, lat) for lon, lat in moved(np.array(drawn)).tolist()]

    if planting.baseline is not None:
        return replace(planting, baseline=tuple(points(planting.baseline)))
    if planting.first_row is not None:
        first, second = points(planting.first_row)
        return replace(planting, first_row=(first, second))
    return planting


@dataclass(frozen=True, slots=True)
class SplitBlock:
    """A block that is two, cut by a straight line without end.

    The side on which the lowest-numbered row begins keeps the block; rows of the other side keep their numbers in the new one. A row
    that the line crosses is cut into two of the same number, one in each block.
    """

    block_id: str
    cut: tuple[tuple[float, float], tuple[float, float]]
    """Two points on the line, lonlat degrees."""
    made: Block
    """Id, code and name of the new block; its variety and planting are the old one's."""
    other_side: bool = False
    """The other side keeps the block."""

    def applied(self, ground: Ground) -> Blocks:
        """Return the ground with both blocks."""
        there = _of(ground, self.block_id)
        if self.made.id in ground:
            raise ConflictError("there is a block of that id already", where=self.made.code)
        cut = Cut(self.cut)
        if not there.rows:
            raise InputError("a block without rows cannot be cut", where=there.block.code)
        keeps = cut.first_side(there.rows[0].row)
        keeps = -keeps if self.other_side else keeps
        stay: list[GroundRow] = []
        leave: list[GroundRow] = []
        for one in there.rows:
            for side, piece in cut.pieces(one):
                (stay if side == keeps else leave).append(piece)
        if not stay or not leave:
            raise InputError(
                "all rows lie on one side of the line",
                where=there.block.code,
                todo="Draw the line through the block.",
            )
        outlines = cut.outlines(there.block.outline, keeps)
        old = replace(there.block, outline=outlines[0], area_ha=_area_ha(outlines[0]))
        new = replace(
            self.made,
            farm_id=old.farm_id,
            variety_id=old.variety_id,
            planting=old.planting,
            slope_percent=old.slope_percent,
            outline=outlines[1],
            area_ha=_area_ha(outlines[1]),
        )
        moved = [replace(one, row=replace(one.row, block_id=new.id)) for one in leave]
        return {
            **ground,
            old.id: BlockGround(old, ()).with_rows(stay),
            new.id: BlockGround(new, ()).with_rows(moved),
        }


@dataclass(frozen=True, slots=True)
class JoinBlocks:
    """Two blocks that are one: rows of the other go behind this one's numbers, and it is there no more."""

    block_id: str
    other_id: str

    def applied(self, ground: Ground) -> Blocks:
        """Return the ground without the other block."""
        if self.block_id == self.other_id:
            raise InputError("a block cannot be joined to itself", where=self.block_id)
        into, other = _of(ground, self.block_id), _of(ground, self.other_id)
        behind = next_number(into) - 1
        rows = [
            replace(one, row=replace(one.row, block_id=into.block.id, number=behind + place))
            for place, one in enumerate(other.rows, 1)
        ]
        outlines = [outline for outline in (into.block.outline, other.block.outline) if outline is not None]
        outline = cast(Areal, shapely.union_all(outlines)) if outlines else None
        block = replace(into.block, outline=outline, area_ha=_area_ha(outline))
        joined = BlockGround(block, into.rows).with_rows(rows)
        return {
            key: joined if key == block.id else one for key, one in ground.items() if key != self.other_id
        }


@dataclass(frozen=True, slots=True)
class DropBlock:
    """A block that is not there."""

    block_id: str

    def applied(self, ground: Ground) -> Blocks:
        """Return the ground without it."""
        _of(ground, self.block_id)
        return {key: one for key, one in ground.items() if key != self.block_id}


BlockEdit = NewBlock | NameBlock | LayBlock | DrawOutline | ShiftBlock | SplitBlock | JoinBlocks | DropBlock
