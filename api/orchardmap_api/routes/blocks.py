"""Blocks and their rows."""

from dataclasses import asdict
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Header, Path, Query, Response
from fastapi.responses import JSONResponse

from orchardmap.errors import InputError
from orchardmap.usecases import blocks, closing, counting, ground_editing, tree_counts
from orchardmap_api.access import READERS, Confirmed, FarmCaller, NamedRoles, needs
from orchardmap_api.caching import is_named, version_headers
from orchardmap_api.dependencies import AskedDay, AskedLanguage, FarmId, Now, PathId, ServiceStore
from orchardmap_api.schemas import BlockChangeBody, ClosureBody, ClosureEndBody, RowCountBody

router = APIRouter(prefix="/api", tags=["blocks"])
Json = dict[str, Any]
RowNumber = Annotated[int, Path(ge=1, le=100_000)]


@router.get("/farms/{farm_id}/blocks", dependencies=[needs(*READERS)])
def list_blocks(farm_id: FarmId, store: ServiceStore) -> JSONResponse:
    """Return the farm's blocks as GeoJSON (RFC 7946)."""
    return JSONResponse(blocks.blocks_geojson(store, str(farm_id)), media_type="application/geo+json")


@router.get("/farms/{farm_id}/rows-in-box", dependencies=[needs(*READERS)])
def list_rows_in_box(
    farm_id: FarmId,
    store: ServiceStore,
    bbox: Annotated[str, Query(max_length=200, description="west,south,east,north in degrees, WGS 84")],
) -> Json:
    """Return block id and number of the rows that cross a box."""
    return {
        "rows": [{"block_id": b, "row": n} for b, n in blocks.rows_in_box(store, str(farm_id), _box(bbox))]
    }


def _box(text: str) -> tuple[float, float, float, float]:
    try:
        west, south, east, north = (float(part) for part in text.split(","))
    except ValueError as error:
        raise InputError(
            "a box is four numbers", where="bbox", todo="Give west,south,east,north in degrees."
        ) from error
    if not (-180 <= west <= 180 and -180 <= east <= 180 and -90 <= south <= north <= 90):
        raise InputError(
            "the box is not on the globe", where="bbox", todo="Give west,south,east,north in degrees."
        )
    # RFC 7946, section 5.2: west above east is a box across the antimeridian
    return west, south, (east + 360.0 if west > east else east), north


@router.get(
    "/blocks/{block_id}/shape",
    responses={304: {"description": "Not changed"}},
    dependencies=[needs(*READERS)],
)
def read_shape(
    block_id: PathId,
    store: ServiceStore,
    v: Annotated[str | None, Query(max_length=64)] = None,
    if_none_match: Annotated[str, Header(max_length=1_000)] = "",
) -> Response:
    """Return what of a block never changes under one shape version; cached for good when asked by its version."""
    version = blocks.shape_version_of(store, str(block_id))
    shape = None if is_named(version, if_none_match) else blocks.block_shape(store, str(block_id))
    version = version if shape is None else shape["version"]
    headers = version_headers(version, v)
    return JSONResponse(shape, headers=headers) if shape else Response(status_code=304, headers=headers)


@router.get("/blocks/{block_id}/state", dependencies=[needs(*READERS)])
def read_state(
    block_id: PathId,
    store: ServiceStore,
    names: NamedRoles,
    now: Now,
    day: AskedDay = None,
    lang: AskedLanguage = "en",
) -> Json:
    """Return runs of pruned positions, checks, weak areas and closure of a block, as of a day."""
    return blocks.block_state(store, str(block_id), day=day, people_of=names, language=lang, now=now)


@router.get("/blocks/{block_id}/marks", dependencies=[needs(*READERS)])
def read_marks(block_id: PathId, store: ServiceStore, now: Now) -> Json:
    """Return every mark of a block this season, withdrawn and set-aside ones too."""
    return {"marks": blocks.block_marks(store, str(block_id), now=now)}


@router.get("/blocks/{block_id}/counts", dependencies=[needs(*READERS)])
def read_tree_counts(block_id: PathId, store: ServiceStore, now: Now) -> Json:
    """Return what was counted on sample trees of a block this season: mean, interval, whether it is enough, and the target."""
    return tree_counts.block_counts(store, str(block_id), now=now)


@router.get("/blocks/{block_id}/rows", dependencies=[needs(*READERS)])
def read_rows(block_id: PathId, store: ServiceStore, now: Now, day: AskedDay = None) -> JSONResponse:
    """Return a block's rows as GeoJSON (RFC 7946), as of a day."""
    found = blocks.block_rows(store, str(block_id), day=day, now=now)
    return JSONResponse(found, media_type="application/geo+json")


@router.patch("/blocks/{block_id}", status_code=204, dependencies=[needs("manager")])
def edit_block(
    block_id: PathId, body: BlockChangeBody, store: ServiceStore, caller: FarmCaller, now: Now
) -> None:
    """Say what a block is planted with, and how steep it is."""
    changes = body.model_dump(exclude_unset=True)
    ground_editing.edit_block(store, block_id=str(block_id), changes=changes, actor=caller.actor, now=now)


def confirmed_where_marked(
    block_id: PathId, number: RowNumber, store: ServiceStore, confirmed: Confirmed
) -> None:
    """Ask for a password given lately where work was marked in the row: another count may take its trees away."""
    if counting.is_marked(store, str(block_id), number):
        confirmed()


@router.patch(
    "/blocks/{block_id}/rows/{number}",
    status_code=204,
    dependencies=[needs("manager"), Depends(confirmed_where_marked)],
)
def count_row(
    block_id: PathId, number: RowNumber, body: RowCountBody, store: ServiceStore, caller: FarmCaller, now: Now
) -> None:
    """Say what was counted in a row."""
    changes = body.model_dump(exclude_unset=True)
    counting.recount_row(
        store, block_id=str(block_id), row=number, changes=changes, actor=caller.actor, now=now
    )


@router.get("/blocks/{block_id}/closures", dependencies=[needs("manager")])
def list_closures(block_id: PathId, store: ServiceStore) -> Json:
    """Return a block's closures, past ones too; not those that were taken back."""
    return {"closures": [asdict(one) for one in closing.closures_of(store, str(block_id))]}


@router.post("/blocks/{block_id}/closures", status_code=201, dependencies=[needs("manager", confirmed=True)])
def close_block(
    block_id: PathId, body: ClosureBody, store: ServiceStore, caller: FarmCaller, now: Now
) -> Json:
    """Close a block for a time; marks already taken in it are set aside."""
    made = closing.close_block(
        store,
        block_id=str(block_id),
        span=(body.starts_at, body.ends_at),
        reason=body.reason,
        actor=caller.actor,
        now=now,
    )
    return asdict(made)


@router.post(
    "/blocks/{block_id}/closures/{closure_id}/end",
    status_code=204,
    dependencies=[needs("manager", confirmed=True)],
)
def end_closure(
    block_id: PathId,
    closure_id: PathId,
    body: ClosureEndBody,
    store: ServiceStore,
    caller: FarmCaller,
    now: Now,
) -> None:
    """End a closure earlier, or take it back; marks that it set aside are judged anew."""
    closing.end_closure(
        store,
        block_id=str(block_id),
        closure_id=str(closure_id),
        ends_at=body.ends_at,
        actor=caller.actor,
        now=now,
    )
