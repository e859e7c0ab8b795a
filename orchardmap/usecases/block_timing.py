"""What the weather calls for in each block, for crews who take it along and hear nothing for days."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import numpy as np

from orchardmap.model.orchard import Block, Row
from orchardmap.pruning.farm_settings import FarmSettings
from orchardmap.pruning.timing_notices import BlockAtWork, Cuts, Notice, SeasonDays, timing_notices
from orchardmap.pruning.timing_texts import notice_json
from orchardmap.store import farm as farm_store
from orchardmap.store import farm_settings as setting_store
from orchardmap.store import weather as weather_store
from orchardmap.store.session import Connection
from orchardmap.usecases.moments import Moment

__all__ = ["block_timing"]

Json = dict[str, Any]
_NO_CUTS = Cuts(np.array([], np.int64), np.array([], np.int64), np.array([], "datetime64[D]"))


def block_timing(
    conn: Connection, at: Moment, blocks: Sequence[Block], rows: Mapping[str, Sequence[Row]]
) -> dict[str, list[Json]]:
    """Return the notices on weather to come that whoever cuts in a block should know, with the days to tell them on.

    Parameters
    ----------
    conn : Connection
        Open for reading.
    at : Moment
        Farm, season and day; without a season nothing is told.
    blocks : sequence of Block
        Of that farm.
    rows : mapping of str to sequence of Row
        Block id to its rows: a block without any has nothing to cut.

    Returns
    -------
    dict of str to list of dict
        Every block. ``from`` and ``until`` are the days, both included, on which a notice is high: the pack that carries it is
        looked at days after it was made. What concerns cuts that were made already is the manager's, and is not among them.
    """
    told: dict[str, list[Json]] = {block.id: [] for block in blocks}
    weather = [one for one, _ in weather_store.weather_days(conn, at.farm.id)]
    if at.season is None or not weather:
        return told
    season = SeasonDays(at.season.opens_on, at.season.must_finish_on, at.day)
    settings = setting_store.farm_settings(conn, at.farm.id)
    prone = {one.id for one in farm_store.varieties(conn, at.farm.id) if one.is_canker_prone}
    at_work = [_to_prune(one, is_canker_prone=one.variety_id in prone) for one in blocks if rows[one.id]]
    for notice in timing_notices(season, at_work, _NO_CUTS, weather, settings):
        for one, begins, ends in _ahead(notice, settings):
            for block in one.blocks or at_work:
                said = notice_json(replace(one, blocks=(block,)), settings)
                told[block.id].append(_told(said, begins, ends))
    return told


def _to_prune(block: Block, *, is_canker_prone: bool) -> BlockAtWork:
    """Return a block as one with a tree left: what of it is pruned by the day that is read on nobody knows."""
    return BlockAtWork(
        block.id, block.code, is_biennial=False, is_canker_prone=is_canker_prone, pruned=0, left=1
    )


def _ahead(notice: Notice, settings: FarmSettings) -> list[tuple[Notice, date, date]]:
    """Return what of a notice lies ahead, with the first and the last day on which it is high."""
    if notice.kind == "frost_ahead":
        begins = notice.days[0] - timedelta(days=settings.frost_high_risk_days)
        return [(notice, begins, notice.days[-1])]
    if notice.kind == "wet_ahead":
        return [(replace(notice, days=(day,)), day, day) for day in notice.days]
    return []


def _told(said: Json, begins: date, ends: date) -> Json:
    return {
        "key": said["kind"],
        "from": begins.isoformat(),
        "until": ends.isoformat(),
        "texts": {
            language: f"{title}: {said['text'][language]} {said['defers'][language]}"
            for language, title in said["title"].items()
        },
    }
