"""Paper: the wall map, crew sheets and the weekly report as PDF."""

from typing import Annotated

from fastapi import APIRouter, Depends, Query, Request, Response

from orchardmap.paper.wall_map import WallMapWish
from orchardmap.usecases.crew_sheets import CrewSheetWish, crew_sheets_pdf
from orchardmap.usecases.wall_map import wall_map_pdf
from orchardmap.usecases.weekly_report import weekly_report_pdf
from orchardmap_api.access import READERS, AnswersForFarm, needs
from orchardmap_api.cookies import own_address
from orchardmap_api.dependencies import AskedDay, AskedLanguage, FarmId, Now, ServiceStore

router = APIRouter(prefix="/api/farms/{farm_id}", tags=["paper"])


def _wall_map_wish(
    block: Annotated[
        list[str],
        Query(
            default_factory=list, max_length=1000, description="Codes or ids of blocks; all when left out."
        ),
    ],
    size: Annotated[str, Query(max_length=2, description="Of the paper: a2, a3 or a4.")] = "a3",
    scale: Annotated[
        int | None,
        Query(ge=100, le=100_000, description="2500 for 1:2500; the largest that fits when left out."),
    ] = None,
    language: AskedLanguage = "en",
) -> WallMapWish:
    return WallMapWish(size, language, tuple(block), scale)


def _crew_sheet_wish(
    request: Request,
    block: Annotated[list[str], Query(min_length=1, max_length=100, description="Codes or ids of blocks.")],
    only_left: Annotated[
        bool, Query(description="Leave the rows out in which there is nothing to do.")
    ] = False,
    language: AskedLanguage = "en",
) -> CrewSheetWish:
    return CrewSheetWish(tuple(block), language, only_left, own_address(request))


def _pdf(made: bytes, name: str) -> Response:
    named = {"Content-Disposition": f'inline; filename="{name}.pdf"'}
    return Response(made, media_type="application/pdf", headers=named)


@router.get("/wall-map.pdf", response_class=Response, dependencies=[needs(*READERS)])
def read_wall_map(
    farm_id: FarmId,
    store: ServiceStore,
    wish: Annotated[WallMapWish, Depends(_wall_map_wish)],
    now: Now,
    day: AskedDay = None,
) -> Response:
    """Return the wall map as PDF: every row at its true length and a true scale."""
    return _pdf(wall_map_pdf(store, str(farm_id), wish, day=day, now=now), "wall-map")


@router.get("/crew-sheets.pdf", response_class=Response, dependencies=[needs(*READERS)])
def read_crew_sheets(
    farm_id: FarmId,
    store: ServiceStore,
    wish: Annotated[CrewSheetWish, Depends(_crew_sheet_wish)],
    now: Now,
    day: AskedDay = None,
) -> Response:
    """Return crew sheets of blocks as PDF: rows in walking order with boxes to tick."""
    return _pdf(crew_sheets_pdf(store, str(farm_id), wish, day=day, now=now), "crew-sheets")


@router.get("/weekly-report.pdf", response_class=Response, dependencies=[needs(*READERS)])
def read_weekly_report(
    farm_id: FarmId,
    store: ServiceStore,
    sees_cost: AnswersForFarm,
    now: Now,
    day: AskedDay = None,
    language: AskedLanguage = "en",
) -> Response:
    """Return the report of the week that a day lies in as PDF; what work costs is told to managers."""
    made = weekly_report_pdf(store, str(farm_id), day=day, language=language, with_cost=sees_cost, now=now)
    return _pdf(made, "weekly-report")
