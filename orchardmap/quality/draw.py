"""Which trees to check: drawn at random, spread over the rows and along them, and to be drawn again from the seed alone.

Source: balanced acceptance sampling (Robertson, Brown, McDonald & Jaksons 2013, Biometrics 69:776-784): points of the Halton sequence
in bases 2 (rows) and 3 (positions) from a random start; besides, all points are turned by one random shift (Cranley & Patterson
1976, SIAM Journal on Numerical Analysis 13:904-914). Pure.
"""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from orchardmap.errors import InputError
from orchardmap.model.orchard import Row

__all__ = ["DrawnTree", "drawn_trees", "radical_inverse", "standing_trees"]

_BASES = (2, 3)
_STARTS = (2**26, 3**17)
"""Whole cycles of each base, so that the point at a random start is as even as these are many."""
_POINTS_AT_ONCE = 256


@dataclass(frozen=True, slots=True)
class DrawnTree:
    """A tree to check."""

    number: int
    """From 1, in the order of the draw."""
    row: int
    position: int
    is_extra: bool
    """It lies beyond the plan's number: looked at besides, and never part of a lot's verdict."""


def radical_inverse(index: ArrayLike, base: int) -> NDArray[np.float64]:
    """Return whole numbers with their digits mirrored behind the point.

    Parameters
    ----------
    index : array_like of int, ``>= 0``
        Any shape.
    base : int, ``>= 2``
        Of the digits.

    Returns
    -------
    ndarray of float, 0 <= x < 1
        In the same shape.

    Examples
    --------
    >>> radical_inverse([1, 2, 3, 4], 2).tolist()
    [0.5, 0.25, 0.75, 0.125]
    """
    left = np.asarray(index, np.int64)
    mirrored, worth = np.zeros(left.shape), 1.0
    while left.any():
        worth /= base
        left, digit = np.divmod(left, base)
        mirrored = mirrored + digit * worth
    return mirrored


def standing_trees(rows: Iterable[Row]) -> list[tuple[int, int]]:
    """Return row and position of every tree that may be drawn: no blanks, no pollinizers.

    Parameters
    ----------
    rows : iterable of Row
        Of one block.

    Returns
    -------
    list of (int, int)
        Row by row, upwards.

    Examples
    --------
    >>> from shapely import MultiLineString
    >>> row = Row("b", 4, MultiLineString(), 9.0, 0.5, (3, 2), blanks=frozenset({2}), pollinizers=frozenset({5}))
    >>> standing_trees([row])
    [(4, 1), (4, 3), (4, 4)]
    """
    return [
        (row.number, position)
        for row in rows
        for position in range(1, row.positions + 1)
        if position not in row.blanks | row.pollinizers
    ]


def drawn_trees(
    eligible: Iterable[tuple[int, int]], trees: int, *, extra: int = 0, rng: np.random.Generator
) -> list[DrawnTree]:
    """Return trees drawn for checks, in the order of the draw.

    Parameters
    ----------
    eligible : iterable of (int, int)
        Row and position of each tree that may be drawn, in any order: of `standing_trees`, those that the lot holds.
    trees : int, ``>= 0``
        How many the plan asks for.
    extra : int, ``>= 0``
        How many to look at besides.
    rng : Generator
        Chooses the start, and nothing else: one in the same state draws the same trees, and more of them begin with the
        same ones.

    Returns
    -------
    list of DrawnTree
        ``trees + extra`` of them, each once. Every eligible tree is as likely as another, in rows of any length, and so is it
        at each place of the list; any trees in a row of the list are spread as well as the first ones.

    Raises
    ------
    InputError
        If there are fewer eligible trees, or a number is negative.

    Examples
    --------
    >>> block = [(row, position) for row in (1, 2, 3, 4) for position in range(1, 31)]
    >>> [(one.row, one.position) for one in drawn_trees(block, 4, rng=np.random.default_rng(7))]
    [(1, 1), (3, 11), (1, 21), (3, 25)]
    """
    places = np.array(sorted(set(eligible)), np.int64).reshape(-1, 2)
    if trees < 0 or extra < 0:
        raise InputError("It must be 0 or more.", where="trees" if trees < 0 else "extra")
    if trees + extra > len(places):
        raise InputError(
            f"{trees + extra} trees are asked for, and {len(places)} can be drawn.",
            where="trees",
            todo="Ask for fewer, or check every tree.",
        )
    if trees + extra == 0:
        return []
    rows, row_at = np.unique(places[:, 0], return_inverse=True)
    first = places[:, 1].min()
    tree_at = np.full((len(rows), places[:, 1].max() - first + 1), -1)
    tree_at[row_at, places[:, 1] - first] = np.arange(len(places))
    return [
        DrawnTree(number, int(places[tree, 0]), int(places[tree, 1]), number > trees)
        for number, tree in enumerate(_sequence(tree_at, trees + extra, rng), 1)
    ]


@dataclass(frozen=True, slots=True, eq=False)
class _Turned:
    """Halton points from a start, turned by a shift, over the trees of a frame."""

    tree_at: NDArray[np.int64]
    """Shape (rows, places): which tree stands there, or -1."""
    start: NDArray[np.int64]
    """Shape (2,): the first index in each base."""
    shift: NDArray[np.float64]
    """Shape (2,), 0 <= x < 1."""

    def trees(self, begin: int, end: int) -> list[int]:
        """Return the trees under the points of these numbers, where one stands."""
        # every place takes the same room, however long its row. Places that the sequence always cut alike would be hit more
        # or less regularly than others, and as repeats are skipped the regular ones would be drawn more often: hence the shift
        number = np.arange(begin, end)
        row_at, place_at = (
            ((radical_inverse(number + start, base) + shift) % 1.0 * size).astype(np.int64)
            for base, start, shift, size in zip(
                _BASES, self.start, self.shift, self.tree_at.shape, strict=True
            )
        )
        hit = self.tree_at[row_at, place_at]
        return [int(tree) for tree in hit[hit >= 0]]


def _sequence(tree_at: NDArray[np.int64], n: int, rng: np.random.Generator) -> list[int]:
    """Return the first n trees that the points from a random start on fall on."""
    points = _turned(tree_at, rng)
    while not points.trees(0, 1):
        # begun on no tree, a draw would begin too often with trees that stand behind a long run of such points
        points = _turned(tree_at, rng)
    found: dict[int, None] = {}  # a set that keeps its order
    begin = 0
    while len(found) < n:
        found.update(dict.fromkeys(points.trees(begin, begin + _POINTS_AT_ONCE)))
        begin += _POINTS_AT_ONCE
    return list(found)[:n]


def _turned(tree_at: NDArray[np.int64], rng: np.random.Generator) -> _Turned:
    return _Turned(tree_at, rng.integers(0, _STARTS), rng.random(2))
