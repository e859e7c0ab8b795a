"""A layer of a farm kept ready to be handed out page by page: texts in a lasting order, an index of where they lie.

What is kept is of one change of the farm; the next mark has it made anew.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import STRtree

from orchardmap.errors import UnknownError
from orchardmap.geodata.feature_text import feature_texts
from orchardmap.store.remembered import Remembered
from orchardmap.store.session import Store
from orchardmap.usecases.layers import Reading, batches, reading

__all__ = ["Page", "Sheet", "Want", "feature_of", "order_of", "page_of"]

Box = tuple[float, float, float, float]
Order = tuple[tuple[int, str], ...]
_EVENTS = frozenset({"marks", "checks"})
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
    """Id of the last feature of the page before."""
    limit: int = 1
    people_of: tuple[str, ...] | None = None
    """Roles of the people whose names may be told; None tells all."""


@dataclass(frozen=True, slots=True)
class Page:
    """Some features, as texts."""

    texts: Sequence[str]
    matched: int
    """How many there are in all pages together."""
    next_after: str | None
    """What the next page is asked with; None on the last one."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """All features of a layer by `order_of` their ids, so that a page goes on rightly though the feature that it goes on from is gone."""

    ids: tuple[str, ...]
    orders: tuple[Order, ...]
    texts: tuple[str, ...]
    blocks: NDArray[np.str_]
    """Code of each one's block."""
    days: NDArray[np.int64] | None
    """Of features that happen on a day."""
    tree: STRtree
    nowhere: NDArray[np.int64]
    """Index of those without a geometry: the standard has a box match them all (17-069r4, requirement fc-bbox-response C)."""

    def chosen(self, want: Want) -> NDArray[np.int64]:
        """Return the index of the features that a box and days let through, in order."""
        found = np.arange(len(self.ids))
        if want.box is not None:
            touched = [self.tree.query(shapely.box(*one), predicate="intersects") for one in _parts(want.box)]
            found = np.unique(np.concatenate([self.nowhere, *touched]))
        if want.block is not None:
            found = found[self.blocks[found] == want.block]
        if self.days is not None and want.first is not None:
            found = found[self.days[found] >= want.first.toordinal()]
        return found

    def page(self, want: Want) -> Page:
        """Return one page."""
        found = self.chosen(want)
        start = 0
        if want.after is not None:
            start = int(np.searchsorted(found, bisect_right(self.orders, order_of(want.after))))
        here = found[start : start + want.limit].tolist()
        goes_on = start + want.limit < len(found)
        return Page([self.texts[i] for i in here], len(found), self.ids[here[-1]] if goes_on else None)

    def text(self, feature_id: str) -> str:
        """Return one feature.

        Raises
        ------
        UnknownError
            If it is not there.
        """
        at = bisect_left(self.orders, order_of(feature_id))
        if at == len(self.ids) or self.ids[at] != feature_id:
            raise UnknownError("no such feature", where=feature_id[:100])
        return self.texts[at]


def _parts(box: Box) -> list[Box]:
    west, south, east, north = box
    return [box] if west <= east else [(west, south, 180.0, north), (-180.0, south, east, north)]


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


_SHEETS: Remembered[Sheet] = Remembered(12)


def page_of(store: Store, farm_id: str, want: Want, *, now: datetime) -> Page:
    """Return a page of a layer's features.

    Parameters
    ----------
    store : Store
        Open for reading.
    farm_id : str
        The farm.
    want : Want
        Of days to come nothing is known: without a feature.
    now : datetime with time zone
        The server's clock.

    Raises
    ------
    UnknownError
        If there is no such farm or layer.
    """
    return _sheet(store, farm_id, want, now).page(want)


def feature_of(store: Store, farm_id: str, want: Want, feature_id: str, *, now: datetime) -> str:
    """Return the text of one feature of a layer.

    Raises
    ------
    UnknownError
        If there is no such farm, layer or feature.
    """
    return _sheet(store, farm_id, want, now).text(feature_id)


def _sheet(store: Store, farm_id: str, want: Want, now: datetime) -> Sheet:
    with reading(store, farm_id, day=want.last, now=now, people_of=want.people_of) as read:
        asked = (want.layer, read.at.day, read.at.until is None, want.people_of)
        return _SHEETS.answer(read.conn, farm_id, asked, lambda: _made(read, want.layer))


def _made(read: Reading, layer: str) -> Sheet:
    ids: list[str] = []
    texts: list[str] = []
    geometries: list[object] = []
    codes: list[object] = []
    days: list[int] = []
    for batch in batches(read, layer):
        ids += batch.ids
        texts += feature_texts(batch)
        geometries += batch.geometries
        codes += batch.columns["block"]
        if layer in _EVENTS:
            days += [day.toordinal() for day in batch.columns["day"] if isinstance(day, date)]
    orders = [order_of(one) for one in ids]
    at = sorted(range(len(ids)), key=orders.__getitem__)
    placed = np.array([geometries[i] for i in at], dtype=object)
    return Sheet(
        tuple(ids[i] for i in at),
        tuple(orders[i] for i in at),
        tuple(texts[i] for i in at),
        np.array([codes[i] for i in at], np.str_),
        np.array([days[i] for i in at], np.int64) if layer in _EVENTS else None,
        STRtree(placed),
        np.flatnonzero(shapely.is_missing(placed)) if at else np.array([], np.int64),
    )
