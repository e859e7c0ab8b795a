"""The farm at a glance: figures, and for each block its ring, its pith and where it lies."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from orchardmap.model.calendar import SeasonCalendar
from orchardmap.model.lot import LotPlan
from orchardmap.model.orchard import Block, Variety
from orchardmap.model.season import Closure
from orchardmap.planning.season_end import ended_on
from orchardmap.planning.work_calendar import WorkCalendar
from orchardmap.quality.lot_plan import sized
from orchardmap.quality.verdict import BLOCK_VERDICTS, lot_verdict
from orchardmap.store import calendars, closures, log, orchard, row_tables, states
from orchardmap.store import farm as farm_store
from orchardmap.store.farm_settings import farm_settings
from orchardmap.store.remembered import Remembered
from orchardmap.store.session import Connection, Store
from orchardmap.usecases.checked_trees import ReadCheck, read_checks
from orchardmap.usecases.folding import work_done
from orchardmap.usecases.giving_out import queue_places
from orchardmap.usecases.history import trees_by_day
from orchardmap.usecases.lot_glance import lot_figures
from orchardmap.usecases.moments import Moment, moment
from orchardmap.usecases.return_facts import ReturnFacts, past_checks, return_facts, trees_again
from orchardmap.usecases.season_ahead import work_calendar
from orchardmap.usecases.weak_spots import farm_areas, weak_counts

__all__ = ["closed_blocks", "overview", "overview_json", "overview_of"]

Json = dict[str, Any]
_REMEMBERED: "Remembered[Json]" = Remembered(100)


def overview(store: Store, farm_id: str, *, day: date | None, now: datetime) -> Json:
    """Return the farm at a glance: figures, and for each block its ring, its pith and where it lies.

    Parameters
    ----------
    store : Store
        Open for reading.
    farm_id : str
        The farm.
    day : date or None
        The day to look at; None is today.
    now : datetime with time zone
        The server's clock.

    Returns
    -------
    dict
        As the service's overview answer.
    """
    with store.read() as conn:
        return overview_of(conn, moment(conn, farm_id, day, now))


def overview_of(conn: Connection, at: Moment) -> Json:
    """Return the same where farm and day are at hand; remembered until something of the farm changes, or a closure begins or ends."""
    # closures begin and end as time goes by, which no change tells: nothing else of an overview hangs on the clock within a day
    closed = closed_blocks(closures.closures_of_farm(conn, at.farm.id), at)
    asked = (
        at.day,
        at.today,
        tuple(sorted((block, one["until"], one["reason"]) for block, one in closed.items())),
    )
    return _REMEMBERED.answer(conn, at.farm.id, asked, lambda: overview_json(conn, at))


def overview_json(conn: Connection, at: Moment) -> Json:
    """Return the same for whoever has read something else at that moment."""
    farm_id = at.farm.id
    blocks = orchard.blocks(conn, farm_id)
    ids = [block.id for block in blocks]
    size = row_tables.block_trees(conn, farm_id)
    done = work_done(conn, at, ids)
    known = read_checks(conn, at)
    returns = return_facts(conn, at, checks=known)
    weak = weak_counts(farm_areas(conn, at, checks=known, returns=returns), returns)
    # a second look tells how auditors agree, not how a tree is
    checks = [check for check in known if not check.second]
    is_past = past_checks(returns)
    lots = lot_figures(conn, at, checks, returns, {block: counts[0] for block, counts in done.items()})
    plan = farm_settings(conn, farm_id).lot_plan
    names = {v.id: v for v in farm_store.varieties(conn, farm_id)}
    waiting = sum(log.set_aside_counts(conn, farm_id).values())
    last_days = _recent_days(conn, at)
    working = _working(conn, at)
    extents = orchard.extents(conn, farm_id)
    counted = _counted(conn, farm_id, trees_again(returns), weak)
    open_now = _open_now(conn, at, ids, queue_places(conn, at, size, done))
    seq, epoch = log.cursor(conn, farm_id), farm_store.setting(conn, "epoch")
    told = _block_figures(ids, size, done, [(check, is_past(check)) for check in checks], plan)
    listed = [
        _named_block(block, names.get(block.variety_id or ""), extents[block.id])
        | told[block.id]
        | (lots.get(block.id, {}) if told[block.id]["pruned"] else {})
        | open_now[block.id]
        | {name: found.get(block.id, 0) for name, found in counted.items()}
        for block in blocks
    ]
    return {
        "farm_id": farm_id,
        "day": at.day.isoformat(),
        "season_id": at.season.id if at.season else None,
        "cursor": seq,
        "epoch": epoch,
        "figures": _figures(listed, at, last_days, working) | _returned(returns, at) | {"set_aside": waiting},
        "blocks": listed,
    }


def _working(conn: Connection, at: Moment) -> WorkCalendar:
    """Return when the farm works; daylight changes no count of days."""
    kept = calendars.calendar(conn, at.season.id) if at.season else None
    return work_calendar(kept or SeasonCalendar(), None)


def _named_block(block: Block, variety: Variety | None, extent: tuple[float, float, float, float]) -> Json:
    """Return what of a block has nothing to do with the work in it."""
    west, south, east, north = extent
    return {
        "id": block.id,
        "code": block.code,
        "name": block.name,
        "variety": variety.name if variety else "",
        "habit": variety.habit if variety else "unknown",
        "area_ha": round(block.area_ha, 4),
        "lonlat": [round((west + east) / 2, 7), round((south + north) / 2, 7)],
        "bbox": [west, south, east, north],
        "shape_version": block.shape_version,
    }


def _counted(
    conn: Connection, farm_id: str, again: Mapping[str, int], weak: Mapping[str, int]
) -> dict[str, Mapping[str, int]]:
    """Return what is told of each block as a number that is mostly 0."""
    return {"again": again, "set_aside": log.set_aside_of_blocks(conn, farm_id), "weak": weak}


def _open_now(
    conn: Connection, at: Moment, ids: Sequence[str], places: Mapping[str, Json]
) -> dict[str, Json]:
    """Return of each block its rows for a manager to settle, as things stand now, until when it is closed, and whose queue it is in."""
    closed = closed_blocks(closures.closures(conn, ids), at)
    rows: dict[str, list[int]] = defaultdict(list)
    for block_id, row in states.overlap_rows(conn, at.season.id, ids) if at.season else ():
        rows[block_id].append(row)
    return {
        one: {"overlap_rows": rows[one], "closed": closed.get(one), "queue": places.get(one)} for one in ids
    }


def _block_figures(
    ids: Sequence[str],
    size: dict[str, tuple[int, int]],
    done: dict[str, tuple[int, int, int]],
    checks: Sequence[tuple[ReadCheck, bool]],
    plan: LotPlan,
) -> dict[str, Json]:
    """Add up rows, trees, pruned trees, checks and the verdict of each block; of a check whether its tree was gone over since."""
    told: dict[str, Json] = {}
    for block_id in ids:
        rows, trees = size.get(block_id, (0, 0))
        pruned, overlap, rows_done = done.get(block_id, (0, 0, 0))
        told[block_id] = {
            "rows": rows,
            "rows_done": rows_done,
            "trees": trees,
            "pruned": pruned,
            "overlap": overlap,
            "lots_open": 0,
            "uninspected": pruned,
        }
        told[block_id] |= dict.fromkeys(_COUNTED, 0)
    here = [(check, is_past) for check, is_past in checks if check.block_id in told]
    for check, is_past in _latest(here):
        told[check.block_id]["checked"] += 1
        told[check.block_id]["gone_over" if is_past else check.verdict] += 1
    # a tree seen while walking never enters a verdict, nor hides a drawn check of the same tree from it
    for check, is_past in _latest(
        (check, is_past)
        for check, is_past in here
        if check.drawn and check.is_pruned and check.lot_id is None
    ):
        told[check.block_id]["drawn"] += 1
        if check.verdict == "faulty":
            told[check.block_id]["faulty_gone_over" if is_past else "drawn_faulty"] += 1
    for block_id, figures in told.items():
        told[block_id] = figures | _verdict(figures, plan)
    return told


_COUNTED = ("checked", "meets", "minor", "faulty", "gone_over", "drawn", "drawn_faulty", "faulty_gone_over")


def _latest(checks: Iterable[tuple[ReadCheck, bool]]) -> Iterable[tuple[ReadCheck, bool]]:
    """Return the latest check of each tree; checks come oldest first."""
    return {(one[0].block_id, one[0].row, one[0].position): one for one in checks}.values()


def _verdict(figures: Json, plan: LotPlan) -> Json:
    """Judge the pruned trees of a block without lots as one, by its drawn trees alone; those seen while walking are left out."""
    if figures["pruned"] == 0:
        return {"verdict": "not_begun", "must_check": None, "may_fail": None}
    size = sized(plan, figures["pruned"])
    # what was found counts, though it was gone over since: nobody has looked at it anew by a plan
    faulty = figures["drawn_faulty"] + figures["faulty_gone_over"]
    verdict = lot_verdict(size.sampling, checked=figures["drawn"], faulty=faulty)
    return {"verdict": verdict, "must_check": size.n, "may_fail": size.accept}


def _figures(listed: Sequence[Json], at: Moment, worked: Mapping[date, int], working: WorkCalendar) -> Json:
    def total(key: str) -> int:
        return sum(block[key] for block in listed)

    recent, last = list(worked.values()), max(worked, default=None)
    trees, pruned = total("trees"), total("pruned")
    must = at.season.must_finish_on if at.season else None
    days_left = working.between(at.day, must) if must else 0
    over = at.season and ended_on(at.season, at.day, last_worked=last, trees_left=trees - pruned)
    lots = Counter(block["verdict"] for block in listed)
    return {
        "trees": trees,
        "pruned": pruned,
        "share": pruned / trees if trees else 0.0,
        "rows": total("rows"),
        "rows_done": total("rows_done"),
        "overlap_trees": total("overlap"),
        "trees_left": trees - pruned,
        "must_finish_on": must.isoformat() if must else None,
        "season_ended_on": over.isoformat() if over else None,
        "working_days_left": days_left,
        "needed_per_day": -(-(trees - pruned) // days_left) if days_left else None,
        "recent_per_day": round(sum(recent) / len(recent)) if recent else None,
        "recent_days": len(recent),
        **{name: total(name) for name in _COUNTED},
        "weak_areas": total("weak"),
        "lots": {verdict: lots[verdict] for verdict in BLOCK_VERDICTS},
    }


def _returned(returns: Sequence[ReturnFacts], at: Moment) -> Json:
    """Count the returns that wait for their crews, and those among them whose day is over."""
    waiting = [one for one in returns if one.state == "open"]
    return {"returns_open": len(waiting), "returns_late": sum(one.said.due_on < at.day for one in waiting)}


def _recent_days(conn: Connection, at: Moment) -> dict[date, int]:
    """Return the trees added on each of the last ten days worked, the newest first.

    Only rows worked on those days are folded, each with all its marks, so the answer is exact and
    does not grow with the season.
    """
    if at.season is None:
        return {}
    days = log.last_days_worked(conn, at.season.id, until=at.day, most=10)
    rows = log.rows_worked(conn, at.season.id, days)
    standing = log.standing_marks(conn, at.season.id, rows=rows, until=at.day)
    by_day = trees_by_day(standing, row_tables.named_rows(conn, at.farm.id, rows))
    return {day: by_day[day] for day in days if day in by_day}


def closed_blocks(closures: Sequence[Closure], at: Moment) -> dict[str, Json]:
    """Return the closure in force for each closed block: now if the day is today, else at that day's noon."""
    zone = ZoneInfo(at.farm.time_zone)
    moment = (
        at.now if at.day == at.today else datetime(at.day.year, at.day.month, at.day.day, 12, tzinfo=zone)
    )
    found: dict[str, Json] = {}
    for closure in closures:
        if closure.holds(moment):
            until = closure.ends_at.astimezone(zone).isoformat(timespec="minutes")
            if closure.block_id not in found or until > found[closure.block_id]["until"]:
                found[closure.block_id] = {"until": until, "reason": closure.reason}
    return found
