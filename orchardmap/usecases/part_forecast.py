"""When some blocks of the farm may be finished: one variety's, or those that a crew was given, worked in the season of all."""

from collections import Counter
from datetime import date, datetime
from itertools import accumulate
from typing import Any

from orchardmap.errors import UnknownError
from orchardmap.planning.queues import queue_forecast
from orchardmap.store.remembered import Remembered
from orchardmap.store.session import Store
from orchardmap.usecases.forecasting import DRAWS, fan_json, finish_json, seed_of
from orchardmap.usecases.moments import moment
from orchardmap.usecases.season_ahead import last_evening, season_ahead
from orchardmap.usecases.season_records import SeasonRecords, season_records

__all__ = ["part_forecast"]

Json = dict[str, Any]
_REMEMBERED: "Remembered[Json]" = Remembered(60)


def part_forecast(
    store: Store,
    farm_id: str,
    *,
    day: date | None,
    variety_id: str | None,
    crew_id: str | None,
    now: datetime,
) -> Json:
    """Return when some blocks may be finished, as of a day (None: today).

    Parameters
    ----------
    store : Store
        Open for reading.
    farm_id : str
        The farm.
    day : date or None
        As in `orchardmap.usecases.forecasting.forecast`, and the seasons that may be are the same: a part is never done later
        than the farm.
    variety_id, crew_id : str or None
        The blocks of that variety that the crew was given; None for any.
    now : datetime with time zone
        The server's clock.

    Returns
    -------
    dict
        ``blocks`` is how many there are; ``finish`` is None where nothing of them is left or nothing can be forecast.

    Raises
    ------
    UnknownError
        If the farm has no such variety or crew, or no season.
    """
    with store.read() as conn:
        at = moment(conn, farm_id, day, now)
        if at.season is None:
            raise UnknownError("there is no season yet", todo="Open one in Set-up.")
        records = season_records(conn, at.farm, at.season)
        if crew_id is not None and crew_id not in {crew.id for crew in records.crews}:
            raise UnknownError("no such crew", where=crew_id)
        blocks = _blocks(records, variety_id, crew_id)
        asked = ("part forecast", at.season.id, at.day, at.today, variety_id, crew_id)
        return _REMEMBERED.answer(conn, farm_id, asked, lambda: _told(records, at.day, at.today, blocks))


def _blocks(records: SeasonRecords, variety_id: str | None, crew_id: str | None) -> frozenset[str]:
    given = {block for block, crew in _given(records).items() if crew == crew_id}
    found = frozenset(
        block.id
        for block in records.blocks
        if variety_id in (None, block.variety_id) and (crew_id is None or block.id in given)
    )
    if variety_id is not None and all(block.variety_id != variety_id for block in records.blocks):
        raise UnknownError("no block has such a variety", where=variety_id)
    return found


def _given(records: SeasonRecords) -> dict[str, str]:
    return {block: crew for crew, blocks in records.queues.by_crew.items() for block in blocks}


def _told(records: SeasonRecords, day: date, today: date, blocks: frozenset[str]) -> Json:
    evening = last_evening(records, day, today)
    ahead = season_ahead(records, evening, min(day, today))
    burnup = _burnup(records, day, blocks)
    trees = sum(records.trees.get(block, 0) for block in blocks)
    pruned = burnup[-1][1] if burnup else 0
    told: Json = {
        "day": day.isoformat(),
        "must_finish_on": records.season.must_finish_on.isoformat(),
        "blocks": len(blocks),
        "trees": trees,
        "pruned": pruned,
        "trees_left": trees - pruned,
        "burnup": burnup,
        "missing": list(ahead.missing),
        "finish": None,
        "chance": None,
        "fan": [],
    }
    if ahead.season is None or not any(one.id in blocks for one in ahead.queue):
        return told
    seed = seed_of(records.season.id)
    found = queue_forecast(ahead.season, ahead.queue, seed=seed, draws=DRAWS, of=blocks)
    by_evening = records.pruned_by(evening)
    return told | {
        "finish": finish_json(found.farm),
        "chance": found.farm.chance(records.season.must_finish_on),
        "fan": fan_json(records, evening, found, sum(by_evening[block] for block in blocks)),
    }


def _burnup(records: SeasonRecords, day: date, blocks: frozenset[str]) -> list[tuple[str, int]]:
    """Return the trees of the blocks pruned by the end of each day on which one of them was worked."""
    by_day: Counter[date] = Counter()
    for one, of_blocks in records.pruned.items():
        if one <= day:
            by_day[one] += sum(n for block, n in of_blocks.items() if block in blocks)
    days = sorted(one for one, n in by_day.items() if n)
    return [
        (one.isoformat(), n) for one, n in zip(days, accumulate(by_day[one] for one in days), strict=True)
    ]
