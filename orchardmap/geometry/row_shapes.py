"""Rows counted anew, cut in two, joined, turned round: their trees with them, none lost and none made."""

from collections.abc import Iterable, Sequence
from dataclasses import replace

import numpy as np
import shapely
from shapely.geometry import MultiLineString

from orchardmap.errors import InputError
from orchardmap.geometry.frame import local_xy_m, origin_lonlat
from orchardmap.geometry.geodesy import line_lengths_m
from orchardmap.geometry.positions import cut_after, part_counts, stretch_line
from orchardmap.model.orchard import Row

__all__ = ["clipped_places", "counted_row", "facing", "joined_row", "split_row", "turned_row"]

_MOST_POSITIONS = 10_000


def counted_row(row: Row, counted: int | None, blanks: Iterable[int], pollinizers: Iterable[int]) -> Row:
    """Return a row with what was counted in it.

    Parameters
    ----------
    row : Row
        As it is.
    counted : int or None
        Positions; None keeps the rule's number.
    blanks, pollinizers : iterable of int
        Positions of the row.

    Returns
    -------
    Row

    Raises
    ------
    InputError
        If the count is not 0 to 10,000, or a blank or pollinizer lies outside the row.
    """
    if counted is not None and not 0 <= counted <= _MOST_POSITIONS:
        raise InputError(
            f"{counted} positions cannot be", where=f"row {row.number}", todo="Give 0 to 10,000."
        )
    changed = replace(
        row, counted_positions=counted, blanks=frozenset(blanks), pollinizers=frozenset(pollinizers)
    )
    outside = sorted(p for p in changed.blanks | changed.pollinizers if not 1 <= p <= changed.positions)
    if outside:
        raise InputError(
            f"position {outside[0]} lies outside the row's {changed.positions}",
            where=f"row {row.number}",
            todo="Give positions of the row.",
        )
    return changed


def clipped_places(row: Row, blanks: Iterable[int], pollinizers: Iterable[int]) -> Row:
    """Return a row with those of the blanks and pollinizers that it has a position for."""
    return replace(
        row,
        blanks=frozenset(p for p in blanks if p <= row.positions),
        pollinizers=frozenset(p for p in pollinizers if p <= row.positions),
    )


def split_row(row: Row, after: int) -> tuple[Row, Row]:
    """Return the two rows that a row is cut into behind a position, both under its number.

    Parameters
    ----------
    row : Row
        As it is.
    after : int
        The last position of the first one.

    Returns
    -------
    (Row, Row)
        Their positions are those of the row, none recounted; where the end offset is not half the spacing, trees beside the cut
        are drawn up to half a spacing off.

    Raises
    ------
    InputError
        If that leaves a side without any position.
    """
    if not 1 <= after < row.positions:
        raise InputError(
            f"a row of {row.positions} positions cannot be split after position {after}",
            where=f"row {row.number}",
            todo="Leave a position at least on each side.",
        )
    counts = part_counts(row)
    part, share = cut_after(row, after)
    before = after - sum(counts[:part])
    last_part, _ = cut_after(row, row.positions)
    tail = [counts[part] - before, *counts[part + 1 : last_part + 1]]
    first = _piece(row, (1, after), [*counts[:part], before])
    second = _piece(row, (after + 1, row.positions), tail[1:] if share == 1.0 else tail)
    return first, second


def _piece(row: Row, stretch: tuple[int, int], counts: Sequence[int]) -> Row:
    """Return a stretch of a row as a row; ``counts`` of its parts."""
    first, last = stretch
    line = stretch_line(row, first=first, last=last)
    inside = range(first, last + 1)
    return replace(
        row,
        line=line,
        length_m=float(line_lengths_m(list(line.geoms)).sum()),
        part_positions=tuple(counts),
        counted_positions=None if row.counted_positions is None else last - first + 1,
        blanks=frozenset(p - first + 1 for p in row.blanks if p in inside),
        pollinizers=frozenset(p - first + 1 for p in row.pollinizers if p in inside),
    )


def turned_row(row: Row) -> Row:
    """Return a row that begins at its other end: its trees stay where they are, and are numbered from there."""
    last = row.positions + 1
    return replace(
        row,
        line=MultiLineString([part.reverse() for part in reversed(row.line.geoms)]),
        part_positions=tuple(reversed(row.part_positions)),
        blanks=frozenset(last - p for p in row.blanks),
        pollinizers=frozenset(last - p for p in row.pollinizers),
    )


def facing(row: Row, other: Row) -> Row:
    """Return the other row with the end first that is nearer to the row's last end."""
    origin = origin_lonlat(shapely.get_coordinates(row.line))
    end = local_xy_m(shapely.get_coordinates(row.line)[-1], origin)
    ends = local_xy_m(shapely.get_coordinates(other.line)[[0, -1]], origin)
    to_first, to_last = np.hypot(*(ends - end).T)
    return turned_row(other) if to_last < to_first else other


def joined_row(row: Row, other: Row) -> Row:
    """Return a row that goes on with another one: its positions are those of both, its trees too."""
    counts = row.counted_positions, other.counted_positions
    behind = row.positions
    return replace(
        row,
        line=MultiLineString([*row.line.geoms, *other.line.geoms]),
        length_m=row.length_m + other.length_m,
        part_positions=(*row.part_positions, *other.part_positions),
        counted_positions=None if counts == (None, None) else row.positions + other.positions,
        blanks=row.blanks | {p + behind for p in other.blanks},
        pollinizers=row.pollinizers | {p + behind for p in other.pollinizers},
    )
