"""Files in: preview, plan, take."""

from collections.abc import AsyncIterator
from typing import Annotated, Any

from fastapi import APIRouter, Depends, HTTPException, Path, Request
from fastapi.exceptions import RequestValidationError
from pydantic import ValidationError
from starlette.datastructures import FormData
from starlette.requests import ClientDisconnect

from orchardmap.errors import ImportFileError
from orchardmap.geodata.preview import answers_from_fields
from orchardmap.model.orchard import Planting
from orchardmap.usecases import farm_features, importing
from orchardmap.usecases.block_plans import BlockWish
from orchardmap_api.access import FarmCaller, needs
from orchardmap_api.dependencies import FarmId, Now, ServiceStore
from orchardmap_api.farm_feature_schemas import FeaturesBody
from orchardmap_api.schemas import BlocksBody, FileForm, TakeBlocksBody

router = APIRouter(prefix="/api", tags=["imports"])
Json = dict[str, Any]

LARGEST_FILE = 50 * 1024 * 1024
Token = Annotated[str, Path(max_length=64, pattern=r"^[A-Za-z0-9_-]+$")]


async def _sent(request: Request) -> AsyncIterator[FileForm]:
    """Read the form. FastAPI would read it, all 51 MB, before the route's rule asks who sends it; this comes after the rule."""
    try:
        form = await request.form(max_files=1, max_fields=20)
    except (ClientDisconnect, ValueError) as error:  # cut short, or what its parser takes for no form
        raise HTTPException(400, "The form cannot be read") from error
    try:
        yield _checked(form)
    finally:
        await form.close()


def _checked(form: FormData) -> FileForm:
    try:
        return FileForm.model_validate(dict(form))
    except ValidationError as error:
        found = [{"loc": ("body", *one["loc"]), "msg": one["msg"]} for one in error.errors()]
        raise RequestValidationError(found) from error


_FORM = {"required": True, "content": {"multipart/form-data": {"schema": FileForm.model_json_schema()}}}


@router.post(
    "/farms/{farm_id}/imports",
    status_code=201,
    dependencies=[needs("manager")],
    openapi_extra={"requestBody": _FORM},
)
def preview_file(
    farm_id: FarmId, sent: Annotated[FileForm, Depends(_sent)], store: ServiceStore, now: Now
) -> Json:
    """Read a file and show what was understood; nothing is taken yet."""
    data = sent.file.file.read(LARGEST_FILE + 1)
    if len(data) > LARGEST_FILE:
        raise ImportFileError(
            "the file is larger than 50 MB", where="file", todo="Split it, or leave out what is not a block."
        )
    return importing.preview(
        store,
        farm_id=str(farm_id),
        data=data,
        filename=sent.file.filename or "",
        answers=answers_from_fields(sent.model_dump(exclude={"file"})),
        now=now,
    )


def _wishes(body: BlocksBody) -> list[BlockWish]:
    return [
        BlockWish(
            code=block.code,
            name=block.name,
            planting=Planting(**block.planting.model_dump()),
            index=block.index,
            rows=tuple(block.rows),
            variety_id=None if block.variety_id is None else str(block.variety_id),
        )
        for block in body.blocks
    ]


@router.post("/imports/{token}/plan", dependencies=[needs("manager")])
def plan_blocks(token: Token, body: BlocksBody, store: ServiceStore) -> Json:
    """Return rows and trees as they would be, block by block."""
    return {"blocks": importing.plan(store, token=token, wishes=_wishes(body))}


@router.post("/imports/{token}/take", status_code=201, dependencies=[needs("manager")])
def take_blocks(
    token: Token, body: TakeBlocksBody, store: ServiceStore, caller: FarmCaller, now: Now
) -> Json:
    """Take the blocks, all or none; what lies far off only where `as_placed` says that it belongs there."""
    wishes, actor = _wishes(body), caller.actor
    return importing.take(store, token=token, wishes=wishes, as_placed=body.as_placed, actor=actor, now=now)


@router.delete("/imports/{token}", status_code=204, dependencies=[needs("manager")])
def discard_preview(token: Token, store: ServiceStore) -> None:
    """Forget a preview."""
    importing.discard(store, token=token)


@router.post("/imports/{token}/farm-features", status_code=201, dependencies=[needs("manager")])
def take_features(
    token: Token, body: FeaturesBody, store: ServiceStore, caller: FarmCaller, now: Now
) -> Json:
    """Take features out of a previewed file, all or none; the preview stays for its blocks."""
    wishes = [farm_features.FeatureWish(one.index, one.kind, one.name) for one in body.features]
    made = farm_features.take_features(store, token=token, wishes=wishes, actor=caller.actor, now=now)
    return {"ids": [one.id for one in made]}
