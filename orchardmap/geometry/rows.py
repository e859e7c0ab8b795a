"""From outlines and plantings to rows with their true lengths and positions.

`rows_of_blocks` lays the straight rows of a whole farm at once, as arrays; `rows_of_block` gives the
rows of one block, straight or curved, as values of the model.

Conventions (design note 02): the bearing is clockwise from true north and its *direction* counts. Rows
are numbered from the left of travel to the right, positions from where the travel starts. Row 1 lies
at the leftmost vertex plus the first-row offset, the next ones at the row spacing, as long as they lie
left of the rightmost vertex. Where two points name row 1, the others follow on the side on which more of the block
lies: so row 1 may also be the rightmost one. A row without a part that is long enough does not exist, and the rows
that do exist are numbered 1, 2, 3 ... without a gap.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import MultiPolygon, Polygon

from orchardmap.errors import InputError, OutlineError
from orchardmap.geometry.curved import curved_rows
from orchardmap.geometry.frame import local_xy_m, lonlat_deg
from orchardmap.geometry.plantings import checked_planting, planting_table, position_counts
from orchardmap.geometry.scanline import Ground, StraightParts, ground_of, straight_parts
from orchardmap.model.orchard import Planting, Row

__all__ = ["RowLines", "orchard_rows", "rows_of_block", "rows_of_blocks"]

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]


@dataclass(frozen=True, slots=True, eq=False)
class RowLines:
    """Straight rows of many blocks as arrays: m rows made of p parts, in order of block and number."""

    block: IntArray
    """Shape (m,): which outline, 0 ... n-1."""
    number: IntArray
    """Shape (m,): row number within the block, from 1."""
    pair: IntArray
    """Shape (m,): lines of one double row share it; with single rows each row has its own."""
    length_m: FloatArray
    """Shape (m,): geodesic plan length of all parts."""
    positions: IntArray
    """Shape (m,)."""
    end_offset_m: FloatArray
    """Shape (m,): from each end of a part to its first and last position."""
    first_part: IntArray
    """Shape (m + 1,): parts of row i are first_part[i] ... first_part[i + 1] - 1."""
    start_lonlat: FloatArray
    """Shape (p, 2), degrees: first end of each part."""
    end_lonlat: FloatArray
    """Shape (p, 2), degrees."""
    part_length_m: FloatArray
    """Shape (p,)."""
    part_positions: IntArray
    """Shape (p,)."""

    def __len__(self) -> int:
        return len(self.number)


def rows_of_blocks(outlines: Sequence[Polygon | MultiPolygon], plantings: Sequence[Planting]) -> RowLines:
    """Return the straight rows of many blocks, without a loop over blocks or rows.

    Parameters
    ----------
    outlines : sequence of Polygon or MultiPolygon, n of them, degrees
        EPSG:4326. v_min runs over all parts of a MultiPolygon. They should be free of faults
        (`orchardmap.geometry.outline.faults`); a ring that crosses itself is read by the even-odd rule.
    plantings : sequence of Planting, n of them
        Spacings in metres, bearings in degrees. Where ``first_row`` names two points, row 1 runs
        through them, from the first to the second, and the other rows follow on the side on which the outline
        reaches farther from it.

    Returns
    -------
    RowLines
        Rows in order of block and number; lengths in metres, ends in degrees.

    Raises
    ------
    InputError
        If there is not one planting for each outline, a number in one cannot be used, or a planting
        has a baseline (curved rows are laid block by block, by `rows_of_block`).

    Notes
    -----
    A first row by two points is refused (`OutlineError`) when the points are nearer to each other
    than one row spacing (the bearing would be a guess), when one of them lies more than one row
    spacing outside the outline, and when no part of the row they name lies inside: rows would
    be numbered from one that does not exist.

    Examples
    --------
    A block of 100 m by 200 m (case O1): rows at 2.5, 6.5 ... 98.5 m.

    >>> ring = [(11.30065, 46.4991), (11.30065, 46.5009), (11.29935, 46.5009), (11.29935, 46.4991)]
    >>> rows = rows_of_blocks([Polygon(ring)], [Planting(0.0, 4.0, 1.9, 1.0, 2.5)])
    >>> len(rows), int(rows.positions.sum())
    (25, 2625)
    """
    if len(outlines) != len(plantings):
        raise InputError(f"There are {len(outlines)} outlines and {len(plantings)} plantings.")
    table = planting_table(plantings)
    for index, planting in enumerate(plantings):
        if planting.baseline is not None:
            raise InputError(f"Planting {index + 1} has curved rows.", where="baseline")
    ground = ground_of(outlines)
    bearing_deg, first_v_m, side = _first_rows(outlines, plantings, ground=ground)
    bearing_deg = np.where(np.isnan(bearing_deg), table.bearing_deg, bearing_deg)
    parts = straight_parts(ground, table, bearing_deg=bearing_deg, first_v_m=first_v_m, side=side)
    named = ~np.isnan(first_v_m)
    if named.any():
        _refuse_missing_first_row(parts, named)
    return _row_lines(parts, ground, plantings=plantings, lines_per_row=table.lines_per_row.astype(np.int64))


def rows_of_block(outline: Polygon | MultiPolygon, planting: Planting, *, block_id: str = "") -> list[Row]:
    """Return the rows of one block, straight, or curved where the planting has a baseline.

    Parameters
    ----------
    outline : Polygon or MultiPolygon, degrees
        EPSG:4326.
    planting : Planting
        Spacings in metres, bearing in degrees.
    block_id : str
        What the rows' ``block_id`` shall be.

    Returns
    -------
    list of Row
        In order of their numbers, 1, 2, 3 ...; empty where no row fits. Lines are in EPSG:4326.

    Notes
    -----
    Refuses what `rows_of_blocks` refuses, with the same errors.

    Examples
    --------
    >>> ring = [(11.30065, 46.4991), (11.30065, 46.5009), (11.29935, 46.5009), (11.29935, 46.4991)]
    >>> rows = rows_of_block(Polygon(ring), Planting(0.0, 4.0, 1.9, 1.0, 2.5), block_id="north")
    >>> rows[0].block_id, rows[0].number, rows[-1].number, rows[0].positions
    ('north', 1, 25, 105)
    """
    if checked_planting(planting).baseline is not None:
        return [row for _, row in curved_rows(outline, planting, block_id=block_id)]
    return orchard_rows(rows_of_blocks([outline], [planting]), [block_id])[0]


def orchard_rows(rows: RowLines, block_ids: Sequence[str]) -> list[list[Row]]:
    """Return straight rows as values of the model, block by block.

    Parameters
    ----------
    rows : RowLines
        Rows of n blocks.
    block_ids : sequence of str, n of them
        What the rows' ``block_id`` shall be.

    Returns
    -------
    list of list of Row
        One list for each block id, in order of row numbers; lengths in metres.
    """
    ends = np.stack((rows.start_lonlat, rows.end_lonlat), axis=1)
    owner = np.repeat(np.arange(len(rows)), np.diff(rows.first_part))
    parts = np.asarray(shapely.linestrings(ends), dtype=object)
    lines: NDArray[np.object_] = np.empty(len(rows), dtype=object)
    if len(rows):
        shapely.multilinestrings(parts, indices=owner, out=lines)
    counts, first = rows.part_positions.tolist(), rows.first_part.tolist()
    blocks: list[list[Row]] = [[] for _ in block_ids]
    columns = zip(
        rows.block.tolist(),
        rows.number.tolist(),
        rows.length_m.tolist(),
        rows.end_offset_m.tolist(),
        strict=True,
    )
    for i, (block, number, length_m, end_offset_m) in enumerate(columns):
        blocks[block].append(
            Row(
                block_id=block_ids[block],
                number=number,
                line=lines[i],
                length_m=length_m,
                end_offset_m=end_offset_m,
                part_positions=tuple(counts[first[i] : first[i + 1]]),
            )
        )
    return blocks


def _first_rows(
    outlines: Sequence[Polygon | MultiPolygon], plantings: Sequence[Planting], *, ground: Ground
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return bearing and ``v`` of the rows named by two points, NaN for the other blocks, and the side on which rows follow."""
    bearing_deg, first_v_m = np.full((2, len(plantings)), np.nan)
    side = np.ones(len(plantings))
    which = np.array([i for i, p in enumerate(plantings) if p.first_row is not None], dtype=np.int64)
    if not len(which):
        return bearing_deg, first_v_m, side
    points = np.array([p.first_row for p in plantings if p.first_row is not None], dtype=np.float64)
    origin = ground.origin_lonlat[which]
    start, end = local_xy_m(points[:, 0], origin), local_xy_m(points[:, 1], origin)
    pitch_m = np.array([plantings[i].row_spacing_m for i in which])
    step = end - start
    near = np.hypot(step[:, 0], step[:, 1]) < pitch_m
    if near.any():
        raise OutlineError(
            "The two points of the first row are less than one row spacing apart.",
            where=f"first_row of outline {int(which[np.argmax(near)]) + 1}",
            todo="Take one at each end of the row.",
        )
    _refuse_far_points(
        outlines, which, points_xy_m=np.stack((start, end), axis=1), ground=ground, pitch_m=pitch_m
    )
    angle = np.arctan2(step[:, 0], step[:, 1])
    bearing_deg[which] = np.degrees(angle) % 360.0
    first_v_m[which] = start[:, 0] * np.cos(angle) - start[:, 1] * np.sin(angle)
    for i, turn in zip(which.tolist(), angle.tolist(), strict=True):
        v_m = ground.xy_m[ground.block == i] @ np.array([np.cos(turn), -np.sin(turn)]) - first_v_m[i]
        side[i] = -1.0 if -v_m.min() > v_m.max() else 1.0
    return bearing_deg, first_v_m, side


def _refuse_far_points(
    outlines: Sequence[Polygon | MultiPolygon],
    which: IntArray,
    *,
    points_xy_m: FloatArray,
    ground: Ground,
    pitch_m: FloatArray,
) -> None:
    for i, points, reach_m in zip(which.tolist(), points_xy_m, pitch_m.tolist(), strict=True):
        origin = ground.origin_lonlat[i]
        local = shapely.transform(outlines[i], partial(local_xy_m, origin_lonlat=origin))
        away_m = shapely.distance(local, shapely.points(points))
        if away_m.max() > reach_m:
            raise OutlineError(
                f"A point of the first row lies {away_m.max():.1f} m outside the outline, more than one row spacing.",
                where=f"first_row of outline {i + 1}",
                todo="Take both ends of the row inside the outline, or on its edge.",
            )


def _refuse_missing_first_row(parts: StraightParts, named: NDArray[np.bool_]) -> None:
    has_first = np.zeros(len(named), dtype=bool)
    has_first[parts.block[parts.line == 0]] = True
    lacking = named & ~has_first
    if lacking.any():
        raise OutlineError(
            "No part of the row through the two points lies inside the outline.",
            where=f"first_row of outline {int(np.argmax(lacking)) + 1}",
            todo="Take two points on the first row that carries trees, its first end first.",
        )


def _row_lines(
    parts: StraightParts, ground: Ground, *, plantings: Sequence[Planting], lines_per_row: IntArray
) -> RowLines:
    tree_spacing_m = np.array([p.tree_spacing_m for p in plantings], dtype=np.float64)[parts.block]
    end_offset_m = np.array([p.end_offset_m for p in plantings], dtype=np.float64)[parts.block]
    counts = position_counts(parts.length_m, tree_spacing_m=tree_spacing_m, end_offset_m=end_offset_m)
    opens = np.ones(len(parts.line), dtype=bool)
    opens[1:] = (parts.block[1:] != parts.block[:-1]) | (parts.line[1:] != parts.line[:-1])
    first = np.flatnonzero(opens)
    block = parts.block[first]
    origin = ground.origin_lonlat[parts.block]
    before = np.searchsorted(block, np.arange(len(plantings)))
    return RowLines(
        block=block,
        number=np.arange(len(first)) - before[block] + 1,
        pair=parts.line[first] // lines_per_row[block],
        length_m=np.add.reduceat(parts.length_m, first) if len(first) else np.empty(0),
        positions=np.add.reduceat(counts, first) if len(first) else np.empty(0, dtype=np.int64),
        end_offset_m=end_offset_m[first],
        first_part=np.append(first, len(parts.line)),
        start_lonlat=lonlat_deg(parts.start_xy_m, origin),
        end_lonlat=lonlat_deg(parts.end_xy_m, origin),
        part_length_m=parts.length_m,
        part_positions=counts,
    )
