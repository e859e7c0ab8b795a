"""The farms of one adviser side by side: how far each is, how fast and how well, by variety and week."""

from collections import defaultdict
from collections.abc import Mapping
from datetime import date, datetime
from typing import Any

from orchardmap.model.access import AccessRole, Caller
from orchardmap.planning.pace import PacePrior
from orchardmap.quality.intervals import wilson_interval
from orchardmap.store import farm as farm_store
from orchardmap.store import log
from orchardmap.store.remembered import Remembered
from orchardmap.store.session import Connection, Store
from orchardmap.usecases.crew_quality import first_looks
from orchardmap.usecases.crew_skills import FIRST_PACE
from orchardmap.usecases.forecasting import forecast_of
from orchardmap.usecases.glance import overview_of
from orchardmap.usecases.moments import Moment, moment
from orchardmap.usecases.season_ahead import paced
from orchardmap.usecases.season_records import SeasonRecords, season_records
from orchardmap.work.weeks import WeekWork, together, weeks_of_work

__all__ = ["COMPARES", "side_by_side"]

Json = dict[str, Any]
COMPARES: frozenset[AccessRole] = frozenset({"manager", "adviser"})
"""Who may lay a farm beside another: those who read all of it."""
_REMEMBERED: "Remembered[Json]" = Remembered(100)


def side_by_side(store: Store, caller: Caller, *, now: datetime) -> Json:
    """Return what can be compared of the farms that whoever asks manages or advises, as things stand now.

    Parameters
    ----------
    store : Store
        Open for reading.
    caller : Caller
        Nothing of a farm on which it has no such role is in the answer.
    now : datetime with time zone
        The server's clock.

    Returns
    -------
    dict
        ``farms`` by name, each with the figures of its overview, its ``finish``, its ``varieties`` (``key`` is the same for one
        name on every farm, however it is written) and ``weeks`` by Monday and variety, ``key`` null for all of them. ``trees_per_h`` is of trees whose hours
        are known, ``faulty`` of drawn trees, each by its latest check before any return.
    """
    mine = {farm_id: grant.role for farm_id, grant in caller.grants.items() if grant.role in COMPARES}
    with store.read() as conn:
        farms = [farm for farm in farm_store.farms(conn) if farm.id in mine]
    return {"farms": [_farm(store, farm.id, mine[farm.id], now) for farm in farms]}


def _farm(store: Store, farm_id: str, role: AccessRole, now: datetime) -> Json:
    with store.read() as conn:
        at = moment(conn, farm_id, None, now)
        told = _REMEMBERED.answer(conn, farm_id, at.today, lambda: _compared(conn, at))
    return told | {"role": role}


def _compared(conn: Connection, at: Moment) -> Json:
    """Return what can be compared of a farm; the same for all who may compare it."""
    farm_id = at.farm.id
    ahead = forecast_of(conn, at)
    names = {variety.id: variety.name for variety in farm_store.varieties(conn, farm_id)}
    records = season_records(conn, at.farm, at.season) if at.season else None
    named = {block.id: names.get(block.variety_id or "", "") for block in (records.blocks if records else ())}
    work = _work(conn, at, records, named) if records else {}
    return {
        "id": farm_id,
        "name": at.farm.name,
        "cursor": log.cursor(conn, farm_id),
        "today": at.today.isoformat(),
        "season": at.season.name if at.season else None,
        "figures": overview_of(conn, at)["figures"],
        "finish": ahead["finish"],
        "chance": ahead["chance"],
        "work": _told(together(work.values())),
        "varieties": _varieties(records, work, named) if records else [],
        "weeks": _weeks(work),
    }


def _work(
    conn: Connection, at: Moment, records: SeasonRecords, named: Mapping[str, str]
) -> dict[tuple[date, str], WeekWork]:
    """Return the season's work by week and variety's key; paces of crews that have said their day, today's among them."""
    key = {block_id: _key(name) for block_id, name in named.items()}
    of_variety = {block.variety_id or "": key[block.id] for block in records.blocks}
    expected = records.calendar.expected_pace if records.calendar else None
    paces = paced(records, at.day, PacePrior(expected or FIRST_PACE))
    return weeks_of_work(
        (
            (day, key[block_id], trees)
            for day, of_blocks in records.pruned.items()
            for block_id, trees in of_blocks.items()
        ),
        ((one.day, of_variety[one.work.variety], one.trees, one.person_hours) for one in paces),
        ((look.day, key[look.block_id], look.verdict == "faulty") for look in first_looks(conn, at)),
    )


def _varieties(
    records: SeasonRecords, work: Mapping[tuple[date, str], WeekWork], named: Mapping[str, str]
) -> list[Json]:
    """Return what each variety has come to, by name; those without a tree are left out."""
    trees: dict[str, int] = defaultdict(int)
    for block_id, n in records.trees.items():
        trees[named[block_id]] += n
    spelt = {_key(name): name for name in sorted(trees, reverse=True)}
    return [
        {"key": key, "name": name, "trees_in_all": sum(n for of, n in trees.items() if _key(of) == key)}
        | _told(together(done for (_, of), done in work.items() if of == key))
        for key, name in sorted(spelt.items())
    ]


def _weeks(work: Mapping[tuple[date, str], WeekWork]) -> list[Json]:
    """Return each week's work, of all varieties together (``key`` null) and of each."""
    told: dict[tuple[date, str | None], WeekWork] = dict(work.items())
    for monday in {monday for monday, _ in work}:
        told[monday, None] = together(done for (of, _), done in work.items() if of == monday)
    return [
        {"monday": monday.isoformat(), "key": key} | _told(told[monday, key])
        for monday, key in sorted(told, key=lambda one: (one[0], one[1] or "", one[1] is not None))
    ]


def _key(name: str) -> str:
    """Return what is the same of a variety's name, however it is written."""
    return " ".join(name.replace("\N{RIGHT SINGLE QUOTATION MARK}", "'").split()).casefold()


def _told(done: WeekWork) -> Json:
    return {
        "trees": done.trees,
        "person_hours": round(done.person_hours, 2),
        "trees_per_h": done.trees_per_h,
        "checked": done.checked,
        "faulty": done.faulty,
        "wilson": list(wilson_interval(done.faulty, done.checked)) if done.checked else None,
    }
