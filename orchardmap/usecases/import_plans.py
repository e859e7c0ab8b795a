"""Rows and trees of a previewed file's blocks as they would be, and what is to be said of each before it is taken."""

from collections.abc import Sequence
from typing import Any

import numpy as np

from orchardmap.errors import OrchardmapError
from orchardmap.geodata.preview import Preview
from orchardmap.geometry.bearing import textbook_trees_per_ha
from orchardmap.geometry.geodesy import area_m2
from orchardmap.geometry.ground_shifts import beyond_m
from orchardmap.geometry.surveyed import measured_pitch_m, rows_bearing_deg
from orchardmap.model.orchard import Planting, Row
from orchardmap.units import m2_to_ha
from orchardmap.usecases.bearing_offers import UNSURE_BEARING, bearing_offers
from orchardmap.usecases.block_plans import BlockWish, block_plan
from orchardmap.usecases.planting import BlockPlan, made_rows
from orchardmap.usecases.steps import Told, counted

__all__ = ["plan_of"]

Json = dict[str, Any]

_COVERED_SHARE = 0.75
_ROOM_FOR_A_ROW = 1.5
"""Of the row spacing: outlines are often drawn one alley wide of the outermost row."""
_SAME_BEARING_DEG = 0.05
"""A bearing as the screens write it differs from the edge's by less."""


def plan_of(kept: Preview, wishes: Sequence[BlockWish], told: Told = None) -> list[Json]:
    """Return rows and trees as they would be, block by block; a block that cannot be says why.

    Parameters
    ----------
    kept : Preview
        The file.
    wishes : sequence of BlockWish
        The blocks.
    told : callable, optional
        Called after each block.

    Returns
    -------
    list of dict
        One for each wish: rows, trees, lengths in metres, area in hectares, lines in lonlat degrees, bearings on offer,
        ``warnings`` (what somebody should look at), ``notes`` (what is worth knowing), ``to_outline`` (nothing says where
        rows end but the outline) and ``problem`` (None where the block can be taken).
    """
    return [_planned(wish, kept) for wish in counted(wishes, "Laying out rows and trees", told)]


def _nothing(wish: BlockWish) -> Json:
    return {
        "index": wish.index,
        "code": wish.code,
        "rows": 0,
        "trees": 0,
        "length_m": 0.0,
        "lines": [],
        "problem": None,
        "bearings": [],
        "warnings": [],
        "notes": [],
        "to_outline": False,
        "area_ha": 0.0,
        "trees_per_ha": None,
        "textbook_trees_per_ha": None,
    }


def _planned(wish: BlockWish, kept: Preview) -> Json:
    told = _nothing(wish)
    try:
        asked = block_plan(wish, kept)
        if asked.outline is not None:
            told["area_ha"] = m2_to_ha(area_m2(asked.outline))
            told["bearings"], warnings = bearing_offers(asked.outline)
            told["warnings"] = [one for one in warnings if one != UNSURE_BEARING or _unsure(wish, told)]
        rows = made_rows(asked, "")
    except OrchardmapError as error:
        return told | {"problem": _plainly(error, wish.code)}
    planting = wish.planting
    told |= {
        "rows": len(rows),
        "trees": sum(row.trees for row in rows),
        "length_m": round(sum(row.length_m for row in rows), 1),
        "lines": [line for row in rows for line in _lonlat(row)],
        "textbook_trees_per_ha": round(
            textbook_trees_per_ha(planting.row_spacing_m, planting.tree_spacing_m)
        ),
        "to_outline": not asked.surveyed and planting.headland_m == 0 and planting.end_offset_m == 0,
    }
    if told["area_ha"]:
        told["trees_per_ha"] = round(told["trees"] / told["area_ha"])
        told["warnings"] += _beyond(asked, planting, rows) or _bare(rows, planting, told["area_ha"])
    if asked.surveyed and len(asked.surveyed) > 1:
        pitch_m, bearing_deg = measured_pitch_m(asked.surveyed), rows_bearing_deg(asked.surveyed)
        told["notes"].append(f"The surveyed rows stand {pitch_m:.2f} m apart and run at {bearing_deg:.1f}°.")
    return told


def _unsure(wish: BlockWish, told: Json) -> bool:
    """Tell whether the rows' way rests on the outline alone: no two points, no survey, and the bearing is one of its edges'."""
    planting = wish.planting
    if wish.rows or planting.first_row is not None:
        return False
    off_deg = [abs((planting.bearing_deg - one["bearing_deg"] + 90) % 180 - 90) for one in told["bearings"]]
    return bool(off_deg) and min(off_deg) <= _SAME_BEARING_DEG


def _plainly(error: OrchardmapError, code: str) -> str:
    """Return what is wrong with a block, without its code or the number of its outline: it stands beside it."""
    own = error.where == code or error.where.startswith("first_row of outline")
    return str(OrchardmapError(error.what, where="" if own else error.where, todo=error.todo))


def _beyond(asked: BlockPlan, planting: Planting, rows: Sequence[Row]) -> list[str]:
    """Warn where two points say row 1 and another row could stand on its other side: there none comes."""
    if asked.outline is None or asked.surveyed or planting.first_row is None:
        return []
    away_m = beyond_m(asked.outline, rows)
    if away_m < planting.headland_m + _ROOM_FOR_A_ROW * planting.row_spacing_m:
        return []
    return [f"Up to {away_m:.0f} m of ground lie beyond row 1 and get no rows: is row 1 the outermost row?"]


def _bare(rows: Sequence[Row], planting: Planting, area_ha: float) -> list[str]:
    """Warn where rows times their spacing cover much less than the outline: row 1 may stand in the middle of it."""
    reach_m = sum(row.length_m + 2 * planting.headland_m for row in rows)
    share = m2_to_ha(reach_m * planting.row_spacing_m / max(planting.lines_per_row, 1)) / area_ha
    if share >= _COVERED_SHARE:
        return []
    return [f"The rows cover only {share:.0%} of the outline: is row 1 the outermost row?"]


def _lonlat(row: Row) -> list[list[list[float]]]:
    return [np.round(np.asarray(line.coords)[:, :2], 7).tolist() for line in row.line.geoms]
