"""OGC API - Features (OGC 17-069r4) of each farm, for programs that read geographic data."""

import json
from collections.abc import Callable
from datetime import datetime
from typing import Annotated, Any
from zoneinfo import ZoneInfo

from fastapi import APIRouter, Depends, Request, Response
from fastapi.responses import JSONResponse

from orchardmap.errors import UnknownError
from orchardmap.model.access import Grant
from orchardmap.model.layer import Layer
from orchardmap.store.session import Store
from orchardmap.usecases import feature_shelf, whoami
from orchardmap.usecases.feature_place import (
    SERVED,
    Extent,
    farm_extent,
    farm_name_and_zone,
    layers_for,
    may_read,
)
from orchardmap.usecases.feature_sheets import Page, Want
from orchardmap.usecases.layers import LAYERS
from orchardmap_api.access import READERS, FarmCaller, NamedRoles, known, needs
from orchardmap_api.cookies import own_address
from orchardmap_api.dependencies import FarmId, Now, ServiceStore
from orchardmap_api.features import definition, definition_page, documents
from orchardmap_api.features.documents import NamedPlace, Place
from orchardmap_api.features.links import GEOJSON, HTML, JSON_SCHEMA, OPENAPI
from orchardmap_api.features.query import Asked, Days, as_of, asked_of, days_of, only_known

router = APIRouter(prefix="/ogc", tags=["features"])
Route = Callable[..., Response]


def _may_read(request: Request, grant: Grant) -> bool:
    return may_read(grant, request.path_params["collection"])


OF_FARM, OF_COLLECTION = needs(*READERS), needs(*READERS, also=_may_read)


async def _nothing_asked(request: Request) -> None:
    """Refuse parameters where there are none."""
    only_known(request.query_params.multi_items(), ())


def _get(path: str, access: Any, *, takes_parameters: bool = False) -> Callable[[Route], Route]:  # noqa: ANN401 - FastAPI's own marker
    """Register a route for GET and HEAD; these are told of in a document of their own (`definition`)."""
    rules = [access] if takes_parameters else [access, Depends(_nothing_asked)]
    return router.api_route(path, methods=["GET", "HEAD"], include_in_schema=False, dependencies=rules)


def _root(request: Request) -> str:
    return own_address(request) + "/ogc"


async def _place(request: Request, farm_id: FarmId) -> Place:
    root = _root(request)
    return Place(str(farm_id), f"{root}/farms/{farm_id}", root)


FarmPlace = Annotated[Place, Depends(_place)]


def _named(place: FarmPlace, store: ServiceStore) -> NamedPlace:
    name, zone = farm_name_and_zone(store, place.farm_id)
    return NamedPlace(place.farm_id, place.root, place.up, name, ZoneInfo(zone))


def _extent(store: ServiceStore, farm_id: FarmId) -> Extent:
    return farm_extent(store, str(farm_id))


async def _layer(collection: str) -> Layer:
    if collection not in SERVED:
        raise UnknownError(
            "no such collection", where=collection[:60], todo=f"There are {', '.join(SERVED)}."
        )
    return LAYERS[collection]


async def _layers(farm_id: FarmId, caller: FarmCaller) -> list[Layer]:
    return layers_for(caller.grants[str(farm_id)])


FarmExtent = Annotated[Extent, Depends(_extent)]
NamedFarmPlace = Annotated[NamedPlace, Depends(_named)]
AskedLayer = Annotated[Layer, Depends(_layer)]
OwnLayers = Annotated[list[Layer], Depends(_layers)]
"""Those that whoever asks may read."""


@_get("", known)
def list_farms(request: Request, store: ServiceStore, caller: FarmCaller, now: Now) -> Response:
    """Return the farms of whoever asks, with the address of each one's landing page."""
    return JSONResponse(documents.farms(_root(request), whoami.farms_json(store, caller, now=now)))


@_get("/farms/{farm_id}/", OF_FARM)
@_get("/farms/{farm_id}", OF_FARM)
def read_landing(place: NamedFarmPlace) -> Response:
    """Return the landing page."""
    return JSONResponse(documents.landing(place))


@_get("/farms/{farm_id}/conformance", OF_FARM)
def read_conformance() -> Response:
    """Return the conformance classes that are met."""
    return JSONResponse(documents.conformance())


@_get("/farms/{farm_id}/api", OF_FARM)
def read_definition(place: NamedFarmPlace, layers: OwnLayers) -> Response:
    """Return what can be asked, as OpenAPI 3.0."""
    return JSONResponse(definition.openapi(place, layers), media_type=OPENAPI)


@_get("/farms/{farm_id}/api.html", OF_FARM)
def read_definition_page(place: NamedFarmPlace, layers: OwnLayers) -> Response:
    """Return the same to read."""
    return Response(definition_page.as_html(definition.openapi(place, layers)), media_type=HTML)


@_get("/farms/{farm_id}/collections", OF_FARM)
def list_collections(place: NamedFarmPlace, layers: OwnLayers, extent: FarmExtent) -> Response:
    """Return the collections that whoever asks may read."""
    return JSONResponse(documents.collections(place, layers, extent))


@_get("/farms/{farm_id}/collections/{collection}", OF_COLLECTION)
def read_collection(place: NamedFarmPlace, layer: AskedLayer, extent: FarmExtent) -> Response:
    """Return what a collection is."""
    return JSONResponse(documents.collection(place, layer, extent))


@_get("/farms/{farm_id}/collections/{collection}/schema", OF_COLLECTION)
def read_schema(place: FarmPlace, layer: AskedLayer) -> Response:
    """Return the fields of a collection."""
    return JSONResponse(documents.schema(place, layer), media_type=JSON_SCHEMA)


@_get("/farms/{farm_id}/collections/{collection}/items", OF_COLLECTION, takes_parameters=True)
def list_items(
    request: Request, place: FarmPlace, layer: AskedLayer, store: ServiceStore, names: NamedRoles, now: Now
) -> Response:
    """Return a page of features."""
    said = request.query_params.multi_items()
    asked = asked_of(said, documents.parameters(layer))
    want = _want(layer, asked, _days(store, place.farm_id, layer, asked, now), names)
    page = Page((), 0, None) if want is None else feature_shelf.page_of(store, place.farm_id, want, now=now)
    links = documents.page_links(place, layer, said, page.next_after)
    return Response(documents.page_text(page.texts, page.matched, links, now), media_type=GEOJSON)


def _days(store: Store, farm_id: str, layer: Layer, asked: Asked, now: datetime) -> Days | None:
    """Return the days that are asked about; None where nothing of them is known yet."""
    if asked.when is None or not documents.is_timed(layer):
        return None, None
    zone = ZoneInfo(farm_name_and_zone(store, farm_id)[1])
    return as_of(days_of(asked.when, zone), now.astimezone(zone).date())


def _want(layer: Layer, asked: Asked, days: Days | None, names: tuple[str, ...] | None) -> Want | None:
    """Return what is wanted of a layer; None where it is of days to come, of which nothing is known."""
    if days is None:
        return None
    is_dated = asked.when is not None
    return Want(layer.name, *days, asked.box, asked.block, asked.after, asked.limit, names, is_dated)


@_get("/farms/{farm_id}/collections/{collection}/items/{feature_id}", OF_COLLECTION)
def read_item(
    place: FarmPlace, layer: AskedLayer, feature_id: str, store: ServiceStore, names: NamedRoles, now: Now
) -> Response:
    """Return one feature."""
    want = Want(layer.name, people_of=names, any_season=True)
    text = feature_shelf.feature_of(store, place.farm_id, want, feature_id, now=now)
    links = json.dumps(documents.feature_links(place, layer, feature_id), ensure_ascii=False)
    return Response(f'{text[:-1]},"links":{links}}}', media_type=GEOJSON)
