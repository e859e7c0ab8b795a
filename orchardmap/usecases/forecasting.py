"""When the season will be finished, how surely, and what it would take: told as of a day, worked out from its records alone."""

from collections import defaultdict
from collections.abc import Sequence
from datetime import date, datetime, timedelta
from itertools import accumulate
from typing import Any
from zlib import crc32

from orchardmap.model.calendar import SeasonCalendar
from orchardmap.planning.forecast import Finish, straight_line
from orchardmap.planning.needs import Sought, people_more
from orchardmap.planning.pace import fitted_pace
from orchardmap.planning.queues import QueueBlock, QueueFinish, queue_forecast
from orchardmap.planning.season import Season, people_on
from orchardmap.store.remembered import Remembered
from orchardmap.store.session import Connection, Store
from orchardmap.usecases.crew_sizes import gone_since
from orchardmap.usecases.earlier_forecasts import earlier_forecasts, scored
from orchardmap.usecases.moments import Moment, moment
from orchardmap.usecases.people_end import people_end
from orchardmap.usecases.season_ahead import (
    Ahead,
    last_evening,
    season_ahead,
    strengths,
    unsaid_today,
    work_calendar,
)
from orchardmap.usecases.season_records import SeasonRecords, season_records

__all__ = [
    "CERTAINTY",
    "DRAWS",
    "fan_json",
    "finish_json",
    "forecast",
    "forecast_of",
    "seed_of",
    "short_people",
]

Json = dict[str, Any]
DRAWS = 1_000
CERTAINTY = 0.9
_SHARES = {"p10": 0.1, "p50": 0.5, "p90": 0.9}
_PACE_SHARE = 0.8
_REMEMBERED: "Remembered[Json]" = Remembered(60)


def forecast(store: Store, farm_id: str, *, day: date | None, now: datetime) -> Json:
    """Return when the season may be finished, as of a day (None: today).

    Parameters
    ----------
    store : Store
        Open for reading.
    farm_id : str
        The farm.
    day : date or None
        Of a day that is over the forecast holds its work; of today once every crew has said its crew-day.
    now : datetime with time zone
        The server's clock.

    Returns
    -------
    dict
        ``missing`` names what must be said before anything can be forecast; all that rests on a forecast is null or empty
        then (not who prunes: ``crews``, ``gone``). ``blocks`` are those with trees left, in the order in which they are worked, each with the day by which it must
        be finished and the chance of that. ``crews`` are those that are reckoned with, with their people on the first day
        ahead; ``gone`` those that have left, with their last day; ``without_hours`` are crews' days with trees and no crew-day;
        ``people_end`` is the last day on which any crew has people, and the trees that likely stay, where that keeps the season from
        being finished;
        ``unsaid_today`` the crews whose crew-day of today is waited for, until when no work of today is in the forecast.

    Raises
    ------
    UnknownError
        If no farm has that id.
    """
    with store.read() as conn:
        at = moment(conn, farm_id, day, now)
        return forecast_of(conn, at)


def forecast_of(conn: Connection, at: Moment) -> Json:
    """Return the same where farm and day are at hand; remembered until something of the farm changes."""
    if at.season is None or at.season.closed:
        season_id = at.season.id if at.season else None
        return {"farm_id": at.farm.id, "day": at.day.isoformat(), "season_id": season_id} | _NOTHING
    records = season_records(conn, at.farm, at.season)
    asked = ("forecast", at.season.id, at.day, at.today)
    return _REMEMBERED.answer(conn, at.farm.id, asked, lambda: _told(records, at))


_NOTHING: Json = {
    "must_finish_on": None, "trees": 0, "pruned": 0, "trees_left": 0, "missing": ["season"], "finish": None, "chance": None,
    "straight_line": None, "short_people": None, "fan": [], "burnup": [], "earlier": [], "scored": None, "blocks": [], "paces": [], "crews": [],
    "without_hours": [], "gone": [], "unsaid_today": [], "people_end": None,
}  # fmt: skip


def seed_of(season_id: str) -> int:
    """Return the seed of a season's forecasts: the same for all that is told of it, so that figures of one screen agree."""
    return crc32(season_id.encode())


def _told(records: SeasonRecords, at: Moment) -> Json:
    evening = last_evening(records, at.day, at.today)
    ahead = season_ahead(records, evening, min(at.day, at.today))
    trees = sum(records.trees.values())
    burnup = _burnup(records, at.day)
    pruned = burnup[-1][1] if burnup else 0
    told = _NOTHING | {
        "farm_id": at.farm.id,
        "day": min(at.day, at.today).isoformat(),
        "season_id": records.season.id,
        "must_finish_on": records.season.must_finish_on.isoformat(),
        "trees": trees,
        "pruned": pruned,
        "trees_left": trees - pruned,
        "missing": list(ahead.missing),
        "burnup": burnup,
        "without_hours": _without_hours(records, evening),
        "unsaid_today": unsaid_today(records, at.today) if evening < min(at.day, at.today) else [],
        "crews": _crews(records, ahead),
        "gone": _gone(records, ahead),
    }
    if ahead.season is None:
        return told
    told["paces"] = _paces(ahead.season)
    if not ahead.queue:
        return told | _finished(records, ahead.evening)
    found = queue_forecast(ahead.season, ahead.queue, seed=seed_of(records.season.id), draws=DRAWS)
    return told | _ahead(records, ahead, ahead.season, found)


def _ahead(records: SeasonRecords, ahead: Ahead, season: Season, found: QueueFinish) -> Json:
    must, seed = records.season.must_finish_on, seed_of(records.season.id)
    done = records.pruned_by(ahead.evening).total()
    line = straight_line(season, done=done)
    earlier = earlier_forecasts(records, ahead.evening, seed=seed)
    return {
        "finish": finish_json(found.farm),
        "chance": found.farm.chance(must),
        "straight_line": line.isoformat() if line else None,
        "short_people": short_people(season, ahead.queue, found.farm, Sought(must, CERTAINTY, seed, DRAWS)),
        "fan": fan_json(records, ahead.evening, found, done),
        "people_end": people_end(
            season, found, left=round(sum(one.trees for one in ahead.queue)), certainty=CERTAINTY
        ),
        "earlier": [one.told() for one in earlier],
        "scored": scored(earlier, found.farm.day(0.5)),
        "blocks": [
            {"block_id": one.id, "crew_id": one.crew}
            | finish_json(found.blocks[one.id])
            | _in_time(found.blocks[one.id], records.finish_by.get(one.id, must))
            for one in ahead.queue
        ],
    }


def finish_json(finish: Finish) -> Json:
    """Return the days by which it is finished 1 time in 10, as likely as not, and 9 times in 10; null for never."""
    days = {name: finish.day(share) for name, share in _SHARES.items()}
    return {name: day.isoformat() if day else None for name, day in days.items()}


def short_people(season: Season, queue: Sequence[QueueBlock], finish: Finish, sought: Sought) -> int | None:
    """Return how many people more it takes, where it is finished like that now; None where no number would do."""
    is_made = finish.chance(sought.must_finish) >= sought.certainty
    return 0 if is_made else people_more(season, sought, queue)


def _in_time(finish: Finish, must_finish: date) -> Json:
    return {"must_finish_on": must_finish.isoformat(), "chance": finish.chance(must_finish)}


def _gone(records: SeasonRecords, ahead: Ahead) -> list[Json]:
    """Return the crews that have left, where no span says that they come back."""
    return [
        {"crew_id": crew, "last_day": day.isoformat()}
        for crew, day in gone_since(records, ahead.evening).items()
        if crew not in ahead.people
    ]


def _finished(records: SeasonRecords, evening: date) -> Json:
    """Return what is told once nothing is left: the day of the last tree, and how well it was foreseen."""
    last = max(day for day in records.pruned if day <= evening)
    earlier = earlier_forecasts(records, last, seed=seed_of(records.season.id))
    return {
        "finish": dict.fromkeys(_SHARES, last.isoformat()),
        "chance": float(last <= records.season.must_finish_on),
        "short_people": 0,
        "earlier": [one.told() for one in earlier],
        "scored": scored(earlier, last),
    }


def _burnup(records: SeasonRecords, day: date) -> list[tuple[str, int]]:
    """Return the trees pruned by the end of each day worked."""
    days = [one for one in sorted(records.pruned) if one <= day]
    so_far = accumulate(sum(records.pruned[one].values()) for one in days)
    return [(one.isoformat(), n) for one, n in zip(days, so_far, strict=True)]


def _without_hours(records: SeasonRecords, evening: date) -> list[Json]:
    """Return the days on which a crew pruned and of which nobody said its crew-day: they tell of no pace until it is typed."""
    said = {(one.day, one.crew) for one in records.hours}
    trees: dict[tuple[date, str], float] = defaultdict(float)
    for day, of in records.credited.items():
        for work, n in of.items():
            if day <= evening and (day, work.crew) not in said:
                trees[day, work.crew] += n
    return [
        {"crew_id": crew, "day": day.isoformat(), "trees": round(n)}
        for (day, crew), n in sorted(trees.items())
    ]


def fan_json(records: SeasonRecords, evening: date, found: QueueFinish, pruned: int) -> list[Sequence[Any]]:
    """Return the trees pruned by the end of each working day, 1 time in 10 no more than, likely, 9 times in 10 no more than; `pruned` by the evening.

    It begins on the evening and ends where 9 in 10 are finished, or on the must-finish day if that is later and all are not
    finished before.
    """
    ends = max(found.farm.day(0.9) or evening, records.season.must_finish_on)
    days = [one for one in found.farm.days[: len(found.pruned)].tolist() if one <= ends]
    begin = [evening.isoformat(), pruned, pruned, pruned]
    more = ([pruned + round(n) for n in one] for one in found.pruned[: len(days)].tolist())
    return [begin, *([day.isoformat(), *of] for day, of in zip(days, more, strict=True))]


def _paces(season: Season) -> list[Json]:
    """Return what is known of the pace of each kind of work that was done, with bounds that hold the true one 8 times in 10."""
    works = sorted({one.work for one in season.history})
    if not works:
        return []
    likely, low, high = fitted_pace(season.history, works, season.prior).interval(_PACE_SHARE)
    days = {work: len({one.day for one in season.history if one.work == work}) for work in works}
    return [
        {
            "crew_id": work.crew,
            "variety_id": work.variety or None,
            "method": work.method,
            "system": work.system,
            "trees_per_h": float(at),
            "low": float(least),
            "high": float(most),
            "days": days[work],
        }
        for work, at, least, most in zip(works, likely, low, high, strict=True)
    ]


def _crews(records: SeasonRecords, ahead: Ahead) -> list[Json]:
    """Return the crews that are reckoned with, and their people on the first day ahead, whether or not a forecast can be made."""
    working = work_calendar(records.calendar or SeasonCalendar(), records.latitude_deg)
    first = working.days(max(ahead.evening + timedelta(1), records.season.opens_on), 1)
    (people,) = people_on(ahead.people, strengths(records), first).tolist()
    return [
        {"crew_id": crew, "people": n, "method": ahead.methods.get(crew, "")}
        for crew, n in zip(sorted(ahead.people), people, strict=True)
    ]
