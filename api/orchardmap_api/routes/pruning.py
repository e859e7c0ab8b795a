"""What is the same on every farm: ready-made briefs, cultivars, drawings of points, and crop load."""

from dataclasses import asdict
from typing import Annotated, Any

from fastapi import APIRouter, Body, Header, Query, Response

from orchardmap.locale.numbers import decimal_sign
from orchardmap.pruning.brief_texts import picture_digest
from orchardmap.pruning.calc import calculated_crop_loads
from orchardmap.pruning.cautions import CAUTIONS
from orchardmap.pruning.cultivars import CULTIVARS
from orchardmap.pruning.general_points import TrainingSystem, extra_points
from orchardmap.pruning.habits import HABITS, ready_made, suiting_habits
from orchardmap.pruning.pictures import PICTURES, picture_svg
from orchardmap.pruning.sentences import point_text
from orchardmap.usecases.brief_reading import content_json
from orchardmap_api.access import known
from orchardmap_api.brief_schemas import CropLoadJobs, Limit
from orchardmap_api.caching import is_named, version_headers

router = APIRouter(prefix="/api", tags=["pruning"])
Json = dict[str, Any]
NOT_CHANGED: dict[int | str, dict[str, Any]] = {304: {"description": "Not changed"}}


@router.get("/ready-made-briefs", dependencies=[known])
def list_ready_made(is_heavy_setter: bool = False, system: TrainingSystem = "axis") -> Json:
    """Return the ready-made brief of every bearing habit, and what an adviser may add to one."""
    extra = extra_points()
    return {
        "briefs": [
            content_json(ready_made(habit, is_heavy_setter=is_heavy_setter, system=system))
            for habit in HABITS
        ],
        "points": [asdict(point) for point in extra],
        "point_texts": [
            {language: point_text(point, language) for language in point.sentences} for point in extra
        ],
        "pictures": list(PICTURES),
        "cautions": [asdict(caution) for caution in CAUTIONS.values()],
    }


@router.get("/cultivars", dependencies=[known])
def list_cultivars() -> Json:
    """Return the cultivars whose habit is published, by whom, and the ready-made briefs to offer for each."""
    return {
        "cultivars": [
            asdict(one) | {"habit": one.habit, "suiting_habits": suiting_habits(one.habit)}
            for one in CULTIVARS
        ]
    }


@router.get("/pictures/{name}", response_class=Response, responses=NOT_CHANGED, dependencies=[known])
def read_picture(
    name: str,
    low: Annotated[Limit, Query(description="In the point's own unit.")] = None,
    high: Annotated[Limit, Query(description="In the point's own unit.")] = None,
    language: Annotated[str, Query(max_length=3, description="Whose decimal sign is written.")] = "en",
    v: Annotated[str | None, Query(max_length=64)] = None,
    if_none_match: Annotated[str, Header(max_length=1_000)] = "",
) -> Response:
    """Return the drawing of a point as SVG; cached for good when asked for by its digest, as briefs name it."""
    svg = picture_svg(name, low=low, high=high, decimal_sign=decimal_sign(language))
    digest = picture_digest(svg)
    headers = version_headers(digest, v)
    if is_named(digest, if_none_match):
        return Response(status_code=304, headers=headers)
    return Response(svg, media_type="image/svg+xml", headers=headers)


@router.post("/calc/crop-load", dependencies=[known])
def calculate_crop_load(jobs: Annotated[CropLoadJobs, Body()]) -> Any:  # noqa: ANN401 - one answer, or a list of them
    """Answer a job of crop load, or a list of them, as `orchardmap calc crop-load` does."""
    return calculated_crop_loads(jobs)
