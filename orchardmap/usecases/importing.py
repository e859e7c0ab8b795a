"""From a file to blocks: read and preview, plan rows and trees, take all of it in one transaction or nothing."""

import secrets
from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from shapely.geometry import MultiLineString, MultiPolygon, Polygon

from orchardmap.errors import InputError, UnknownError
from orchardmap.geodata.naming import made_up
from orchardmap.geodata.preview import Answers, Feature, Preview
from orchardmap.geodata.preview_json import preview_from_json, preview_json
from orchardmap.geodata.read import read_file
from orchardmap.model.orchard import Planting
from orchardmap.store import drafts, orchard, row_tables
from orchardmap.store import farm as farm_store
from orchardmap.store.session import Store
from orchardmap.usecases import block_places, import_plans
from orchardmap.usecases.block_plans import BlockWish, block_plan
from orchardmap.usecases.planting import By, plant_blocks

__all__ = [
    "discard", "look", "plan", "preview", "survey", "take", "take_kept",
]  # fmt: skip

Json = dict[str, Any]


def look(store: Store, *, farm_id: str, data: bytes, filename: str, answers: Answers) -> tuple[Preview, Json]:
    """Read a file, and return what was understood, also as JSON with what it is beside the farm's blocks; nothing is kept.

    The JSON says more than `preview_json`: ``taken_codes``; ``places`` (`block_places.places`); of each feature ``named``, whether
    the file gives it a name, and ``upon``, the code of the farm's block that it lies upon (None where there is none).

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
    kept = preview_from_json(told)
    shapes = {f.index: f.geometry for f in kept.features if f.geometry is not None and f.kind != "tree"}
    with store.read() as conn:
        places = block_places.places(conn, farm_id, shapes)
        upon = block_places.lies_upon(conn, farm_id, shapes)
    for feature in told["features"]:
        feature["upon"] = upon.get(feature["index"])
        feature["named"] = not made_up(feature["name"], feature["properties"])
    return kept, {**told, "taken_codes": sorted(taken), "places": places}


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
        As `import_plans.plan_of` tells.
    """
    return import_plans.plan_of(_kept(store, token)[1], wishes)


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
    as_placed: bool = False,
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
    as_placed : bool
        Whether somebody said that blocks far from the farm's, or from each other, belong where they lie.
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
        If a block cannot be made, or lies far off and nobody said that it belongs there; nothing is taken then.
    ConflictError
        If a code is used twice or is there already; nothing is taken then.
    """
    farm_id, kept = _kept(store, token)
    if not as_placed:
        with store.read() as conn:
            block_places.refuse_far_blocks(conn, farm_id, kept, wishes)
    report = take_kept(store, farm_id, kept, wishes, reasons={}, by=By(actor, now))
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
    """Take blocks of a preview at hand, wherever they lie, and return what `take` returns; it raises what that raises."""
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
