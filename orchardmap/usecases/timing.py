"""Notices on when to cut: gathered from marks, varieties, settings and the weather that was loaded."""

from collections.abc import Collection, Sequence
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np

from orchardmap.model.orchard import Block, Variety
from orchardmap.pruning.timing_notices import BlockAtWork, Cuts, SeasonDays
from orchardmap.pruning.timing_notices import timing_notices as noticed
from orchardmap.pruning.timing_texts import notice_json
from orchardmap.store import farm as farm_store
from orchardmap.store import farm_settings as setting_store
from orchardmap.store import log, orchard, row_tables
from orchardmap.store import weather as weather_store
from orchardmap.store.session import Store
from orchardmap.store.standing import cut_rows
from orchardmap.usecases.folding import work_done
from orchardmap.usecases.moments import moment
from orchardmap.usecases.weather import forecast_days

__all__ = ["timing_notices"]

Json = dict[str, Any]


def timing_notices(store: Store, farm_id: str, *, day: date | None, now: datetime) -> Json:
    """Return the notices of the season that a day belongs to, as of that day.

    Parameters
    ----------
    store : Store
        Open for reading.
    farm_id : str
        The farm.
    day : date or None
        The day to look at; None is today. What the table of weather holds of later days is its forecast.
    now : datetime with time zone
        The server's clock.

    Returns
    -------
    dict
        As the service's answer: day, cursor, and the notices by urgency, none where there is no season. ``cut_days`` are the
        days on which was cut, with the number of rows.

    Raises
    ------
    UnknownError
        If no farm has that id.
    """
    with store.read() as conn:
        at = moment(conn, farm_id, day, now)
        told: Json = {"day": at.day.isoformat(), "cursor": log.cursor(conn, farm_id)}
        if at.season is None:
            return told | {"notices": [], "cut_days": []}
        blocks = orchard.blocks(conn, farm_id)
        size = row_tables.block_trees(conn, farm_id)
        done = work_done(conn, at, [block.id for block in blocks])
        varieties = {variety.id: variety for variety in farm_store.varieties(conn, farm_id)}
        cut = cut_rows(conn, at.season.id, until=at.day)
        weather = weather_store.weather_days(conn, farm_id)
        extents = orchard.extents(conn, farm_id)
        settings = setting_store.farm_settings(conn, farm_id)
    at_work = [
        _at_work(
            b, varieties.get(b.variety_id or ""), size.get(b.id, (0, 0))[1], done.get(b.id, (0, 0, 0))[0]
        )
        for b in blocks
    ]
    cuts = _cuts(cut, [block.id for block in blocks])
    season = SeasonDays(
        at.season.opens_on, at.season.must_finish_on, at.day, is_southern=_is_southern(extents.values())
    )
    found = noticed(
        season,
        at_work,
        cuts,
        [one for one, _ in weather],
        settings,
        forecast=forecast_days(weather, ZoneInfo(at.farm.time_zone)),
    )
    days, rows = np.unique(cuts.day, return_counts=True)
    return told | {
        "notices": [notice_json(one, settings) for one in found],
        "cut_days": [{"day": str(day), "rows": int(n)} for day, n in zip(days, rows, strict=True)],
    }


def _at_work(block: Block, variety: Variety | None, trees: int, pruned: int) -> BlockAtWork:
    return BlockAtWork(
        block.id,
        block.code,
        is_biennial=variety is not None and variety.is_biennial,
        is_canker_prone=variety is not None and variety.is_canker_prone,
        pruned=pruned,
        left=trees - pruned,
    )


def _is_southern(extents: Collection[tuple[float, float, float, float]]) -> bool:
    """Tell whether the middle of all blocks lies south of the equator; a farm without any is taken for a northern one."""
    return sum(south + north for _, south, _, north in extents) < 0


def _cuts(cut: Sequence[tuple[str, int, date]], block_ids: Sequence[str]) -> Cuts:
    index = {block_id: i for i, block_id in enumerate(block_ids)}
    return Cuts(
        np.array([index[block_id] for block_id, _, _ in cut], np.int64),
        np.array([row for _, row, _ in cut], np.int64),
        np.array([day for _, _, day in cut], "datetime64[D]"),
    )
