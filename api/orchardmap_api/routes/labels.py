"""Row-end labels, and the way from a label's code to its row."""

from typing import Annotated, Literal
from urllib.parse import urlencode

from fastapi import APIRouter, Depends, Path, Query, Request, Response
from fastapi.responses import HTMLResponse, RedirectResponse

from orchardmap.paper.row_page import no_row_page, which_row_page
from orchardmap.paper.screen_page import POLICY
from orchardmap.paper.sheet import DEFAULT_SIZE
from orchardmap.usecases import labels
from orchardmap.usecases.labels import LabelWish, RowPlace
from orchardmap_api.access import OPEN, AnyCaller, needs
from orchardmap_api.cookies import own_address
from orchardmap_api.dependencies import FarmId, ServiceStore

router = APIRouter(tags=["labels"])


def _wish(
    request: Request,
    block: Annotated[list[str], Query(min_length=1, max_length=100, description="Codes or ids of blocks.")],
    rows: Annotated[str, Query(max_length=200, description="Such as 1-20; all when left out.")] = "",
    ends: Annotated[Literal["both", "first", "far"], Query()] = "both",
    size: Annotated[str, Query(max_length=20, description="Of a label, in mm.")] = DEFAULT_SIZE,
    address: Annotated[
        str, Query(max_length=300, description="That tablets use; this one when left out.")
    ] = "",
) -> LabelWish:
    return LabelWish(tuple(block), address or own_address(request), rows, ends, size)


@router.get("/api/farms/{farm_id}/labels.pdf", response_class=Response, dependencies=[needs("manager")])
def read_labels(farm_id: FarmId, store: ServiceStore, wish: Annotated[LabelWish, Depends(_wish)]) -> Response:
    """Return row-end labels of blocks as PDF."""
    made = labels.labels_pdf(store, str(farm_id), wish)
    return Response(
        made, media_type="application/pdf", headers={"Content-Disposition": 'inline; filename="labels.pdf"'}
    )


@router.get("/R/{code:path}/{row}", include_in_schema=False, dependencies=[OPEN])
@router.get("/r/{code:path}/{row}", include_in_schema=False, dependencies=[OPEN])
def open_row(
    request: Request,
    store: ServiceStore,
    caller: AnyCaller,
    code: Annotated[str, Path(max_length=1000)],
    row: Annotated[str, Path(max_length=20)],
) -> Response:
    """Lead from a label's code to the row's screen on one of the caller's farms, or say in words that there is none.

    Anybody may scan a label that hangs by the road: who is not known here is led to the door and learns of no block.
    """
    if caller.is_nobody:
        return RedirectResponse("/sign-in?" + urlencode({"next": request.url.path}), 307)
    number = int(row) if row.isascii() and row.isdigit() and len(row) <= 6 else 0
    found = labels.row_places(store, sorted(caller.grants), code=code, row=number)
    there = [place for place in found if place.is_there]
    headers = {"Content-Security-Policy": POLICY}
    if not there:
        return HTMLResponse(no_row_page(code, row, block_is_known=bool(found)), 404, headers=headers)
    if len(there) > 1:
        return HTMLResponse(which_row_page([(_words(one), _path(one)) for one in there]), headers=headers)
    return RedirectResponse(_path(there[0]), 307)


def _path(place: RowPlace) -> str:
    return "/rows?" + urlencode({"block": place.block_id, "row": place.row})


def _words(place: RowPlace) -> str:
    return f"{place.farm_name}: block {place.code}, row {place.row}"
