"""What the documents of OGC API - Features must hold, as JSON Schema (2020-12).

Written down from the schemas landingPage, confClasses, collections, collection, extent, link, featureCollectionGeoJSON and
featureGeoJSON of OGC 17-069r4 (schemas.opengis.net, ogcapi/features/part1/1.0/openapi/ogcapi-features-1.yaml) and from RFC 7946.
Requirements of the text that those schemas leave open are tightened here: a link's rel and type, an extent's CRS.
"""

from typing import Any

Json = dict[str, Any]
CRS84 = "http://www.opengis.net/def/crs/OGC/1.3/CRS84"
GREGORIAN = "http://www.opengis.net/def/uom/ISO-8601/0/Gregorian"
TEXT = {"type": "string"}
LINK = {
    "type": "object",
    "required": ["href", "rel", "type"],
    "properties": {
        "href": {"type": "string", "format": "uri"},
        "rel": {"type": "string", "minLength": 1},
        "type": {"type": "string", "pattern": "^[a-z]+/"},
        "hreflang": TEXT,
        "title": TEXT,
        "length": {"type": "integer"},
    },
}
LINKS = {"type": "array", "items": LINK}


def _sides(low: float, high: float) -> Json:
    return {"type": "number", "minimum": low, "maximum": high}


BBOX = {
    "type": "array",
    "prefixItems": [_sides(-180, 180), _sides(-90, 90), _sides(-180, 180), _sides(-90, 90)],
    "minItems": 4,
    "maxItems": 4,
}
MOMENT = {"type": ["string", "null"], "format": "date-time"}
EXTENT = {
    "type": "object",
    "properties": {
        "spatial": {
            "type": "object",
            "required": ["bbox"],
            "properties": {"bbox": {"type": "array", "minItems": 1, "items": BBOX}, "crs": {"enum": [CRS84]}},
        },
        "temporal": {
            "type": "object",
            "required": ["interval"],
            "properties": {
                "interval": {
                    "type": "array",
                    "minItems": 1,
                    "items": {"type": "array", "minItems": 2, "maxItems": 2, "items": MOMENT},
                },
                "trs": {"enum": [GREGORIAN]},
            },
        },
    },
}
LANDING_PAGE = {
    "type": "object",
    "required": ["links"],
    "properties": {"title": TEXT, "description": TEXT, "links": LINKS},
}
CONFORMANCE = {
    "type": "object",
    "required": ["conformsTo"],
    "properties": {"conformsTo": {"type": "array", "items": {"type": "string", "format": "uri"}}},
}
COLLECTION = {
    "type": "object",
    "required": ["id", "links"],
    "properties": {
        "id": TEXT,
        "title": TEXT,
        "description": TEXT,
        "links": LINKS,
        "extent": EXTENT,
        "itemType": {"const": "feature"},
        "crs": {"type": "array", "items": TEXT},
    },
}
COLLECTIONS = {
    "type": "object",
    "required": ["links", "collections"],
    "properties": {"links": LINKS, "collections": {"type": "array", "items": COLLECTION}},
}
PLACE = {
    "type": "array",
    "prefixItems": [_sides(-180, 180), _sides(-90, 90)],
    "minItems": 2,
    "maxItems": 2,
}


def _geometry(kind: str, shape: Json) -> Json:
    return {
        "type": "object",
        "required": ["type", "coordinates"],
        "properties": {"type": {"const": kind}, "coordinates": shape},
        "not": {"required": ["crs"]},
    }


_LINE = {"type": "array", "minItems": 2, "items": PLACE}
_RING = {"type": "array", "minItems": 4, "items": PLACE}
GEOMETRY = {
    "oneOf": [
        {"type": "null"},
        _geometry("Point", PLACE),
        _geometry("MultiLineString", {"type": "array", "items": _LINE}),
        _geometry(
            "MultiPolygon", {"type": "array", "items": {"type": "array", "minItems": 1, "items": _RING}}
        ),
    ]
}
FEATURE = {
    "type": "object",
    "required": ["type", "id", "geometry", "properties"],
    "properties": {
        "type": {"const": "Feature"},
        "id": {"type": "string", "minLength": 1},
        "geometry": GEOMETRY,
        "properties": {"type": "object"},
        "links": LINKS,
    },
}
PAGE = {
    "type": "object",
    "required": ["type", "features", "links", "timeStamp", "numberMatched", "numberReturned"],
    "properties": {
        "type": {"const": "FeatureCollection"},
        "features": {"type": "array", "items": FEATURE},
        "links": LINKS,
        "timeStamp": {"type": "string", "format": "date-time"},
        "numberMatched": {"type": "integer", "minimum": 0},
        "numberReturned": {"type": "integer", "minimum": 0},
    },
    "not": {"required": ["crs"]},
}
