"""From a file to blocks: read and preview, plan rows and trees, take all of it in one transaction or nothing."""

import secrets
from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

import numpy as np
from shapely.geometry import MultiLineString, MultiPolygon, Polygon

from orchardmap.errors import InputError, OrchardmapError, UnknownError
from orchardmap.geodata.preview import Answers, Feature, Preview
from orchardmap.geodata.preview_json import preview_from_json, preview_json
from orchardmap.geodata.read import read_file
from orchardmap.geometry.bearing import textbook_trees_per_ha
from orchardmap.geometry.geodesy import area_m2
from orchardmap.geometry.surveyed import measured_pitch_m, rows_bearing_deg
from orchardmap.model.orchard import Planting, Row
from orchardmap.store import drafts, orchard, row_tables
from orchardmap.store import farm as farm_store
from orchardmap.store.session import Store
from orchardmap.units import m2_to_ha
from orchardmap.usecases.bearing_offers import bearing_offers
from orchardmap.usecases.block_plans import BlockWish, block_plan
from orchardmap.usecases.planting import By, made_rows, plant_blocks
from orchardmap.usecases.steps import Told, counted

__all__ = [
    "discard", "look", "plan", "plan_of", "preview", "survey", "take", "take_kept",
]  # fmt: skip

Json = dict[str, Any]

_COVERED_SHARE = 0.75


def look(store: Store, *, farm_id: str, data: bytes, filename: str, answers: Answers) -> tuple[Preview, Json]:
    """Read a file, and return what was understood, also as JSON with the farm's codes; nothing is kept.

    Raises
    ------
    ImportFileError
        If the file is not what it claims to be, or not one of the formats that are read.
    UnknownError
        If there is no such farm.
    """
    with store.read() as conn:
        farm_store.farm(conn, farm_id)
        taken = {block.code for block in orchard.blocks(conn, farm_id)}
    told = preview_json(read_file(data, filename=filename, answers=answers))
    # what is kept as text loses digits: shell and browser go by the same ones
    return preview_from_json(told), {**told, "taken_codes": sorted(taken)}


def preview(
    store: Store, *, farm_id: str, data: bytes, filename: str, answers: Answers, now: datetime
) -> Json:
    """Read a file and keep what was understood under a token; nothing is taken.

    Raises
    ------
    ImportFileError
        If the file is not what it claims to be, or not one of the formats that are read.
    UnknownError
        If there is no such farm.
    """
    _, told = look(store, farm_id=farm_id, data=data, filename=filename, answers=answers)
    token = secrets.token_urlsafe(24)
    with store.write() as conn:
        drafts.save_draft(conn, token, farm_id, told, now=now)
    return {"token": token, **told}


def _kept(store: Store, token: str) -> tuple[str, Preview]:
    with store.read() as conn:
        farm_id, told = drafts.draft(conn, token)
    return farm_id, preview_from_json(told)


def plan(store: Store, *, token: str, wishes: Sequence[BlockWish]) -> list[Json]:
    """Return rows and trees as they would be, block by block; a block that cannot be says why.

    Parameters
    ----------
    store : Store
        Open for reading.
    token : str
        Of a preview.
    wishes : sequence of BlockWish
        The blocks.

    Returns
    -------
    list of dict
        One for each wish: rows, trees, lengths in metres, area in hectares, lines in lonlat
        degrees, bearings on offer, warnings, and ``problem`` (None where the block can be taken).
    """
    return plan_of(_kept(store, token)[1], wishes)


def plan_of(kept: Preview, wishes: Sequence[BlockWish], told: Told = None) -> list[Json]:
    """Return what `plan` returns, of a preview at hand; ``told`` is called after each block."""
    return [_planned(wish, kept) for wish in counted(wishes, "Laying out rows and trees", told)]


def _planned(wish: BlockWish, kept: Preview) -> Json:
    told: Json = {
        "index": wish.index,
        "code": wish.code,
        "rows": 0,
        "trees": 0,
        "length_m": 0.0,
        "lines": [],
        "problem": None,
    }
    told |= {
        "bearings": [],
        "warnings": [],
        "area_ha": 0.0,
        "trees_per_ha": None,
        "textbook_trees_per_ha": None,
    }
    try:
        asked = block_plan(wish, kept)
        if asked.outline is not None:
            told["area_ha"] = m2_to_ha(area_m2(asked.outline))
            told["bearings"], told["warnings"] = bearing_offers(asked.outline)
        rows = made_rows(asked, "")
    except OrchardmapError as error:
        return told | {"problem": _plainly(error, wish.code)}
    told |= {
        "rows": len(rows),
        "trees": sum(row.trees for row in rows),
        "length_m": round(sum(row.length_m for row in rows), 1),
        "lines": [line for row in rows for line in _lonlat(row)],
        "textbook_trees_per_ha": round(
            textbook_trees_per_ha(wish.planting.row_spacing_m, wish.planting.tree_spacing_m)
        ),
    }
    if told["area_ha"]:
        told["trees_per_ha"] = round(told["trees"] / told["area_ha"])
        told["warnings"] += _bare(rows, wish.planting, told["area_ha"])
    if asked.surveyed and len(asked.surveyed) > 1:
        pitch_m, bearing_deg = measured_pitch_m(asked.surveyed), rows_bearing_deg(asked.surveyed)
        told["warnings"].append(
            f"The surveyed rows stand {pitch_m:.2f} m apart and run at {bearing_deg:.1f}°."
        )
    return told


def _plainly(error: OrchardmapError, code: str) -> str:
    """Return what is wrong with a block, without its code or the number of its outline: it stands beside it."""
    own = error.where == code or error.where.startswith("first_row of outline")
    return str(OrchardmapError(error.what, where="" if own else error.where, todo=error.todo))


def _bare(rows: Sequence[Row], planting: Planting, area_ha: float) -> list[str]:
    """Warn where rows times their spacing cover much less than the outline: row 1 may stand in the middle of it."""
    reach_m = sum(row.length_m + 2 * planting.headland_m for row in rows)
    share = m2_to_ha(reach_m * planting.row_spacing_m / max(planting.lines_per_row, 1)) / area_ha
    if share >= _COVERED_SHARE:
        return []
    return [f"The rows cover only {share:.0%} of the outline: is row 1 the outermost row?"]


def _lonlat(row: Row) -> list[list[list[float]]]:
    return [np.round(np.asarray(line.coords)[:, :2], 7).tolist() for line in row.line.geoms]


def survey(
    store: Store, farm_id: str, token: str, index: int | None, rows: Sequence[int], planting: Planting
) -> tuple[Polygon | MultiPolygon | None, tuple[MultiLineString, ...], tuple[int, ...] | None]:
    """Return outline, surveyed rows and their numbers of a previewed file, for a block that is there and was surveyed again.

    Raises
    ------
    UnknownError
        If the farm has no such preview.
    InputError
        If a question of the file is open, or a feature cannot be what it is taken for.
    """
    of_farm, kept = _kept(store, token)
    if of_farm != farm_id:
        raise UnknownError("no such preview on this farm", where="token", todo="Drop the file again.")
    found = block_plan(BlockWish("", "", planting, index, tuple(rows)), kept)
    return found.outline, found.surveyed, found.numbers


def take(
    store: Store,
    *,
    token: str,
    wishes: Sequence[BlockWish],
    reasons: Mapping[int, str] | None = None,
    actor: str = "shell",
    now: datetime,
) -> Json:
    """Take the blocks, all or none, and report feature by feature.

    Parameters
    ----------
    store : Store
        Open for writing.
    token : str
        Of a preview; it is used up when the blocks are taken.
    wishes : sequence of BlockWish
        The blocks.
    reasons : mapping of int to str, optional
        Why features were not chosen, by index.
    actor : str
        Who takes them, for the audit log.
    now : datetime with time zone
        The server's clock.

    Returns
    -------
    dict
        ``blocks`` (id, code, rows, trees) and ``left_out`` (index, name, reason).

    Raises
    ------
    InputError
        If a block cannot be made; nothing is taken then.
    ConflictError
        If a code is used twice or is there already; nothing is taken then.
    """
    farm_id, kept = _kept(store, token)
    report = take_kept(store, farm_id, kept, wishes, reasons=reasons or {}, by=By(actor, now))
    with store.write() as conn:
        drafts.drop_draft(conn, token)
    return report


def take_kept(
    store: Store,
    farm_id: str,
    kept: Preview,
    wishes: Sequence[BlockWish],
    *,
    reasons: Mapping[int, str],
    by: By,
) -> Json:
    """Take blocks of a preview at hand, and return what `take` returns; it raises what that raises."""
    if not wishes:
        raise InputError("no block was chosen", where="blocks", todo="Choose one at least.")
    plans = [block_plan(wish, kept) for wish in wishes]
    made = plant_blocks(store, farm_id=farm_id, plans=plans, actor=by.actor, now=by.now)
    with store.read() as conn:
        table = row_tables.row_table(conn, [block.id for block in made])
    trees: dict[str, list[int]] = {block.id: [0, 0] for block in made}
    for block_id, positions in zip(table.block_id, table.positions.tolist(), strict=True):
        trees[block_id][0] += 1
        trees[block_id][1] += positions
    used = {i for wish in wishes for i in (*wish.rows, *((wish.index,) if wish.index is not None else ()))}
    return {
        "blocks": [
            {"id": b.id, "code": b.code, "rows": trees[b.id][0], "trees": trees[b.id][1]} for b in made
        ],
        "left_out": [
            {
                "index": f.index,
                "name": f.name,
                "reason": f.problem or reasons.get(f.index) or _left_out_reason(f),
            }
            for f in kept.features
            if f.index not in used
        ],
    }


def _left_out_reason(feature: Feature) -> str:
    return "single trees are shown, not taken" if feature.kind == "tree" else "not chosen"


def discard(store: Store, *, token: str) -> None:
    """Forget a preview."""
    with store.write() as conn:
        drafts.drop_draft(conn, token)
