"""One block: its shape, which never changes under one version, and what of it changes."""

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from datetime import date, datetime
from typing import Any

import numpy as np
from shapely.geometry import mapping

from orchardmap.geodata.write import geojson_geometry
from orchardmap.model.orchard import Block, Row
from orchardmap.model.returns import Stretch
from orchardmap.store import closures, log, orchard
from orchardmap.store import farm as farm_store
from orchardmap.store import ground as ground_store
from orchardmap.store.not_judged import Unjudged, unjudged_of
from orchardmap.store.session import Connection, Store
from orchardmap.store.states import RowState
from orchardmap.usecases.checked_trees import ReadCheck, point_words, read_checks
from orchardmap.usecases.folding import states_on
from orchardmap.usecases.glance import closed_blocks
from orchardmap.usecases.moments import Moment, moment
from orchardmap.usecases.return_facts import past_checks, return_facts, waiting_stretches
from orchardmap.usecases.weak_telling import standing_areas
from orchardmap.work.intake import SET_ASIDE
from orchardmap.work.returns import again_runs
from orchardmap.work.settling import HELD

__all__ = [
    "block_marks",
    "block_rows",
    "block_shape",
    "block_state",
    "blocks_geojson",
    "rows_in_box",
    "shape_json",
    "shape_version_of",
    "states_json",
]

Json = dict[str, Any]

_UNIT_DEG = 1e-7
"""Shapes travel as whole ten-millionths of a degree: about 1 cm."""


def block_shape(store: Store, block_id: str) -> Json:
    """Return what of a block never changes under one shape version: outline, rows, positions."""
    with store.read() as conn:
        block = orchard.block(conn, block_id)
        rows = orchard.rows(conn, block_id)
        ground = ground_store.grounds(conn, block.farm_id).get(block_id, block_id)
    return shape_json(block, rows, ground)


def shape_version_of(store: Store, block_id: str) -> str:
    """Return the name of a block's shape as it is now."""
    with store.read() as conn:
        return orchard.block(conn, block_id).shape_version


def shape_json(block: Block, rows: Sequence[Row], ground: str) -> Json:
    """Return a block's shape as whole ten-millionths of a degree from an origin (see `block_shape`).

    ``ground`` names the change that made its ground what it is, the block itself before any: records say it again, so that what is
    handed in after another change is known to speak of the rows as they were.
    """
    bounds = block.outline.bounds if block.outline is not None else rows[0].line.bounds
    origin = (round(bounds[0], 7), round(bounds[1], 7))
    return {
        "id": block.id,
        "version": block.shape_version,
        "ground": ground,
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


def block_state(
    store: Store,
    block_id: str,
    *,
    day: date | None,
    people_of: Collection[str] | None = None,
    language: str = "en",
    now: datetime,
) -> Json:
    """Return what of a block changes: runs of pruned positions, checks, closure, as of a day.

    ``language`` (ISO 639-1) is that of points not met and of weak areas; English where it has no catalogue.
    """
    with store.read() as conn:
        at = moment(conn, orchard.block(conn, block_id).farm_id, day, now)
        return states_json(conn, at, [block_id], people_of=people_of, language=language)[block_id]


def states_json(
    conn: Connection,
    at: Moment,
    block_ids: Sequence[str],
    *,
    people_of: Collection[str] | None = None,
    language: str = "en",
) -> dict[str, Json]:
    """Return the state of several blocks of a farm (see `block_state`) by their id, each kind of thing asked for once.

    Names of auditors whose role is not among ``people_of`` are left empty; None knows all.
    """
    season_id = at.season.id if at.season else ""
    found = states_on(conn, season_id, block_ids, at.until) if at.season else []
    checks = read_checks(conn, at, block_ids, states=found)
    words = point_words(conn, at, checks, language)
    weak = standing_areas(conn, at, block_ids, language=language)
    crews = [{"id": crew.id, "name": crew.name} for crew in farm_store.crews(conn, at.farm.id)]
    known = [p for p in farm_store.people(conn, at.farm.id) if people_of is None or p.role in people_of]
    auditors = {person.id: person.name for person in known}
    closed = closed_blocks(closures.closures(conn, block_ids), at)
    returns = return_facts(conn, at, block_ids)
    waiting, is_past = waiting_stretches(returns), past_checks(returns)
    seq = log.cursor(conn, at.farm.id)
    number = {crew["id"]: i for i, crew in enumerate(crews)}
    told: dict[str, Json] = {
        block_id: {
            "id": block_id,
            "day": at.day.isoformat(),
            "cursor": seq,
            "crews": crews,
            "runs": [],
            "checks": [],
            "not_judged": [],
            "point_words": words.get(block_id, {}),
            "weak": weak.get(block_id, []),
            "closed": closed.get(block_id),
        }
        for block_id in block_ids
    }
    for s in found:
        told[s.block_id]["runs"] += _runs_json(s, waiting.get(s.block_id, ()), number)
    for one in unjudged_of(conn, season_id, block_ids, until=at.until):
        told[one.block_id]["not_judged"].append(_unjudged_line(one))
    for c in checks:
        name = auditors.get(c.auditor_id or "", "")
        told[c.block_id]["checks"].append(_check_line(c, name, is_past=is_past(c)))
    return told


def _runs_json(state: RowState, waiting: Sequence[Stretch], number: Mapping[str, int]) -> list[list[int]]:
    """Return the runs of a row as [row, first, last, kind, index of crew]: 1 pruned, 2 held, 3 to be gone over again."""
    return [
        [
            state.row,
            run.first,
            run.last,
            2 if run.status in HELD else 3 if is_again else 1,
            number.get(run.crew_id or "", -1),
        ]
        for run, is_again in again_runs(state.row, state.runs, waiting)
    ]


def _unjudged_line(one: Unjudged) -> list[Any]:
    """Return a lot's tree that could not be judged as pages read it, by place."""
    return [one.id, one.row, one.position, one.reason, one.day.isoformat(), one.lot_id]


def _check_line(check: ReadCheck, auditor: str, *, is_past: bool) -> list[Any]:
    """Return a check as pages and map read it, by place; `is_past`: the tree was gone over again since."""
    place = [check.id, check.row, check.position]
    said = [check.verdict, check.day.isoformat(), auditor, check.note, check.drawn]
    return [*place, *said, check.lot_id, list(check.failed), is_past, check.second]


def block_marks(store: Store, block_id: str, *, now: datetime) -> list[Json]:
    """Return every mark of a block in the current season, newest first, withdrawn and set-aside ones too.

    One with a ``return_id`` is of no first round: its trees were gone over again.
    """
    with store.read() as conn:
        block = orchard.block(conn, block_id)
        at = moment(conn, block.farm_id, None, now)
        found = log.marks_of_blocks(conn, [block_id], at.season.id) if at.season else []
    keys = ("id", "row", "first", "last", "crew_id", "method", "recorder_id", "return_id")
    return [
        {key: getattr(m, key) for key in keys}
        | {
            "day": m.day.isoformat(),
            "server_at": m.server_at.isoformat(),
            "withdrawn": bool(m.withdrawn),
            "set_aside": None if m.counts else SET_ASIDE[m.set_aside],
        }
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
                "geometry": geojson_geometry(row.line),
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
                "geometry": geojson_geometry(block.outline),
                "properties": {
                    "code": block.code,
                    "name": block.name,
                    "variety_id": block.variety_id,
                    "area_ha": round(block.area_ha, 4),
                    "shape_version": block.shape_version,
                    "slope_percent": block.slope_percent,
                },
            }
            for block in blocks
        ],
    }


def rows_in_box(store: Store, farm_id: str, box: tuple[float, float, float, float]) -> list[tuple[str, int]]:
    """Return (block id, row number) of the rows that cross a box of west, south, east, north in degrees."""
    with store.read() as conn:
        return orchard.rows_in_box(conn, farm_store.farm(conn, farm_id).id, box)
