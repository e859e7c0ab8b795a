"""Landing page, conformance, collections, pages and features as documents (OGC 17-069r4, 7.2 to 7.16)."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, time
from typing import Any
from zoneinfo import ZoneInfo

from orchardmap.model.layer import Field, Layer
from orchardmap.usecases.feature_place import Extent
from orchardmap_api.features.links import (
    GEOJSON,
    HTML,
    JSON,
    JSON_SCHEMA,
    OPENAPI,
    Link,
    address,
    link,
    next_address,
)
from orchardmap_api.features.query import PARAMETERS

__all__ = [
    "CONFORMS_TO", "CRS84", "NamedPlace", "Place", "collection", "collections", "conformance", "farms", "feature_links", "is_of_blocks", "is_timed", "landing",
    "page_links", "page_text", "parameters", "property_schema", "schema",
]  # fmt: skip

Json = dict[str, Any]
CRS84 = "http://www.opengis.net/def/crs/OGC/1.3/CRS84"
_CLASS = "http://www.opengis.net/spec/ogcapi-features-1/1.0/conf/"
CONFORMS_TO = tuple(_CLASS + name for name in ("core", "oas30", "geojson"))
"""What is met whole: tests/api/test_features_standard.py walks the abstract tests of each."""
_KINDS = {
    "text": {"type": "string"},
    "whole": {"type": "integer"},
    "number": {"type": "number"},
    "yes_no": {"type": "boolean"},
    "day": {"type": "string", "format": "date"},
}


@dataclass(frozen=True, slots=True)
class Place:
    """A farm's part of the service."""

    farm_id: str
    root: str
    """Address of its landing page, without a slash at the end."""
    up: str
    """Address of the list of farms."""


@dataclass(frozen=True, slots=True)
class NamedPlace(Place):
    """The same, with what the farm is called."""

    farm: str
    """The farm's name."""
    zone: ZoneInfo


def landing(place: NamedPlace) -> Json:
    """Return the landing page: what else there is, and where."""
    return {
        "title": place.farm,
        "description": f"Blocks, rows and the work in them of the farm {place.farm}, for programs that read geographic data.",
        "links": [
            link(place.root, "self", JSON, "This document"),
            link(address(place.root, "api"), "service-desc", OPENAPI, "What can be asked (OpenAPI 3.0)"),
            link(address(place.root, "api.html"), "service-doc", HTML, "What can be asked, to read"),
            link(address(place.root, "conformance"), "conformance", JSON, "What of the standard is met"),
            link(address(place.root, "collections"), "data", JSON, "The collections of features"),
            link(place.up, "up", JSON, "All farms of whoever asks"),
        ],
    }


def conformance() -> Json:
    """Return the conformance classes that are met whole."""
    return {"conformsTo": list(CONFORMS_TO)}


def collections(place: NamedPlace, layers: Sequence[Layer], extent: Extent) -> Json:
    """Return the collections that whoever asks may read."""
    return {
        "links": [
            link(address(place.root, "collections"), "self", JSON, "This document"),
            link(place.root, "up", JSON, place.farm),
        ],
        "collections": [collection(place, layer, extent) for layer in layers],
    }


def collection(place: NamedPlace, layer: Layer, extent: Extent) -> Json:
    """Return what a collection is: words, extent and links."""
    here = ("collections", layer.name)
    told: Json = {
        "id": layer.name,
        "title": f"{layer.title['en']}, {place.farm}",
        "description": layer.description["en"],
        "links": [
            link(address(place.root, *here), "self", JSON, "This document"),
            link(address(place.root, *here, "items"), "items", GEOJSON, layer.title["en"]),
            link(address(place.root, *here, "schema"), "describedby", JSON_SCHEMA, "The fields"),
        ],
        "itemType": "feature",
        "crs": [CRS84],
    }
    bbox, since = extent.bbox if is_of_blocks(layer) else extent.beside, extent.since
    if bbox is not None:
        told["extent"] = {"spatial": {"bbox": [list(bbox)], "crs": CRS84}}
    if since is not None and is_timed(layer):
        begins = datetime.combine(since, time.min, place.zone).isoformat()
        told.setdefault("extent", {})["temporal"] = {"interval": [[begins, None]]}
    return told


def is_timed(layer: Layer) -> bool:
    """Tell whether a layer's features are of a day: blocks are the ground as it is now."""
    return any(field.kind == "day" for field in layer.fields)


def is_of_blocks(layer: Layer) -> bool:
    """Tell whether a layer's features are of a block: tracks, gates and power lines are the farm's."""
    return any(field.name == "block" for field in layer.fields)


def parameters(layer: Layer) -> list[str]:
    """Return what its pages may be asked."""
    return [name for name in PARAMETERS if name != "block" or is_of_blocks(layer)]


def property_schema(field: Field) -> Json:
    """Return the JSON Schema of a field; the type is its own, though any value may be null: what is not known."""
    return {"title": field.title["en"], **_KINDS[field.kind]}


def schema(place: Place, layer: Layer) -> Json:
    """Return the JSON Schema of a collection's features, in plain types: clients make their tables from it before they have read a feature."""
    geometry = layer.geometry
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": address(place.root, "collections", layer.name, "schema"),
        "title": layer.title["en"],
        "description": layer.description["en"],
        "type": "object",
        "properties": {
            "type": {"type": "string", "enum": ["Feature"]},
            "id": {"type": "string"},
            "geometry": {"$ref": f"https://geojson.org/schema/{geometry}.json"},
            "properties": {
                "type": "object",
                "properties": {field.name: property_schema(field) for field in layer.fields},
            },
        },
    }


def page_links(
    place: Place, layer: Layer, said: Sequence[tuple[str, str]], next_after: str | None
) -> list[Link]:
    """Return the links of a page: itself, its collection, and the next page with every filter kept."""
    items = ("collections", layer.name, "items")
    links = [
        link(address(place.root, *items, query=said), "self", GEOJSON, "This page"),
        link(address(place.root, "collections", layer.name), "collection", JSON, layer.title["en"]),
    ]
    if next_after is not None:
        following = next_address(place.root, items, said, {"after": next_after})
        links.append(link(following, "next", GEOJSON, "The next page"))
    return links


def page_text(texts: Sequence[str], matched: int, links: Sequence[Link], now: datetime) -> str:
    """Return a page as the text of a FeatureCollection.

    Parameters
    ----------
    texts : sequence of str
        Each feature as a GeoJSON object.
    matched : int
        Features of all pages together.
    links : sequence of Link
    now : datetime with time zone
        When it was answered.

    Returns
    -------
    str
    """
    rest = {
        "numberMatched": matched,
        "numberReturned": len(texts),
        "timeStamp": now.astimezone(UTC).isoformat(timespec="seconds").replace("+00:00", "Z"),
        "links": list(links),
    }
    told = json.dumps(rest, ensure_ascii=False, separators=(",", ":"))
    return f'{{"type":"FeatureCollection","features":[{",".join(texts)}],{told[1:]}'


def feature_links(place: Place, layer: Layer, feature_id: str) -> list[Link]:
    """Return the links of a single feature: itself and its collection."""
    return [
        link(
            address(place.root, "collections", layer.name, "items", feature_id),
            "self",
            GEOJSON,
            "This feature",
        ),
        link(address(place.root, "collections", layer.name), "collection", JSON, layer.title["en"]),
    ]


def farms(root: str, listed: Sequence[Mapping[str, Any]]) -> Json:
    """Return the farms of whoever asks, each with the address of its landing page: what a client that has only a token begins with."""
    return {
        "title": "Farms",
        "description": "Each farm has its own OGC API - Features; give its address to your program.",
        "links": [
            link(root, "self", JSON, "This document"),
            *(link(address(root, "farms", farm["id"]), "item", JSON, farm["name"]) for farm in listed),
        ],
        "farms": [
            {"id": farm["id"], "name": farm["name"], "href": address(root, "farms", farm["id"])}
            for farm in listed
        ],
    }
