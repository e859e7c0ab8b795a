"""Layers of farms kept ready in this process, and mended block by block as the farm changes: a mark costs one block, not 50,000 rows."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from threading import Lock
from typing import Any
from weakref import WeakKeyDictionary
from zoneinfo import ZoneInfo

from orchardmap.store import farm as farm_store
from orchardmap.store import log
from orchardmap.store.farm import Newest
from orchardmap.store.session import Connection, Store
from orchardmap.usecases.feature_sheets import EVENTS, Page, Piece, Sheet, Want, pieces_of
from orchardmap.usecases.layers import Reading, batches
from orchardmap.usecases.moments import moment

__all__ = ["feature_of", "page_of"]

_MOST_FEATURES = 400_000
"""Of all kept layers together, the latest ones asked for: some 400 MB."""
_MOST_CHANGES = 2_000
"""Beyond so many changes at once a layer is made anew as a whole."""
_NOWHERE = frozenset({
    "calendar", "crew_day", "farm_feature", "hazard_line", "pay", "photo", "queues", "strengths", "terms", "tree_count", "weather",
})  # fmt: skip
"""Kinds of change that no layer tells anything of, but for those in `_TOLD_BY`."""
_TOLD_BY = {
    "blocks": frozenset({"block", "variety"}),
    "power_lines": frozenset({"hazard_line", "settings"}),
    **dict.fromkeys(("farm_points", "farm_lines", "farm_areas"), frozenset({"farm_feature"})),
}
"""The only kinds of change that these layers tell of."""
_BY_BLOCK = frozenset({"rows", "marks", "checks"})
"""Layers of which a block's features hang on nothing but what its own changes name: what hangs on more names every block (DEVELOPERS.md)."""


@dataclass
class _Kept:
    """One layer as of a day, for those who may know the same names."""

    lock: Lock = field(default_factory=Lock)
    epoch: str | None = ""
    cursor: int = -1
    sheet: Sheet = field(default_factory=lambda: Sheet({}))


_lock = Lock()
_shelves: WeakKeyDictionary[Any, dict[Any, _Kept]] = WeakKeyDictionary()
"""Of each database."""


def page_of(store: Store, farm_id: str, want: Want, *, now: datetime) -> Page:
    """Return a page of a layer's features.

    Parameters
    ----------
    store : Store
        Open for reading.
    farm_id : str
        The farm.
    want : Want
        Of what.
    now : datetime with time zone
        The server's clock.

    Raises
    ------
    UnknownError
        If there is no such farm or layer.
    ParameterError
        If ``want.after`` is not what a page told.
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
    with store.read() as conn:
        # before anything else: what is read after it is as new, or newer
        newest = farm_store.newest(conn, farm_id)
        today = now.astimezone(ZoneInfo(newest.time_zone)).date()
        kept = _kept(conn, farm_id, want, today)
        with kept.lock:  # whoever asks meanwhile waits for what is made, instead of making it too
            if (kept.epoch, kept.cursor) != (newest.epoch, newest.cursor):
                _mend(kept, _readings(conn, farm_id, want, now), want.layer, newest)
        return kept.sheet


def _readings(conn: Connection, farm_id: str, want: Want, now: datetime) -> list[Reading]:
    """Return the farm as of the day that is looked at; of what happened in any season once for each of them."""
    at = moment(conn, farm_id, want.last, now)
    seasons = farm_store.seasons(conn, farm_id) if _is_of_any_season(want) else [at.season]
    return [Reading(conn, replace(at, season=season), want.people_of) for season in seasons or [None]]


def _is_of_any_season(want: Want) -> bool:
    return want.any_season and want.layer in EVENTS


def _kept(conn: Connection, farm_id: str, want: Want, today: date) -> _Kept:
    day = want.last or today
    key = (farm_id, want.layer, day, day >= today, want.people_of, _is_of_any_season(want))
    with _lock:
        shelf = _shelves.setdefault(conn.engine, {})
        kept = shelf.pop(key, None) or _Kept()
        shelf[key] = kept  # the latest one last
        while len(shelf) > 1 and sum(one.sheet.size for one in shelf.values()) > _MOST_FEATURES:
            del shelf[next(iter(shelf))]
        return kept


def _mend(kept: _Kept, read: Sequence[Reading], layer: str, newest: Newest) -> None:
    """Bring a kept layer to where the farm's log is now."""
    if kept.epoch == newest.epoch and kept.cursor < newest.cursor:
        blocks = _touched(read[0], layer, kept.cursor)
        if blocks is None or blocks:
            kept.sheet = _made(read, layer, kept.sheet, blocks)
    elif kept.epoch != newest.epoch:
        kept.sheet = _made(read, layer, kept.sheet, None)
    else:
        return  # another reader of a later moment was here before
    kept.epoch, kept.cursor = newest.epoch, newest.cursor


def _touched(read: Reading, layer: str, since: int) -> set[str] | None:
    """Return the blocks whose features may tell something else since a change; None is all of them."""
    found = log.changes_after(read.conn, read.at.farm.id, since, limit=_MOST_CHANGES + 1)
    if len(found) > _MOST_CHANGES:
        return None
    own = _TOLD_BY.get(layer)
    telling = [one for one in found if (one.kind in own if own else one.kind not in _NOWHERE)]
    named = {one.block_id for one in telling}
    if not named:
        return set()
    if layer not in _BY_BLOCK or None in named:
        return None
    return {block_id for block_id in named if block_id is not None}


def _made(readings: Sequence[Reading], layer: str, before: Sheet, block_ids: Collection[str] | None) -> Sheet:
    """Return a layer with the features of some blocks made anew; None makes all anew."""
    fresh: dict[str, Piece] = {}
    for read in readings:
        ids = {block.code: block.id for block in read.blocks}
        for piece in (piece for batch in batches(read, layer, block_ids) for piece in pieces_of(batch)):
            # what lies beside the blocks is of none
            key = ids[piece.code] if piece.code else ""
            fresh[key] = fresh[key].with_more(piece) if key in fresh else piece
    kept = {} if block_ids is None else {k: v for k, v in before.pieces.items() if k not in block_ids}
    return Sheet(dict(sorted((kept | fresh).items())))
