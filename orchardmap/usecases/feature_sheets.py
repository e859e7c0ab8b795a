"""A layer of a farm ready to be handed out page by page: texts in a lasting order, with an index of where they lie, block by block."""

from bisect import bisect_right
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from itertools import groupby
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import STRtree

from orchardmap.errors import ParameterError, UnknownError
from orchardmap.geodata.feature_text import feature_texts
from orchardmap.model.layer import Features

__all__ = ["EVENTS", "Page", "Piece", "Sheet", "Want", "order_of", "pieces_of"]

Box = tuple[float, float, float, float]
Order = tuple[tuple[int, str], ...]
_NONE = np.array([], np.int64)
EVENTS = frozenset({"marks", "checks"})
"""Layers whose features happened on a day of theirs; those of the others stand as of the day that is asked for."""


@dataclass(frozen=True, slots=True)
class Want:
    """Which features of a layer are asked for, and for whom."""

    layer: str
    first: date | None = None
    """No feature that happened before this day."""
    last: date | None = None
    """As of this day; None is today."""
    box: Box | None = None
    """West, south, east, north in degrees; west above east crosses the antimeridian."""
    block: str | None = None
    """Code of the only block that is asked about."""
    after: str | None = None
    """``next_after`` of the page before."""
    limit: int = 1
    people_of: tuple[str, ...] | None = None
    """Roles of the people whose names may be told; None tells all."""
    any_season: bool = False
    """What happened in whichever season; without it in that of the day that is looked at alone."""


@dataclass(frozen=True, slots=True)
class Page:
    """Some features, as texts."""

    texts: Sequence[str]
    matched: int
    """How many there are in all pages together."""
    next_after: str | None
    """What the next page is asked with; None on the last one."""


@dataclass(frozen=True)
class Piece:
    """The features of one block, by `order_of` their ids."""

    code: str
    """Of the block; empty for what lies beside the blocks."""
    ids: tuple[str, ...]
    orders: tuple[Order, ...]
    texts: tuple[str, ...]
    days: NDArray[np.int64] | None
    """Of features that happen on a day."""
    geometries: NDArray[np.object_]

    @cached_property
    def everything(self) -> NDArray[np.int64]:
        """Index of all of them."""
        return np.arange(len(self.ids))

    @cached_property
    def _tree(self) -> STRtree:
        return STRtree(self.geometries)

    @cached_property
    def reach(self) -> Box:
        """A box beyond which no box finds anything of it: the whole globe where something lies nowhere."""
        if len(self._nowhere):
            return -180.0, -90.0, 180.0, 90.0
        west, south, east, north = shapely.total_bounds(self.geometries).tolist()
        return west, south, east, north

    @cached_property
    def _nowhere(self) -> NDArray[np.int64]:
        return np.flatnonzero(shapely.is_missing(self.geometries))

    def with_more(self, other: "Piece") -> "Piece":
        """Return the same with other features of the block: of another season."""
        at = sorted(range(len(self.ids) + len(other.ids)), key=(self.orders + other.orders).__getitem__)
        days = (
            None if self.days is None or other.days is None else np.concatenate([self.days, other.days])[at]
        )
        return Piece(
            self.code,
            _picked(self.ids + other.ids, at),
            _picked(self.orders + other.orders, at),
            _picked(self.texts + other.texts, at),
            days,
            np.concatenate([self.geometries, other.geometries])[at],
        )

    def chosen(self, want: Want) -> NDArray[np.int64]:
        """Return the index of the features that a box and days let through, in order."""
        found = self.everything
        if want.box is not None:
            # a box matches what lies nowhere, too (17-069r4, requirement fc-bbox-response C)
            touched = [one for one in (self._nowhere, *self._within(want.box)) if len(one)]
            found = np.unique(np.concatenate(touched)) if touched else _NONE
        if self.days is not None and want.first is not None:
            found = found[self.days[found] >= want.first.toordinal()]
        return found

    def _within(self, box: Box) -> Iterator[NDArray[np.int64]]:
        for part in _parts(box):
            yield self._tree.query(shapely.box(*part), predicate="intersects")


def _picked(values: tuple[Any, ...], at: Sequence[int]) -> tuple[Any, ...]:
    return tuple(values[i] for i in at)


def _parts(box: Box) -> list[Box]:
    west, south, east, north = box
    return [box] if west <= east else [(west, south, 180.0, north), (-180.0, south, east, north)]


@dataclass(frozen=True)
class Sheet:
    """All features of a layer, by block id and then by `order_of` their own."""

    pieces: Mapping[str, Piece]
    """By block id, in its order."""

    @cached_property
    def size(self) -> int:
        """Number of features."""
        return sum(len(piece.ids) for piece in self.pieces.values())

    def page(self, want: Want) -> Page:
        """Return one page. It goes on rightly though the feature that it goes on from is gone by now, for what comes next is told by ids alone.

        Raises
        ------
        ParameterError
            If ``after`` is not what a page told.
        """
        from_block, from_order = _goes_on_from(want.after)
        here: list[tuple[str, Piece, int]] = []
        matched, more = 0, False
        for block_id, piece in self._candidates(want):
            found = piece.chosen(want)
            matched += len(found)
            if block_id < from_block:
                continue
            if block_id == from_block:
                found = found[np.searchsorted(found, bisect_right(piece.orders, from_order)) :]
            room = want.limit - len(here)
            more = more or len(found) > room
            if room:
                here += [(block_id, piece, i) for i in found[:room].tolist()]
        texts = [piece.texts[i] for _, piece, i in here]
        if not more:
            return Page(texts, matched, None)
        block_id, piece, i = here[-1]
        return Page(texts, matched, f"{block_id}~{piece.ids[i]}")

    def _candidates(self, want: Want) -> Iterable[tuple[str, Piece]]:
        """Return the pieces that may hold something of what is wanted, in order."""
        found: Iterable[tuple[str, Piece]] = self.pieces.items()
        if want.box is not None:
            named = list(found)
            touched = np.zeros(len(named), bool)
            for west, south, east, north in _parts(want.box):
                w, s, e, n = self._reach
                touched |= (w <= east) & (west <= e) & (s <= north) & (south <= n)
            found = [named[i] for i in np.flatnonzero(touched).tolist()]
        if want.block is not None:
            found = [(block_id, piece) for block_id, piece in found if piece.code == want.block]
        return found

    @cached_property
    def _reach(self) -> NDArray[np.float64]:
        return np.array([piece.reach for piece in self.pieces.values()], np.float64).reshape(-1, 4).T

    def text(self, feature_id: str) -> str:
        """Return one feature.

        Raises
        ------
        UnknownError
            If it is not there.
        """
        found = self._places.get(feature_id)
        if found is None:
            raise UnknownError("no such feature", where=feature_id[:100])
        piece, i = found
        return piece.texts[i]

    @cached_property
    def _places(self) -> Mapping[str, tuple[Piece, int]]:
        return {one: (piece, i) for piece in self.pieces.values() for i, one in enumerate(piece.ids)}


def _goes_on_from(after: str | None) -> tuple[str, Order]:
    if after is None:
        return "", ()
    block_id, sign, feature_id = after.partition("~")
    if not sign:
        raise ParameterError("no page ends there", where="after", todo="Follow the link to the next page.")
    return block_id, order_of(feature_id)


def order_of(feature_id: str) -> Order:
    """Return what an id is ordered by: its parts between dots, numbers by their size.

    Examples
    --------
    >>> sorted(["b.10", "b.9", "a"], key=order_of)
    ['a', 'b.9', 'b.10']
    """
    return tuple(
        (int(part), "") if part.isascii() and part.isdigit() and len(part) < 10 else (-1, part)
        for part in feature_id.split(".")
    )


def pieces_of(features: Features) -> Iterator[Piece]:
    """Yield the features of each block; those of one block must lie together.

    Parameters
    ----------
    features : Features
        The code of the block is its field ``block``; a layer without that field is one piece.

    Yields
    ------
    Piece
    """
    texts, codes = feature_texts(features), features.columns.get("block", [""] * len(features))
    for code, of_block in groupby(range(len(features)), key=codes.__getitem__):
        at = sorted(of_block, key=lambda i: order_of(features.ids[i]))
        yield Piece(
            str(code),
            tuple(features.ids[i] for i in at),
            tuple(order_of(features.ids[i]) for i in at),
            tuple(texts[i] for i in at),
            _days(features, at) if features.layer.name in EVENTS else None,
            np.array([features.geometries[i] for i in at], dtype=object),
        )


def _days(features: Features, at: Sequence[int]) -> NDArray[np.int64]:
    days = features.columns["day"]
    return np.array([day.toordinal() for day in (days[i] for i in at) if isinstance(day, date)], np.int64)
