"""The trees of a season day by day, by block and crew: what a season replays from, and what another one is held against."""

from datetime import datetime
from typing import Any

from orchardmap.errors import UnknownError
from orchardmap.model.season import Season
from orchardmap.store import farm as farm_store
from orchardmap.store import log
from orchardmap.store.session import Connection, Store
from orchardmap.usecases.moments import Moment, moment
from orchardmap.usecases.season_records import SeasonRecords, season_records

__all__ = ["season_days"]

Json = dict[str, Any]


def season_days(store: Store, farm_id: str, *, season_id: str | None, now: datetime) -> Json:
    """Return the trees first pruned on each day of a season, by block, and by block and crew.

    Parameters
    ----------
    store : Store
        Open for reading.
    farm_id : str
        The farm.
    season_id : str or None
        Of the farm; None is the season of today.
    now : datetime with time zone
        The server's clock.

    Returns
    -------
    dict
        ``days`` are those worked; ``pruned`` are [day, block, trees] and ``credited`` [day, block, crew, trees], each naming
        days, blocks and crews by their places in the lists beside it. A tree of two crews is shared evenly, so that a crew's
        trees may be broken. ``before`` is the season before this one, None for the first.

    Raises
    ------
    UnknownError
        If no season of the farm has that id, or the farm has none.
    """
    with store.read() as conn:
        at = moment(conn, farm_id, None, now)
        season, before = _asked(conn, at, season_id)
        records = season_records(conn, at.farm, season)
        place = {"cursor": log.cursor(conn, farm_id), "epoch": farm_store.setting(conn, "epoch")}
    return place | {
        "farm_id": farm_id,
        "season": _named(season),
        "before": _named(before) if before else None,
        "today": at.today.isoformat(),
    } | _days(records)  # fmt: skip


def _asked(conn: Connection, at: Moment, season_id: str | None) -> tuple[Season, Season | None]:
    """Return the season that is asked for, and the one before it."""
    seasons = farm_store.seasons(conn, at.farm.id)
    wanted = season_id or (at.season.id if at.season else None)
    place = next((n for n, season in enumerate(seasons) if season.id == wanted), None)
    if place is None:
        raise UnknownError("no such season of this farm", where=season_id or "", todo="Open one in Set-up.")
    return seasons[place], seasons[place - 1] if place else None


def _named(season: Season) -> Json:
    return {
        "id": season.id,
        "name": season.name,
        "opens_on": season.opens_on.isoformat(),
        "must_finish_on": season.must_finish_on.isoformat(),
    }


def _days(records: SeasonRecords) -> Json:
    days = sorted(records.pruned.keys() | records.by_crew.keys())
    blocks = {block.id: n for n, block in enumerate(records.blocks)}
    crews = {crew.id: n for n, crew in enumerate(records.crews)}
    return {
        "days": [day.isoformat() for day in days],
        "blocks": [[block.id, records.trees.get(block.id, 0)] for block in records.blocks],
        "crews": list(crews),
        "pruned": [
            [n, blocks[block], trees]
            for n, day in enumerate(days)
            for block, trees in sorted(records.pruned.get(day, {}).items())
        ],
        "credited": [
            [n, blocks[block], crews[crew], round(trees, 3)]
            for n, day in enumerate(days)
            for (block, crew), trees in sorted(records.by_crew.get(day, {}).items())
        ],
    }
