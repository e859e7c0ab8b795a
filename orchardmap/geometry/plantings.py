"""The numbers of a planting, checked, and those of many blocks side by side."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import ArrayLike, NDArray

from orchardmap.errors import InputError
from orchardmap.model.orchard import Planting

__all__ = ["SLACK_M", "PlantingTable", "checked_planting", "planting_table", "position_counts"]

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

SLACK_M = 0.001
"""Stored outlines carry eight decimals of a degree (1.1 mm): a row that misses a whole spacing, or
the minimum length, by less than this has reached it."""

_SMALLEST_SPACING_M = 0.1
_LARGEST_M = 10_000.0
_NUMBERS = (
    "bearing_deg", "row_spacing_m", "tree_spacing_m", "end_offset_m", "first_row_offset_m", "headland_m",
    "min_row_length_m", "lines_per_row", "pair_spacing_m",
)  # fmt: skip


@dataclass(frozen=True, slots=True, eq=False)
class PlantingTable:
    """The plantings of n blocks as columns of shape (n,); lengths in metres, bearings in degrees."""

    bearing_deg: FloatArray
    row_spacing_m: FloatArray
    tree_spacing_m: FloatArray
    end_offset_m: FloatArray
    first_row_offset_m: FloatArray
    headland_m: FloatArray
    min_row_length_m: FloatArray
    lines_per_row: FloatArray
    pair_spacing_m: FloatArray


def position_counts(length_m: ArrayLike, *, tree_spacing_m: ArrayLike, end_offset_m: ArrayLike) -> IntArray:
    """Return how many positions stand on parts of rows.

    Parameters
    ----------
    length_m : array_like of float, shape (n,), metres
        Lengths of the parts, headland already off.
    tree_spacing_m : array_like of float, broadcastable to (n,), metres
        In-row spacing, > 0.
    end_offset_m : array_like of float, broadcastable to (n,), metres
        From each end of a part to its first and last position, >= 0.

    Returns
    -------
    ndarray of int64, shape (n,), positions
        ``floor((length - 2 end offset) / tree spacing) + 1``; 0 where the part is shorter than its
        two end offsets. Both with a slack of 1 mm (`SLACK_M`).

    Examples
    --------
    >>> position_counts([200.0, 188.0, 1.9], tree_spacing_m=1.9, end_offset_m=1.0)
    array([105,  98,   0])

    ``3.3 / 1.1`` falls short of 3 in binary; the fourth tree still counts:

    >>> position_counts([3.3], tree_spacing_m=1.1, end_offset_m=0.0)
    array([4])
    """
    room_m = np.asarray(length_m, dtype=np.float64) - 2.0 * np.asarray(end_offset_m) + SLACK_M
    counts = np.floor(room_m / np.asarray(tree_spacing_m)) + 1.0
    return np.where(room_m < 0.0, 0.0, counts).astype(np.int64)


def checked_planting(planting: Planting) -> Planting:
    """Return the planting itself, when every number in it can be used.

    Parameters
    ----------
    planting : Planting
        Lengths in metres, bearing in degrees.

    Returns
    -------
    Planting
        The same value.

    Raises
    ------
    InputError
        If a number is missing, not finite or out of its range; ``where`` names it.

    Examples
    --------
    >>> checked_planting(Planting(0.0, 4.0, 0.0))
    Traceback (most recent call last):
    orchardmap.errors.InputError: tree_spacing_m: It is 0.0; it must be from 0.1 to 10000 m.
    """
    for name in _NUMBERS:
        value = getattr(planting, name)
        if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
            raise InputError(f"It is {value!r}; it must be a number.", where=name)
    if not 0.0 <= planting.bearing_deg < 360.0:
        raise InputError(
            f"It is {planting.bearing_deg}; it must be from 0 to under 360 degrees from true north.",
            where="bearing_deg",
        )
    for name in ("row_spacing_m", "tree_spacing_m"):
        _in_range(planting, name, smallest_m=_SMALLEST_SPACING_M)
    for name in ("end_offset_m", "first_row_offset_m", "headland_m", "min_row_length_m", "pair_spacing_m"):
        _in_range(planting, name, smallest_m=0.0)
    _check_pair(planting)
    for name in ("first_row", "baseline"):
        _check_points(getattr(planting, name), name)
    if planting.first_row is not None and planting.baseline is not None:
        raise InputError(
            "first_row and baseline are both given.", where="first_row", todo="Give one of the two."
        )
    return planting


def planting_table(plantings: Sequence[Planting]) -> PlantingTable:
    """Return the plantings of many blocks as columns, each one checked.

    Parameters
    ----------
    plantings : sequence of Planting, n of them
        One for each block.

    Returns
    -------
    PlantingTable
        Columns of shape (n,), metres and degrees.

    Notes
    -----
    A number that cannot be used is refused as in `checked_planting`.
    """
    rows = [[getattr(checked_planting(p), name) for name in _NUMBERS] for p in plantings]
    table = np.array(rows, dtype=np.float64).reshape(len(plantings), len(_NUMBERS))
    return PlantingTable(**{field.name: table[:, i] for i, field in enumerate(fields(PlantingTable))})


def _in_range(planting: Planting, name: str, *, smallest_m: float) -> None:
    value = getattr(planting, name)
    if not smallest_m <= value <= _LARGEST_M:
        raise InputError(
            f"It is {value}; it must be from {smallest_m:g} to {_LARGEST_M:g} m.",
            where=name,
        )


def _check_pair(planting: Planting) -> None:
    if planting.lines_per_row not in (1, 2):
        raise InputError(f"It is {planting.lines_per_row}; it must be 1 or 2.", where="lines_per_row")
    if planting.lines_per_row == 2 and not 0.0 < planting.pair_spacing_m < planting.row_spacing_m:
        raise InputError(
            f"It is {planting.pair_spacing_m}; the two lines of a double row stand more than 0 m and less than "
            f"the row spacing ({planting.row_spacing_m:g} m) apart.",
            where="pair_spacing_m",
        )
    if planting.lines_per_row == 1 and planting.pair_spacing_m > 0.0:
        raise InputError(
            f"It is {planting.pair_spacing_m}, but rows are single.",
            where="pair_spacing_m",
            todo="Set lines_per_row to 2, or pair_spacing_m to 0.",
        )


def _check_points(points: object, name: str) -> None:
    if points is None:
        return
    try:
        lonlat = np.asarray(points, dtype=np.float64)
    except (TypeError, ValueError):
        lonlat = np.empty(0)
    if lonlat.ndim != 2 or lonlat.shape[1] != 2 or len(lonlat) < 2:
        raise InputError("It must be two or more points, each longitude and latitude.", where=name)
    if name == "first_row" and len(lonlat) != 2:
        raise InputError(f"It has {len(lonlat)} points; it must have two.", where=name)
    if (
        not np.isfinite(lonlat).all()
        or np.abs(lonlat[:, 1]).max() > 90.0
        or np.abs(lonlat[:, 0]).max() > 360.0
    ):
        raise InputError(
            "A point is not longitude, latitude in degrees.", where=name, todo="Longitude comes first."
        )
