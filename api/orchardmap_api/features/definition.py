"""What can be asked of a farm's features, as OpenAPI 3.0.3 (OGC 17-069r4, requirements class oas30)."""

from collections.abc import Mapping, Sequence
from typing import Any

from orchardmap import __version__
from orchardmap.model.layer import Layer
from orchardmap_api.features.documents import NamedPlace, Place, is_timed, parameters, property_schema
from orchardmap_api.features.links import GEOJSON, HTML, JSON, JSON_SCHEMA, OPENAPI
from orchardmap_api.features.query import DEFAULT_LIMIT, MOST

__all__ = ["openapi"]

Json = dict[str, Any]
_PROBLEM = "application/problem+json"
_ERRORS = {
    "400": "A parameter is not known or cannot be used",
    "401": "No token, or one that has ended",
    "403": "Not for the role of whoever asks",
    "404": "Nothing of that name",
    "500": "Something went wrong here",
    "503": "The database cannot do it now",
}
"""What every operation may answer; the bodies are problem details (RFC 9457)."""


def _ref(kind: str, name: str) -> Json:
    return {"$ref": f"#/components/{kind}/{name}"}


def _object(properties: Json, *required: str) -> Json:
    return {"type": "object", "required": list(required), "properties": properties}


def _list(of: Json) -> Json:
    return {"type": "array", "items": of}


_TEXT, _LINKS = {"type": "string"}, _list(_ref("schemas", "link"))
_SCHEMAS = {
    "link": _object({"href": _TEXT, "rel": _TEXT, "type": _TEXT, "title": _TEXT}, "href", "rel", "type"),
    "landingPage": _object({"title": _TEXT, "description": _TEXT, "links": _LINKS}, "links"),
    "confClasses": _object({"conformsTo": _list(_TEXT)}, "conformsTo"),
    "collections": _object(
        {"links": _LINKS, "collections": _list(_ref("schemas", "collection"))}, "links", "collections"
    ),
    "collection": _object(
        {
            "id": _TEXT,
            "title": _TEXT,
            "description": _TEXT,
            "links": _LINKS,
            "extent": {"type": "object"},
            "itemType": _TEXT,
            "crs": _list(_TEXT),
        },
        "id",
        "links",
    ),
    "page": _object(
        {
            "type": {"type": "string", "enum": ["FeatureCollection"]},
            "features": _list({"type": "object"}),
            "numberMatched": {"type": "integer", "minimum": 0},
            "numberReturned": {"type": "integer", "minimum": 0},
            "timeStamp": {"type": "string", "format": "date-time"},
            "links": _LINKS,
        },
        "type",
        "features",
    ),
    "problem": _object(
        {
            "type": _TEXT,
            "title": _TEXT,
            "status": {"type": "integer"},
            "detail": _TEXT,
            "where": _TEXT,
            "todo": _TEXT,
        },
        "type",
        "title",
        "status",
    ),
}
"""The shapes of the documents: 17-069r4, its schemas landingPage, confClasses, collections and featureCollectionGeoJSON, in our words."""


def _get(name: str, summary: str, media: Mapping[str, Json], parameters: Sequence[str] = ()) -> Json:
    told: Json = {
        "operationId": name,
        "summary": summary,
        "responses": {
            "200": {
                "description": summary,
                "content": {kind: {"schema": shape} for kind, shape in media.items()},
            },
            **{status: _ref("responses", f"Problem{status}") for status in _ERRORS},
        },
    }
    if parameters:
        told["parameters"] = [_ref("parameters", one) for one in parameters]
    return {"get": told}


def openapi(place: NamedPlace, layers: Sequence[Layer]) -> Json:
    """Return the OpenAPI 3.0.3 document of a farm's features, as far as whoever asks may read them."""
    return {
        "openapi": "3.0.3",
        "info": {
            "title": f"{place.farm}: features",
            "description": "Blocks, rows and the work in them, by OGC API - Features, Part 1 (OGC 17-069r4). "
            "Days are of the farm's own zone. A value that is not known is null.",
            "version": __version__,
        },
        "servers": [{"url": place.root}],
        "security": [{"token": []}, {"basic": []}, {"session": []}],
        "paths": _paths(layers),
        "components": {
            "securitySchemes": _security(place),
            "parameters": _parameters(),
            "responses": _problems(),
            "schemas": _SCHEMAS | {f"{layer.name}Feature": _feature(layer) for layer in layers},
        },
    }


def _security(place: Place) -> Json:
    cookie = "orchardmap_session"
    return {
        "token": {
            "type": "http",
            "scheme": "bearer",
            "description": "As `orchardmap user token` makes one.",
        },
        "basic": {
            "type": "http",
            "scheme": "basic",
            "description": "The token as the password, with any user name: for programs that cannot send it otherwise.",
        },
        "session": {
            "type": "apiKey",
            "in": "cookie",
            "name": f"__Host-{cookie}" if place.root.startswith("https://") else cookie,
            "description": "Of a browser that is signed in.",
        },
    }


def _problems() -> Json:
    told = {_PROBLEM: {"schema": _ref("schemas", "problem")}}
    return {f"Problem{status}": {"description": what, "content": told} for status, what in _ERRORS.items()}


def _paths(layers: Sequence[Layer]) -> Json:
    shape = {"type": "object"}
    paths = {
        "/": _get("landingPage", "The landing page", {JSON: _ref("schemas", "landingPage")}),
        "/conformance": _get(
            "conformance", "What of the standard is met", {JSON: _ref("schemas", "confClasses")}
        ),
        "/api": _get("definition", "This document", {OPENAPI: shape}),
        "/api.html": _get("definitionPage", "This document, to read", {HTML: {"type": "string"}}),
        "/collections": _get("collections", "The collections", {JSON: _ref("schemas", "collections")}),
    }
    for layer in layers:
        here, name, title = f"/collections/{layer.name}", layer.name, layer.title["en"]
        told = _ref("schemas", f"{name}Feature")
        page = {
            "allOf": [
                _ref("schemas", "page"),
                {"type": "object", "properties": {"features": {"type": "array", "items": told}}},
            ]
        }
        days = "datetime" if is_timed(layer) else "anyDatetime"
        asked = [days if one == "datetime" else one for one in parameters(layer)]
        paths |= {
            here: _get(f"{name}.collection", f"{title}: what it is", {JSON: _ref("schemas", "collection")}),
            f"{here}/schema": _get(f"{name}.schema", f"{title}: the fields", {JSON_SCHEMA: shape}),
            f"{here}/items": _get(
                f"{name}.items",
                f"{title}: a page",
                {GEOJSON: page},
                asked,
            ),
            f"{here}/items/{{featureId}}": _get(
                f"{name}.item", f"{title}: one of them", {GEOJSON: told}, ("featureId",)
            ),
        }
    return paths


def _parameters() -> Json:
    def query(name: str, description: str, shape: Json, **more: Any) -> Json:  # noqa: ANN401 - JSON
        said = {"name": name, "in": "query", "required": False, "description": description}
        return said | {"schema": shape, "style": "form", "explode": False} | more

    text = {"type": "string"}
    numbers = {"type": "array", "items": {"type": "number"}}
    sizes = {"oneOf": [{"minItems": 4, "maxItems": 4}, {"minItems": 6, "maxItems": 6}]}
    return {
        "bbox": query(
            "bbox",
            "West, south, east, north in degrees (WGS 84): features that touch this box, and those that lie nowhere. "
            "West above east crosses the antimeridian. Of six numbers the third and the last are heights, which change nothing.",
            numbers | sizes,
        ),
        "datetime": query(
            "datetime",
            "A day (2026-01-20), a moment (2026-01-20T12:00:00Z), or an interval (2026-01-01/2026-01-20, ../2026-01-20, 2026-01-20/..). "
            "What happened on a day is chosen by that day, in whichever season (without this parameter: in this season); "
            "everything else is told as it stood on the last day.",
            text,
        ),
        "anyDatetime": query("datetime", "Taken and without effect: these features have no time.", text),
        "block": query("block", "Code of a block: its features alone.", text),
        "limit": query(
            "limit",
            f"Features of a page; more than {MOST} is {MOST}.",
            {"type": "integer", "minimum": 1, "maximum": MOST, "default": DEFAULT_LIMIT},
        ),
        "after": query("after", "Of a link to the next page: the id that it goes on from.", text),
        "featureId": {
            "name": "featureId",
            "in": "path",
            "required": True,
            "description": "Id of the feature.",
            "schema": text,
        },
    }


def _feature(layer: Layer) -> Json:
    told = {field.name: property_schema(field) | {"nullable": True} for field in layer.fields}
    return {
        "type": "object",
        "required": ["type", "id", "geometry", "properties"],
        "properties": {
            "type": {"type": "string", "enum": ["Feature"]},
            "id": {"type": "string"},
            "geometry": _geometry(layer.geometry),
            "properties": {"type": "object", "required": list(told), "properties": told},
            "links": {"type": "array", "items": _ref("schemas", "link")},
        },
    }


def _geometry(kind: str) -> Json:
    place: Json = {"type": "array", "items": {"type": "number"}, "minItems": 2, "maxItems": 2}
    for _ in range({"Point": 0, "MultiLineString": 2, "MultiPolygon": 3}[kind]):
        place = {"type": "array", "items": place}
    return {
        "type": "object",
        "nullable": True,
        "required": ["type", "coordinates"],
        "properties": {"type": {"type": "string", "enum": [kind]}, "coordinates": place},
    }
