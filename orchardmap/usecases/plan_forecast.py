"""When the blocks of a plan would be done, saved or not: what the forecast would say if it were given out. Nothing is stored."""

from dataclasses import replace
from datetime import datetime
from typing import Any

from orchardmap.model.queue import Queues
from orchardmap.planning.queues import queue_forecast
from orchardmap.store.session import Store
from orchardmap.usecases.forecasting import DRAWS, finish_json, forecast_of, seed_of
from orchardmap.usecases.giving_out import refuse_foreign, standing_queues, trees_left, wanted_season
from orchardmap.usecases.moments import moment
from orchardmap.usecases.season_ahead import last_evening, season_ahead
from orchardmap.usecases.season_records import season_records

__all__ = ["plan_forecast"]

Json = dict[str, Any]
_DRAWN = 100_000
"""Blocks by draws of a plan that is being changed: 1.6 s for 600 blocks, where all draws took 10. What is kept is told by all draws."""
_LEAST_DRAWS = 200
_FINISH = ("p10", "p50", "p90")


def plan_forecast(store: Store, farm_id: str, wanted: Queues, *, now: datetime) -> Json:
    """Return the forecast as it would be with these queues instead of those that are kept.

    Parameters
    ----------
    store : Store
        Open for reading.
    farm_id : str
        The farm; its season of today.
    wanted : Queues
        The revision is left aside.
    now : datetime with time zone
        The server's clock.

    Returns
    -------
    dict
        ``finish``, ``chance``, ``missing`` and of each block by id ``p10``, ``p50``, ``p90``: as
        `orchardmap.usecases.forecasting.forecast` tells them. With the queues that are kept it is that
        very forecast; on a large farm other queues are told by fewer draws.

    Raises
    ------
    UnknownError
        If the farm has no season, no such crew or no such block.
    InputError
        If a block is named twice.
    """
    with store.read() as conn:
        at = moment(conn, farm_id, None, now)
        season = wanted_season(at)
        refuse_foreign(conn, farm_id, wanted)
        left = trees_left(conn, at)
        blocks = sum(1 for n in left.values() if n)
        kept = standing_queues(conn, season.id, left)
        is_kept = (kept.by_crew, kept.open) == (_given(wanted), wanted.open)
        if is_kept and _draws(blocks) < DRAWS:
            return _of_kept(forecast_of(conn, at))
        records = replace(season_records(conn, at.farm, season), queues=wanted)
    ahead = season_ahead(records, last_evening(records, at.day, at.today), at.day)
    if ahead.season is None or not ahead.queue:
        return {"missing": list(ahead.missing), "finish": None, "chance": None, "blocks": {}}
    found = queue_forecast(ahead.season, ahead.queue, seed=seed_of(season.id), draws=_draws(len(ahead.queue)))
    return {
        "missing": [],
        "finish": finish_json(found.farm),
        "chance": found.farm.chance(season.must_finish_on),
        "blocks": {one.id: finish_json(found.blocks[one.id]) for one in ahead.queue},
    }


def _given(wanted: Queues) -> dict[str, tuple[str, ...]]:
    return {crew: blocks for crew, blocks in wanted.by_crew.items() if blocks}


def _of_kept(told: Json) -> Json:
    blocks = {one["block_id"]: {name: one[name] for name in _FINISH} for one in told["blocks"]}
    return {name: told[name] for name in ("missing", "finish", "chance")} | {"blocks": blocks}


def _draws(blocks: int) -> int:
    return min(DRAWS, max(_LEAST_DRAWS, _DRAWN // max(1, blocks)))
