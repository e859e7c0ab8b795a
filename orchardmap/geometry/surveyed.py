"""Rows that were surveyed: lines as given, put in order, measured."""

from collections.abc import Mapping, Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import LineString, MultiLineString

from orchardmap.errors import InputError, OutlineError
from orchardmap.geometry.frame import local_xy_m, origin_lonlat
from orchardmap.geometry.geodesy import line_lengths_m
from orchardmap.geometry.plantings import checked_planting, position_counts
from orchardmap.model.orchard import Planting, Row

__all__ = ["measured_pitch_m", "rows_bearing_deg", "surveyed_rows", "told_bearing_deg"]

FloatArray = NDArray[np.float64]
Linear = LineString | MultiLineString


def rows_bearing_deg(lines: Sequence[Linear]) -> float:
    """Return the common bearing of surveyed rows, in the direction of the first one.

    Parameters
    ----------
    lines : sequence of LineString or MultiLineString, n >= 1 of them, degrees
        EPSG:4326. Rows drawn the other way count as turned round.

    Returns
    -------
    float
        Degrees from true north, clockwise, 0 <= bearing < 360; longer rows weigh more.

    Raises
    ------
    OutlineError
        If there is no line, or a line has no length from end to end.
    """
    steps, _ = _steps_and_middles_m(lines)
    if not len(steps) or not np.hypot(steps[:, 0], steps[:, 1]).all():
        raise OutlineError("A surveyed row has no length.", where="rows")
    turned = np.where(steps @ steps[0] < 0.0, -1.0, 1.0)
    east, north = (steps * turned[:, None]).sum(axis=0)
    return float(np.degrees(np.arctan2(east, north)) % 360.0)


def told_bearing_deg(lines: Sequence[Linear]) -> float | None:
    """Return the bearing of a block's rows as it is told: of the rows as they lie, whatever was typed when they were laid.

    Parameters
    ----------
    lines : sequence of LineString or MultiLineString, n of them, degrees
        The rows by number, each from its first end to its far end; EPSG:4326.

    Returns
    -------
    float or None
        Degrees from true north, clockwise, to two decimals, 0 <= bearing < 360; None where no row has two ends.
    """
    try:
        return round(rows_bearing_deg(lines), 2) % 360.0
    except OutlineError:
        return None


def measured_pitch_m(lines: Sequence[Linear]) -> float:
    """Return the row spacing that surveyed rows have: width across them over rows less one.

    Parameters
    ----------
    lines : sequence of LineString or MultiLineString, n >= 2 of them, degrees
        All rows of the block, none left out; EPSG:4326.

    Returns
    -------
    float
        Metres from row to row, on average.

    Raises
    ------
    OutlineError
        If there are fewer than two rows.

    Examples
    --------
    >>> rows = [LineString([(11 + k * 0.00005, 45), (11 + k * 0.00005, 45.001)]) for k in range(4)]
    >>> round(measured_pitch_m(rows), 2)
    3.94
    """
    if len(lines) < 2:
        raise OutlineError("It takes two rows to measure their spacing.", where="rows")
    across = _across_m(lines, rows_bearing_deg(lines))
    return float(np.ptp(across) / (len(lines) - 1))


def surveyed_rows(
    lines: Sequence[Linear],
    *,
    planting: Planting | None = None,
    numbers: Sequence[int] | None = None,
    counted: Mapping[int, int] | None = None,
    block_id: str = "",
) -> list[Row]:
    """Return surveyed lines as rows of a block.

    Parameters
    ----------
    lines : sequence of LineString or MultiLineString, n of them, degrees
        EPSG:4326, from first end to last end; parts in order.
    planting : Planting, optional
        Its in-row spacing and end offset give the positions of each part by the rule; its other
        numbers are the survey's to say. Without it every row must be counted.
    numbers : sequence of int, n of them, optional
        Row numbers as known on the farm. Without them lines drawn against the first one are turned
        round; the order given is kept where it already runs across the block, one way or the
        other, and else rows are numbered from left to right of the first line's direction.
    counted : mapping of row number to positions, optional
        Counts made in the field; they override the rule, and both are kept.
    block_id : str
        What the rows' ``block_id`` shall be.

    Returns
    -------
    list of Row
        In order of their numbers; lengths geodesic, metres.

    Raises
    ------
    InputError
        If numbers are missing, repeated or under 1, or rows have neither a count nor a planting.
    OutlineError
        If a row has no length.
    """
    if not lines:
        return []
    if numbers is None:
        lines, numbers = _in_order_across(lines), list(range(1, len(lines) + 1))
    counts = dict(counted or {})
    if len(numbers) != len(lines) or len(set(numbers)) != len(numbers) or min(numbers) < 1:
        raise InputError("Each row needs a number of its own, from 1.", where="numbers")
    unknown = sorted(set(counts) - set(numbers)) or sorted(n for n, count in counts.items() if count < 0)
    if unknown:
        raise InputError(f"There is no row {unknown[0]}, or its count is under 0.", where="counted")
    if planting is None and set(counts) != set(numbers):
        raise InputError(
            "Without an in-row spacing every surveyed row must be counted.", where="tree_spacing_m"
        )
    lengths_m = line_lengths_m(lines)
    if not (lengths_m > 0.0).all():
        raise OutlineError("It has no length.", where=f"surveyed row {numbers[int(np.argmin(lengths_m))]}")
    rows = [
        _row(line, number, planting=planting, block_id=block_id, counted=counts.get(number))
        for line, number in zip(lines, numbers, strict=True)
    ]
    return sorted(rows, key=lambda row: row.number)


def _row(line: Linear, number: int, *, planting: Planting | None, block_id: str, counted: int | None) -> Row:
    parts = list(line.geoms) if isinstance(line, MultiLineString) else [line]
    lengths_m = line_lengths_m(parts)
    rule = np.zeros(len(parts), dtype=np.int64)
    if planting is not None:
        rule = position_counts(
            lengths_m,
            tree_spacing_m=checked_planting(planting).tree_spacing_m,
            end_offset_m=planting.end_offset_m,
        )
    return Row(
        block_id=block_id,
        number=number,
        line=MultiLineString(parts),
        length_m=float(lengths_m.sum()),
        end_offset_m=0.0 if planting is None else planting.end_offset_m,
        part_positions=tuple(rule.tolist()),
        counted_positions=counted,
    )


def _in_order_across(lines: Sequence[Linear]) -> list[Linear]:
    bearing_deg = rows_bearing_deg(lines)
    angle = np.radians(bearing_deg)
    steps, _ = _steps_and_middles_m(lines)
    backward = steps @ np.array([np.sin(angle), np.cos(angle)]) < 0.0
    across = _across_m(lines, bearing_deg)
    walk = np.diff(across)
    in_order = bool((walk > 0.0).all() or (walk < 0.0).all())
    order = np.arange(len(lines)) if in_order else np.argsort(across, kind="stable")
    return [lines[i].reverse() if backward[i] else lines[i] for i in order.tolist()]


def _across_m(lines: Sequence[Linear], bearing_deg: float) -> FloatArray:
    _, middles = _steps_and_middles_m(lines)
    angle = np.radians(bearing_deg)
    return np.asarray(middles[:, 0] * np.cos(angle) - middles[:, 1] * np.sin(angle))


def _steps_and_middles_m(lines: Sequence[Linear]) -> tuple[FloatArray, FloatArray]:
    # vectors from first to last vertex, and the middles of the lines, in one local frame
    lonlat, owner = shapely.get_coordinates(np.asarray(lines, dtype=object), return_index=True)
    if not len(lonlat) or len(np.unique(owner)) != len(lines):
        raise OutlineError("A surveyed row has no vertices.", where="rows")
    xy = local_xy_m(lonlat, origin_lonlat(lonlat))
    local = shapely.set_coordinates(np.array(lines, dtype=object), xy)
    first = np.searchsorted(owner, np.arange(len(lines)))
    start, end = xy[first], xy[np.append(first[1:], len(xy)) - 1]
    return end - start, shapely.get_coordinates(shapely.centroid(local))
