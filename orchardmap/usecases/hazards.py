"""What is dangerous about blocks: power lines within reach of rows, steep ground, closures."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np

from orchardmap.geometry.hazards import line_distances_m
from orchardmap.model.hazard import Hazard, HazardLine
from orchardmap.model.orchard import Block, Farm, Row
from orchardmap.pruning.clearance import line_clearance_m
from orchardmap.pruning.farm_settings import FarmSettings
from orchardmap.pruning.hazard_texts import closure_hazard, ending_by_law, line_hazard, slope_hazard
from orchardmap.store import closures as closure_store
from orchardmap.store import farm_settings as setting_store
from orchardmap.store import hazards as hazard_store
from orchardmap.store.session import Connection

__all__ = ["block_hazards", "farm_clearance_m", "hazards_json", "line_hazards"]


def block_hazards(
    conn: Connection,
    farm: Farm,
    blocks: Sequence[Block],
    rows: Mapping[str, Sequence[Row]],
    *,
    now: datetime,
) -> dict[str, tuple[Hazard, ...]]:
    """Return the dangers of blocks, by the farm's settings; the last sentence of each set defers to the law.

    Parameters
    ----------
    conn : Connection
        Open for reading.
    farm : Farm
    blocks : sequence of Block
        Of that farm.
    rows : mapping of str to sequence of Row
        Block id to its rows.
    now : datetime with time zone
        Closures that are over by then are left out, and none that is to come: a pack or a card is looked at
        days after it was made.

    Returns
    -------
    dict of str to tuple of Hazard
        Every block; lines first, then slope, then closures in the order they start.
    """
    settings = setting_store.farm_settings(conn, farm.id)
    lines = hazard_store.hazard_lines(conn, farm.id)
    zone, closed = ZoneInfo(farm.time_zone), defaultdict(list)
    for one in closure_store.closures(conn, [block.id for block in blocks]):
        if one.ends_at > now:
            closed[one.block_id].append(
                closure_hazard(one.starts_at.astimezone(zone), one.ends_at.astimezone(zone))
            )
    return {
        block.id: ending_by_law([
            *line_hazards(rows[block.id], lines, settings),
            *_slope_hazards(block, settings),
            *closed[block.id],
        ])
        for block in blocks
    }  # fmt: skip


def farm_clearance_m(conn: Connection, farm_id: str) -> float:
    """Return how far the cautions of a farm's briefs say to stay from power lines: as far as its setting and its widest line ask for."""
    rule = setting_store.farm_settings(conn, farm_id).line_clearance
    asked_m = [line_clearance_m(line.kv, rule) for line in hazard_store.hazard_lines(conn, farm_id)]
    return max([rule.base_m, *asked_m])


def line_hazards(rows: Sequence[Row], lines: Sequence[HazardLine], settings: FarmSettings) -> list[Hazard]:
    """Return the rows within reach of lines, by the distance to keep from them, the widest first."""
    numbers = np.array([row.number for row in rows])
    near: dict[float, set[int]] = defaultdict(set)
    for line in lines:
        clearance_m = line_clearance_m(line.kv, settings.line_clearance)
        distances_m = line_distances_m([row.line for row in rows], line.line)
        near[clearance_m].update(numbers[distances_m <= clearance_m + settings.line_reach_m].tolist())
    return [
        line_hazard(sorted(near[clearance_m]), clearance_m)
        for clearance_m in sorted(near, reverse=True)
        if near[clearance_m]
    ]


def _slope_hazards(block: Block, settings: FarmSettings) -> list[Hazard]:
    steep = block.slope_percent is not None and block.slope_percent >= settings.slope_caution_percent
    return [slope_hazard(block.slope_percent)] if steep and block.slope_percent is not None else []


def hazards_json(hazards: Sequence[Hazard]) -> list[dict[str, Any]]:
    """Return hazards as packs carry them."""
    return [{"key": one.key, "rows": list(one.rows), "texts": dict(one.texts)} for one in hazards]
