"""What people look at: the farm at a glance, one block's shape and state, progress day by day.

Results are plain values, ready to be written as JSON.
"""

from collections import Counter, defaultdict
from collections.abc import Sequence
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
from shapely.geometry import mapping

from orchardmap.errors import UnknownError
from orchardmap.model.orchard import Block, Farm, Row
from orchardmap.model.season import Closure, Season
from orchardmap.quality.plan import sampling_plan
from orchardmap.quality.verdict import LotVerdict, lot_verdict
from orchardmap.store import farm as farm_store
from orchardmap.store import health, log, orchard, states
from orchardmap.store.session import Connection, Store
from orchardmap.usecases.folding import states_on
from orchardmap.usecases.history import trees_by_day
from orchardmap.usecases.moments import Moment, moment

__all__ = ["INSPECTION_AQL", "INSPECTION_LEVEL", "block_shape", "block_state", "farm_pack", "overview"]

Json = dict[str, Any]

INSPECTION_LEVEL, INSPECTION_AQL = "I", 4.0
"""Lot verdicts until a farm sets its own: MIL-STD-105E level I, AQL 4.0, normal. No published percentage for pruning exists."""

_UNIT_DEG = 1e-7
"""Shapes travel as whole ten-millionths of a degree: about 1 cm."""


def farm_pack(store: Store, farm_id: str, *, now: datetime) -> Json:
    """Return what every screen needs to know of a farm: season, crews, people, varieties."""
    with store.read() as conn:
        at = moment(conn, farm_id, None, now)
        people = farm_store.people(conn, farm_id)
        size = Counter(person.crew_id for person in people)
        seasons = [_season(season) for season in farm_store.seasons(conn, farm_id)]
        crews = [
            {"id": c.id, "name": c.name, "foreman_id": c.foreman_id, "method": c.method, "people": size[c.id]}
            for c in farm_store.crews(conn, farm_id)
        ]
        varieties = [
            {"id": v.id, "name": v.name, "habit": v.habit, "habit_source": v.habit_source}
            for v in farm_store.varieties(conn, farm_id)
        ]
    return {
        "id": at.farm.id,
        "name": at.farm.name,
        "time_zone": at.farm.time_zone,
        "today": at.today.isoformat(),
        "season": _season(at.season) if at.season else None,
        "seasons": seasons,
        "crews": crews,
        "people": [{"id": p.id, "name": p.name, "role": p.role, "crew_id": p.crew_id} for p in people],
        "varieties": varieties,
    }


def _season(season: Season) -> Json:
    return {
        "id": season.id,
        "name": season.name,
        "opens_on": season.opens_on.isoformat(),
        "must_finish_on": season.must_finish_on.isoformat(),
        "closed": season.closed,
    }


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
        at = moment(conn, farm_id, day, now)
        blocks = orchard.blocks(conn, farm_id)
        ids = [block.id for block in blocks]
        size = orchard.block_trees(conn, farm_id)
        done = _done(conn, at, ids)
        checks = log.checks_of(conn, at.season.id, until=at.until) if at.season else []
        closed = _closed_blocks(orchard.closures(conn, ids), at)
        names = {v.id: v for v in farm_store.varieties(conn, farm_id)}
        waiting = sum(log.set_aside_counts(conn, farm_id).values())
        last_days = _recent_days(conn, at)
        extents = orchard.extents(conn, farm_id)
        seq, epoch = log.cursor(conn, farm_id), farm_store.setting(conn, "epoch")
    told = _block_figures(ids, size, done, checks)
    listed = []
    for block in blocks:
        variety = names.get(block.variety_id or "")
        west, south, east, north = extents[block.id]
        listed.append({
            "id": block.id,
            "code": block.code,
            "name": block.name,
            "variety": variety.name if variety else "",
            "habit": variety.habit if variety else "unknown",
            **told[block.id],
            "area_ha": round(block.area_ha, 4),
            "closed": closed.get(block.id),
            "lonlat": [round((west + east) / 2, 7), round((south + north) / 2, 7)],
            "bbox": [west, south, east, north],
            "shape_version": block.shape_version,
        })
    return {
        "farm_id": farm_id,
        "day": at.day.isoformat(),
        "season_id": at.season.id if at.season else None,
        "cursor": seq,
        "epoch": epoch,
        "figures": _figures(listed, at, last_days) | {"set_aside": waiting},
        "blocks": listed,
    }


def _done(conn: Connection, at: Moment, block_ids: Sequence[str]) -> dict[str, tuple[int, int, int]]:
    """Return pruned trees, overlap trees and finished rows of each block: stored sums today, the log folded on another day."""
    if at.season is None:
        return {}
    if at.until is None:
        return states.block_sums(conn, at.farm.id, at.season.id)
    sums: dict[str, list[int]] = defaultdict(lambda: [0, 0, 0])
    for state in states_on(conn, at.season.id, block_ids, at.until):
        for i, worth in enumerate((state.pruned, state.overlap, int(state.done))):
            sums[state.block_id][i] += worth
    return {block_id: (pruned, overlap, rows) for block_id, (pruned, overlap, rows) in sums.items()}


def _block_figures(
    ids: Sequence[str],
    size: dict[str, tuple[int, int]],
    done: dict[str, tuple[int, int, int]],
    checks: Sequence[Any],
) -> dict[str, Json]:
    """Add up rows, trees, pruned trees, checks and the verdict of each block."""
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
        }
        told[block_id] |= {"checked": 0, "meets": 0, "minor": 0, "faulty": 0}
    latest = {(c.block_id, c.row, c.position): c for c in checks if c.block_id in told}
    drawn: Counter[tuple[str, str]] = Counter()
    for check in latest.values():
        told[check.block_id]["checked"] += 1
        told[check.block_id][check.verdict] += 1
        drawn[check.block_id, check.verdict] += check.drawn
    for block_id, figures in told.items():
        checked = sum(drawn[block_id, verdict] for verdict in ("meets", "minor", "faulty"))
        figures["verdict"] = _verdict(figures["pruned"], checked, drawn[block_id, "faulty"])
    return told


def _verdict(pruned: int, checked: int, faulty: int) -> LotVerdict:
    """Judge the pruned trees of a block as one lot; trees seen while walking have been left out."""
    if pruned < 2:
        return "too_few"
    plan = sampling_plan(pruned, level=INSPECTION_LEVEL, aql=INSPECTION_AQL)
    return lot_verdict(plan, checked=checked, faulty=faulty)


def _figures(listed: Sequence[Json], at: Moment, recent: Sequence[int]) -> Json:
    def total(key: str) -> int:
        return sum(block[key] for block in listed)

    trees, pruned = total("trees"), total("pruned")
    must = at.season.must_finish_on if at.season else None
    days_left = int(np.busday_count(at.day, must)) + int(np.is_busday(must)) if must and must >= at.day else 0
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
        "working_days_left": days_left,
        "needed_per_day": -(-(trees - pruned) // days_left) if days_left else None,
        "recent_per_day": round(sum(recent) / len(recent)) if recent else None,
        "recent_days": len(recent),
        "checked": total("checked"),
        "meets": total("meets"),
        "minor": total("minor"),
        "faulty": total("faulty"),
        "lots": {verdict: lots[verdict] for verdict in ("accepted", "send_back", "too_few")},
    }


def _recent_days(conn: Connection, at: Moment) -> list[int]:
    """Return the trees added on each of the last ten days worked, the newest first.

    Only rows worked on those days are folded, each with all its marks, so the answer is exact and
    does not grow with the season.
    """
    if at.season is None:
        return []
    days = log.last_days_worked(conn, at.season.id, until=at.day, most=10)
    rows = log.rows_worked(conn, at.season.id, days)
    standing = log.standing_marks(conn, at.season.id, rows=rows, until=at.day)
    by_day = trees_by_day(standing, orchard.named_rows(conn, at.farm.id, rows))
    return [by_day[day] for day in days if day in by_day]


def _closed_blocks(closures: Sequence[Closure], at: Moment) -> dict[str, Json]:
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


def block_shape(store: Store, block_id: str) -> Json:
    """Return what of a block never changes under one shape version: outline, rows, positions."""
    with store.read() as conn:
        block = orchard.block(conn, block_id)
        rows = orchard.rows(conn, block_id)
    return shape_json(block, rows)


def shape_json(block: Block, rows: Sequence[Row]) -> Json:
    """Return a block's shape as whole ten-millionths of a degree from an origin (see `block_shape`)."""
    bounds = block.outline.bounds if block.outline is not None else rows[0].line.bounds
    origin = (round(bounds[0], 7), round(bounds[1], 7))
    return {
        "id": block.id,
        "version": block.shape_version,
        "outline": mapping(block.outline) if block.outline is not None else None,
        "origin": list(origin),
        "unit_deg": _UNIT_DEG,
        "rows": [_row_json(row, origin) for row in rows],
    }


def _row_json(row: Row, origin: tuple[float, float]) -> Json:
    parts = []
    for line, positions in zip(row.line.geoms, row.part_positions, strict=True):
        whole = np.rint((np.asarray(line.coords)[:, :2] - origin) / _UNIT_DEG).astype(np.int64)
        parts.append([positions, whole.ravel().tolist()])
    told: Json = {"n": row.number, "p": row.positions, "e": row.end_offset_m, "parts": parts}
    if row.counted_positions is not None:
        told["counted"] = True
    for key, places in (("blanks", row.blanks), ("pollinizers", row.pollinizers)):
        if places:
            told[key] = sorted(places)
    return told


def block_state(store: Store, block_id: str, *, day: date | None, now: datetime) -> Json:
    """Return what of a block changes: runs of pruned positions, checks, closure, as of a day."""
    with store.read() as conn:
        block = orchard.block(conn, block_id)
        at = moment(conn, block.farm_id, day, now)
        found = states_on(conn, at.season.id, [block_id], at.until) if at.season else []
        checks = log.checks_of(conn, at.season.id, block_ids=[block_id], until=at.until) if at.season else []
        crews = [{"id": crew.id, "name": crew.name} for crew in farm_store.crews(conn, block.farm_id)]
        names = {person.id: person.name for person in farm_store.people(conn, block.farm_id)}
        closed = _closed_blocks(orchard.closures(conn, [block_id]), at)
        seq = log.cursor(conn, block.farm_id)
    number = {crew["id"]: i for i, crew in enumerate(crews)}
    runs = [
        [s.row, first, last, 2 if crew is None else 1, -1 if crew is None else number[crew]]
        for s in found
        for first, last, crew in s.runs
    ]
    return {
        "id": block_id,
        "day": at.day.isoformat(),
        "cursor": seq,
        "crews": crews,
        "runs": runs,
        "checks": [
            [
                c.id,
                c.row,
                c.position,
                c.verdict,
                c.day.isoformat(),
                names.get(c.auditor_id, ""),
                c.note,
                c.drawn,
            ]
            for c in checks
        ],
        "closed": closed.get(block_id),
    }


def block_marks(store: Store, block_id: str, *, now: datetime) -> list[Json]:
    """Return every mark of a block in the current season, newest first, withdrawn and set-aside ones too."""
    with store.read() as conn:
        block = orchard.block(conn, block_id)
        at = moment(conn, block.farm_id, None, now)
        found = log.marks_of_block(conn, block_id, at.season.id) if at.season else []
    keys = ("id", "row", "first", "last", "crew_id", "method", "recorder_id", "set_aside")
    return [
        {key: getattr(m, key) for key in keys}
        | {"day": m.day.isoformat(), "server_at": m.server_at.isoformat(), "withdrawn": bool(m.withdrawn)}
        for m in found
    ]


def block_rows(store: Store, block_id: str, *, day: date | None, now: datetime) -> Json:
    """Return a block's rows as GeoJSON (RFC 7946) with their trees and progress."""
    with store.read() as conn:
        block = orchard.block(conn, block_id)
        at = moment(conn, block.farm_id, day, now)
        rows = orchard.rows(conn, block_id)
        found = states_on(conn, at.season.id, [block_id], at.until) if at.season else []
    pruned: dict[int, int] = defaultdict(int, {s.row: s.pruned for s in found})
    return {
        "type": "FeatureCollection",
        "features": [
            {
                "type": "Feature",
                "id": f"{block_id}.{row.number}",
                "geometry": mapping(row.line),
                "properties": {
                    "block": block.code,
                    "row": row.number,
                    "positions": row.positions,
                    "trees": row.trees,
                    "pruned": pruned[row.number],
                    "length_m": round(row.length_m, 2),
                },
            }
            for row in rows
        ],
    }


def all_farms(store: Store) -> list[Farm]:
    """Return all farms by name."""
    with store.read() as conn:
        return farm_store.farms(conn)


def blocks_geojson(store: Store, farm_id: str) -> Json:
    """Return the farm's blocks as GeoJSON (RFC 7946)."""
    with store.read() as conn:
        farm_store.farm(conn, farm_id)
        blocks = orchard.blocks(conn, farm_id)
    return {
        "type": "FeatureCollection",
        "features": [
            {
                "type": "Feature",
                "id": block.id,
                "geometry": mapping(block.outline) if block.outline is not None else None,
                "properties": {
                    "code": block.code,
                    "name": block.name,
                    "variety_id": block.variety_id,
                    "area_ha": round(block.area_ha, 4),
                    "shape_version": block.shape_version,
                },
            }
            for block in blocks
        ],
    }


def rows_in_box(store: Store, farm_id: str, box: tuple[float, float, float, float]) -> list[tuple[str, int]]:
    """Return (block id, row number) of the rows that cross a box of west, south, east, north in degrees."""
    with store.read() as conn:
        farm_store.farm(conn, farm_id)
        return orchard.rows_in_box(conn, farm_id, box)


def readiness_faults(store: Store) -> list[str]:
    """Return what keeps the store from serving; an empty list when nothing does."""
    return health.faults(store)


def farm_of_block(store: Store, block_id: str) -> str:
    """Return the id of the farm that a block belongs to."""
    with store.read() as conn:
        return orchard.block(conn, block_id).farm_id


def chosen_farm(store: Store, name: str) -> Farm:
    """Return the farm of that name, or the only one where no name is given.

    Raises
    ------
    UnknownError
        If no farm has that name, or there is none, or several and none was named.
    """
    found = all_farms(store)
    if name:
        found = [farm for farm in found if farm.name == name]
    if len(found) == 1:
        return found[0]
    if name:
        raise UnknownError("no such farm", where=name, todo="Make it first: orchardmap farm NAME.")
    raise UnknownError(
        f"there are {len(found)} farms here" if found else "there is no farm yet",
        todo="Name one." if found else "Make one first: orchardmap farm NAME, or Set-up in the browser.",
    )
