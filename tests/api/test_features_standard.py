"""OGC API - Features, Part 1 (OGC 17-069r4): its abstract tests, walked one by one.

Each test names the abstract test of Annex A by its own identifier (``/conf/core/http`` and so on), in the order of the annex; its steps
are those of the annex (source: github.com/opengeospatial/ogcapi-features, core/standard/abstract_tests). The conformance classes are those
that the service claims: core, oas30, geojson. It is our own walk, not the suite of the OGC, which wants Java and was not at hand.
"""

import json
import re
from collections.abc import Iterator
from contextlib import ExitStack
from datetime import datetime, timedelta
from functools import cached_property
from html.parser import HTMLParser
from typing import Any
from urllib.parse import parse_qs, urljoin, urlsplit

import pytest
from jsonschema import Draft202012Validator  # type: ignore[import-untyped]
from openapi_spec_validator import OpenAPIV30SpecValidator
from shapely import box
from shapely.geometry import shape

import ogc_schemas as shapes
from featured_farm import COUNTS, LAYERS, UNTIMED, YESTERDAY, work_on
from ready_stores import ready_sqlite
from small_farm import NOW, TODAY

CLASS = "http://www.opengis.net/spec/ogcapi-features-1/1.0/conf/"
JSON, GEOJSON = "application/json", "application/geo+json"
OPENAPI = "application/vnd.oai.openapi+json;version=3.0"
TIMED = [layer for layer in LAYERS if layer not in UNTIMED]


class Walk:
    """A client at a farm's landing page that goes on by links alone."""

    def __init__(self, service: Any) -> None:
        self.client = service.client
        self.root = f"http://localhost/ogc/farms/{service.farm.farm.id}"
        work_on(service.store, service.farm)
        self.found_valid: set[str] = set()

    def get(self, address: str, **asked: Any) -> Any:
        return self.client.get(address, params=asked, follow_redirects=False)

    def told(self, address: str, kind: str, schema: Any, **asked: Any) -> Any:
        answer = self.get(address, **asked) if asked else self.client.get(address)
        assert (answer.status_code, answer.headers["content-type"]) == (200, kind)
        document = answer.json()
        features = document.get("features", ())
        # the same feature comes again and again: it is looked at once
        fresh = {json.dumps(one): one for one in features}
        rest = {"features": [fresh[text] for text in fresh.keys() - self.found_valid]} if features else {}
        Draft202012Validator(schema, format_checker=Draft202012Validator.FORMAT_CHECKER).validate(
            document | rest
        )
        self.found_valid |= set(fresh)
        return document

    @cached_property
    def landing(self) -> Any:
        return self.told(self.root, JSON, shapes.LANDING_PAGE)

    def linked(self, document: Any, rel: str) -> str:
        (found,) = [link["href"] for link in document["links"] if link["rel"] == rel]
        return str(found)

    @cached_property
    def collections(self) -> Any:
        return self.told(self.linked(self.landing, "data"), JSON, shapes.COLLECTIONS)

    def items(self, layer: str) -> str:
        (found,) = [one for one in self.collections["collections"] if one["id"] == layer]
        return self.linked(found, "items")

    def page(self, layer: str, **asked: Any) -> Any:
        return self.told(self.items(layer), GEOJSON, shapes.PAGE, **asked)

    @cached_property
    def definition(self) -> Any:
        return self.told(self.linked(self.landing, "service-desc"), OPENAPI, {"type": "object"})


@pytest.fixture(scope="module")
def walk(started_service, tmp_path_factory) -> Iterator[Walk]:
    with ExitStack() as held:
        url = ready_sqlite(tmp_path_factory.mktemp("standard") / "service.sqlite")
        yield Walk(started_service(held, url))


every_layer = pytest.mark.parametrize("layer", LAYERS)


def links_are_whole(links: list[dict[str, str]], *wanted: str) -> None:
    """Each link says what it is and of which media type; those that are wanted are there."""
    assert all(link["rel"] and link["type"] and link["title"] for link in links)
    assert set(wanted) <= {link["rel"] for link in links}


def test_core_http(walk):
    """HTTP 1.1: GET and HEAD answer alike, what is not there is 404, another method 405, each with the type that it says."""
    for address in (walk.root, walk.linked(walk.landing, "data"), walk.items("blocks")):
        got, head = walk.client.get(address), walk.client.head(address)
        assert (head.status_code, head.headers["content-type"]) == (200, got.headers["content-type"])
        assert walk.client.post(address).status_code == 405
    missing = walk.get(walk.root + "/nothing")
    assert (missing.status_code, missing.headers["content-type"]) == (404, "application/problem+json")


@every_layer
def test_core_crs84(walk, layer):
    """Coordinates are longitude and latitude, WGS 84: the farm lies at 11.3 E 46.5 N, never the other way round."""
    found = [one["geometry"] for one in walk.page(layer)["features"] if one["geometry"]]
    west, south, east, north = (
        pick(shape(one).bounds[i] for one in found) for i, pick in enumerate((min, min, max, max))
    )
    assert 11.29 < west <= east < 11.31
    assert 46.49 < south <= north < 46.51


def test_core_root_op_and_root_success(walk):
    links = walk.landing["links"]
    links_are_whole(links, "service-desc", "service-doc", "conformance", "data")
    assert walk.get(walk.root + "/").json() == walk.landing, "with a slash as without"
    for link in links:
        answer = walk.client.get(link["href"])
        assert answer.status_code == 200
        assert answer.headers["content-type"].replace("; charset=utf-8", "") == link["type"]


def test_core_api_definition_op_and_success(walk):
    """The definition is what its own media type says: tests of oas30 below look into it."""
    assert walk.definition["openapi"].startswith("3.0.")


def test_core_conformance_op_and_success(walk):
    told = walk.told(walk.linked(walk.landing, "conformance"), JSON, shapes.CONFORMANCE)
    assert told["conformsTo"] == [CLASS + name for name in ("core", "oas30", "geojson")]


def test_core_fc_md_op_and_success_and_links_and_items(walk):
    told = walk.collections
    links_are_whole(told["links"], "self")
    assert [one["id"] for one in told["collections"]] == list(LAYERS)
    assert all(one["crs"][0] == shapes.CRS84 for one in told["collections"])


@every_layer
def test_core_fc_md_items_links_and_extent(walk, layer):
    """The extent holds every feature: in space all of them, in time whatever has a day."""
    (told,) = [one for one in walk.collections["collections"] if one["id"] == layer]
    links_are_whole(told["links"], "items", "self", "describedby")
    assert [link["type"] for link in told["links"] if link["rel"] == "items"] == [GEOJSON]
    (bbox,) = told["extent"]["spatial"]["bbox"]
    features = walk.page(layer)["features"]
    assert all(box(*bbox).covers(shape(one["geometry"])) for one in features if one["geometry"])
    assert ("temporal" in told["extent"]) == (layer in TIMED)
    if layer in TIMED:
        ((since, until),) = told["extent"]["temporal"]["interval"]
        begins = [one["properties"]["day"] for one in features if "day" in one["properties"]]
        assert until is None
        assert since == "2025-12-01T00:00:00+01:00", "the farm's own midnight"
        assert all(since[:10] <= day for day in begins)


@every_layer
def test_core_sfc_md_op_and_success(walk, layer):
    """A collection by itself says what it says among all."""
    (among_all,) = [one for one in walk.collections["collections"] if one["id"] == layer]
    assert walk.told(walk.linked(among_all, "self"), JSON, shapes.COLLECTION) == among_all


@every_layer
def test_core_fc_op_and_fc_response(walk, layer):
    """A page and its supporting tests: fc-links, fc-timeStamp, fc-numberMatched, fc-numberReturned."""
    told = walk.page(layer)
    links_are_whole(told["links"], "self", "collection")
    assert datetime.fromisoformat(told["timeStamp"]) == NOW
    assert told["numberMatched"] == told["numberReturned"] == len(told["features"]) == COUNTS[layer]
    assert len({one["id"] for one in told["features"]}) == COUNTS[layer]
    assert "next" not in {link["rel"] for link in told["links"]}


def parameters(walk: Walk, layer: str) -> dict[str, Any]:
    """The parameters of a layer's pages as the definition has them, by name."""
    document = walk.definition
    given = document["paths"][f"/collections/{layer}/items"]["get"]["parameters"]
    known = document["components"]["parameters"]
    return {one["name"]: one for one in (known[ref["$ref"].rpartition("/")[2]] for ref in given)}


@every_layer
def test_core_fc_bbox_definition(walk, layer):
    told = parameters(walk, layer)["bbox"]
    assert (told["in"], told["required"], told["style"], told["explode"]) == ("query", False, "form", False)
    assert told["schema"] == {
        "type": "array",
        "oneOf": [{"minItems": 4, "maxItems": 4}, {"minItems": 6, "maxItems": 6}],
        "items": {"type": "number"},
    }


BOXES = [
    "11.2995,46.4995,11.3,46.5",
    "11.3,46.5,11.3,46.5",
    "-180,-90,180,90",
    "11.4,46,12,47",
    "170,-90,11.2996,90",
]


@pytest.mark.parametrize("said", BOXES)
@every_layer
def test_core_fc_bbox_response(walk, layer, said):
    """Only what touches the box, and what lies nowhere; six numbers do as four; the last box crosses the antimeridian."""
    west, south, east, north = map(float, said.split(","))
    parts = (
        [box(west, south, east, north)]
        if west <= east
        else [box(west, south, 180, north), box(-180, south, east, north)]
    )
    everything = walk.page(layer)["features"]
    wanted = {
        one["id"]
        for one in everything
        if one["geometry"] is None or any(shape(one["geometry"]).intersects(part) for part in parts)
    }
    flat, tall = walk.page(layer, bbox=said), walk.page(layer, bbox=f"{west},{south},-50,{east},{north},1e4")
    assert {one["id"] for one in flat["features"]} == wanted
    assert flat["features"] == tall["features"]
    assert flat["numberMatched"] == len(wanted)


def test_boxes_of_the_test_before_part_the_rows(walk):
    """Else it would prove nothing: one lets all through, one none, and others some."""
    counts = [walk.page("rows", bbox=said)["numberMatched"] for said in BOXES]
    assert counts[2:4] == [COUNTS["rows"], 0]
    assert 0 < counts[0] < COUNTS["rows"]
    assert 0 < counts[4] < COUNTS["rows"]
    assert walk.page("checks", bbox=BOXES[3])["numberMatched"] == 1, "the check of a tree that is gone"


@every_layer
def test_core_fc_limit_definition_and_response(walk, layer):
    """A page has no more features than asked for, nor than the definition's maximum, which may be asked beyond."""
    told = parameters(walk, layer)["limit"]["schema"]
    assert (told["type"], told["minimum"]) == ("integer", 1)
    assert told["minimum"] <= told["default"] <= told["maximum"]
    for limit in (1, 2, told["maximum"], told["maximum"] + 1):
        page = walk.page(layer, limit=limit)
        assert page["numberReturned"] == min(limit, COUNTS[layer], told["maximum"])
        assert page["numberMatched"] == COUNTS[layer]


@every_layer
def test_core_fc_time_definition(walk, layer):
    told = parameters(walk, layer)["datetime"]
    assert (told["in"], told["required"], told["schema"]) == ("query", False, {"type": "string"})
    assert (told["style"], told["explode"]) == ("form", False)


def moments(day: Any) -> list[str]:
    """Ways to name a day."""
    return [
        str(day),
        f"{day}T12:00:00Z",
        f"{day}T12:00:00.250+02:00",
        f"{day}/{day}",
        f"{day}T01:00:00Z/{day}T20:00:00Z",
    ]


@pytest.mark.parametrize("layer", ["marks", "checks"])
def test_core_fc_time_response_of_what_happened_on_a_day(walk, layer):
    everything = walk.page(layer)["features"]
    for day in (TODAY, YESTERDAY, TODAY - timedelta(days=2), TODAY + timedelta(days=1)):
        of_day = {one["id"] for one in everything if one["properties"]["day"] == str(day)}
        by_then = {one["id"] for one in everything if one["properties"]["day"] <= str(day)}
        since = {one["id"] for one in everything if one["properties"]["day"] >= str(day)}
        for said, wanted in (
            *((moment, of_day) for moment in moments(day)),
            *((said, by_then) for said in (f"../{day}", f"/{day}", f"2026-01-01/{day}")),
            *((said, since) for said in (f"{day}/..", f"{day}/")),
        ):
            assert {one["id"] for one in walk.page(layer, datetime=said)["features"]} == wanted, said


@pytest.mark.parametrize(
    ("layer", "counts"), [("progress", (2, 2)), ("rows", (50, 50)), ("weak_areas", (1, 0))]
)
def test_core_fc_time_response_of_what_stands_as_of_a_day(walk, layer, counts):
    """Its temporal geometry is the day that is looked at, in ``day``."""
    for day, count in zip((TODAY, YESTERDAY), counts, strict=True):
        for said in (*moments(day), f"../{day}", f"2026-01-01/{day}"):
            features = walk.page(layer, datetime=said)["features"]
            assert [one["properties"]["day"] for one in features] == [str(day)] * count


def test_core_fc_time_response_of_blocks_as_of_a_day(walk):
    """What was pruned by then; of days to come there is nothing."""
    for day, pruned in ((TODAY, 25 * 105 - 5), (YESTERDAY, 0)):
        for said in (*moments(day), f"../{day}", f"2026-01-01/{day}"):
            features = walk.page("progress", datetime=said)["features"]
            assert features[0]["properties"]["pruned_trees"] == pruned
    assert walk.page("progress", datetime=f"{TODAY}/..")["features"] == walk.page("progress")["features"]
    later = TODAY + timedelta(days=1)
    assert (
        walk.page("progress", datetime=f"{YESTERDAY}/{later}")["features"]
        == walk.page("progress")["features"]
    )
    for layer in TIMED:
        assert walk.page(layer, datetime=str(later))["numberMatched"] == 0
        assert walk.page(layer, datetime=f"{later}/..")["features"] == []


def test_core_fc_time_response_of_what_has_no_time(walk):
    """Blocks, tracks and the like are the ground as it is: any datetime matches them all (requirement fc-time-response C)."""
    for layer in UNTIMED:
        for said in ("1900-01-01", f"{TODAY + timedelta(days=9)}/..", f"../{YESTERDAY}"):
            assert walk.page(layer, datetime=said)["features"] == walk.page(layer)["features"]


INVALID = [("bbox", "1,2,3"), ("bbox", "a,b,c,d"), ("limit", "0"), ("limit", "-1"), ("limit", "x")]
INVALID += [
    ("datetime", "yesterday"),
    ("datetime", "../.."),
    ("datetime", f"{TODAY}/{YESTERDAY}"),
    ("bbox", ""),
]


@pytest.mark.parametrize(("name", "value"), INVALID)
def test_core_query_param_invalid(walk, is_problem, name, value):
    told = is_problem(walk.get(walk.items("rows"), **{name: value}), 400)
    assert told["where"] == name
    assert told["todo"]


@pytest.mark.parametrize("name", ["unknownParameter", "BBOX", "f", "offset", "crs", "bbox-crs"])
def test_core_query_param_unknown(walk, is_problem, name):
    assert is_problem(walk.get(walk.items("rows"), **{name: "1"}), 400)["where"] == name


@pytest.mark.parametrize("layer", LAYERS)
def test_block_is_a_parameter_of_what_is_of_a_block(walk, is_problem, layer):
    """And the definition says so: of gates and power lines it is not known."""
    takes_it = layer in {"blocks", *TIMED}
    assert ("block" in parameters(walk, layer)) is takes_it
    if takes_it:
        codes = {one["properties"]["block"] for one in walk.page(layer, block="K1")["features"]}
        assert codes == {"K1"}
    else:
        assert is_problem(walk.get(walk.items(layer), block="K1"), 400)["where"] == "block"


def test_core_query_param_unknown_everywhere(walk, is_problem):
    """What takes no parameter says so; a parameter that is said twice is none either."""
    feature = walk.page("rows")["features"][0]["id"]
    for rest in ("", "/", "/conformance", "/api", "/api.html", "/collections", "/collections/rows"):
        is_problem(walk.get(walk.root + rest, limit="1"), 400)
    for rest in ("schema", f"items/{feature}"):
        is_problem(walk.get(f"{walk.root}/collections/rows/{rest}", limit="1"), 400)
    is_problem(walk.client.get(walk.items("rows") + "?limit=1&limit=2"), 400)


@every_layer
def test_core_f_op_and_f_success_and_f_links(walk, layer):
    """Every feature of a page by itself is the same one, with links to itself and its collection."""
    for one in walk.page(layer, limit=3)["features"]:
        address = f"{walk.items(layer)}/{one['id']}"
        alone = walk.told(address, GEOJSON, shapes.FEATURE)
        links = alone.pop("links")
        links_are_whole(links, "self", "collection")
        assert alone == one
        assert walk.linked({"links": links}, "self") == address
        assert walk.linked({"links": links}, "collection") == walk.items(layer).removesuffix("/items")


@every_layer
def test_core_fc_links_lead_through_every_page(walk, layer):
    """Requirement fc-links and recommendation fc-next: by the next links each feature comes once, every filter kept."""
    asked = {"limit": "7", "bbox": "11.2995,46.4,12,47", "datetime": str(TODAY)}
    whole = [one["id"] for one in walk.page(layer, **(asked | {"limit": "1000"}))["features"]]
    address: str | None = (
        walk.items(layer) + "?" + "&".join(f"{name}={value}" for name, value in asked.items())
    )
    seen: list[str] = []
    while address:
        kept = {
            name: value[0] for name, value in parse_qs(urlsplit(address).query).items() if name != "after"
        }
        assert kept == asked
        page = walk.told(address, GEOJSON, shapes.PAGE)
        assert page["numberMatched"] == len(whole)
        assert 0 < page["numberReturned"] <= 7 or not whole
        seen += [one["id"] for one in page["features"]]
        assert walk.linked(page, "self") == address
        address = next((link["href"] for link in page["links"] if link["rel"] == "next"), None)
    assert seen == whole


def test_geojson_definition(walk):
    """What holds features is application/geo+json, everything else application/json: `Walk.told` asked it of each above."""
    paths = walk.definition["paths"]
    for path, item in paths.items():
        kinds = set(item["get"]["responses"]["200"]["content"])
        if "/items" in path:
            assert kinds == {GEOJSON}
        elif path in ("/", "/conformance", "/collections") or re.fullmatch("/collections/[a-z_]+", path):
            assert kinds == {JSON}


@every_layer
def test_geojson_content(walk, layer):
    """RFC 7946: no crs, two coordinates, one kind of geometry; and every feature has all fields of its collection, of their types."""
    fields = walk.client.get(f"{walk.root}/collections/{layer}/schema").json()["properties"]["properties"][
        "properties"
    ]
    kinds: dict[str, tuple[type, ...]] = {
        "string": (str,),
        "integer": (int,),
        "number": (float, int),
        "boolean": (bool,),
    }
    features = walk.page(layer)["features"]
    assert len({one["geometry"]["type"] for one in features if one["geometry"]}) == 1
    for one in features:
        assert list(one["properties"]) == list(fields)
        for name, value in one["properties"].items():
            assert value is None or type(value) in kinds[fields[name]["type"]], name


def test_oas30_completeness_and_exception_codes(walk):
    """Every answer of this module is one that the definition tells of: 200, and 400, 401, 403, 404 as problem details."""
    document = walk.definition
    for item in document["paths"].values():
        responses = item["get"]["responses"]
        assert set(responses) == {"200", "400", "401", "403", "404", "500", "503"}
        for status in set(responses) - {"200"}:
            named = document["components"]["responses"][responses[status]["$ref"].rpartition("/")[2]]
            assert list(named["content"]) == ["application/problem+json"]


def test_oas30_definition_1_as_json_and_html(walk):
    """The page to read names every path and every parameter; nothing in it is left open."""

    class Seen(HTMLParser):
        void, stack, text = {"meta"}, [], ""

        def handle_starttag(self, tag, attrs):
            if tag not in self.void:
                self.stack.append(tag)

        def handle_endtag(self, tag):
            assert self.stack.pop() == tag

        def handle_data(self, data):
            self.text += data

    answer = walk.client.get(walk.linked(walk.landing, "service-doc"))
    assert answer.headers["content-type"] == "text/html; charset=utf-8"
    page = Seen()
    page.feed(answer.text)
    assert page.stack == []
    assert all(f"GET {path}" in page.text for path in walk.definition["paths"])
    assert all(one["description"] in page.text for one in parameters(walk, "rows").values())


def test_oas30_definition_2_is_valid_openapi_3_0(walk):
    """By the schema of the OpenAPI Initiative, as openapi-spec-validator carries it."""
    assert [error.message for error in OpenAPIV30SpecValidator(walk.definition).iter_errors()] == []


def test_oas30_oas_impl(walk):
    """What the definition tells of can be asked: every path answers by its own schema."""
    document = walk.definition
    (server,) = document["servers"]
    for path, item in document["paths"].items():
        layer = path.split("/")[2] if path.count("/") > 1 else "rows"
        feature = walk.page(layer)["features"][0]["id"]
        answer = walk.client.get(urljoin(server["url"] + "/", "." + path.replace("{featureId}", feature)))
        assert answer.status_code == 200, path
        (kind,) = item["get"]["responses"]["200"]["content"]
        assert answer.headers["content-type"].replace("; charset=utf-8", "") == kind


def test_oas30_security(walk):
    """The ways to say who one is are told of, and asked for: without one there is nothing."""
    document = walk.definition
    schemes = document["components"]["securitySchemes"]
    assert {name for one in document["security"] for name in one} == set(schemes)
    assert (schemes["token"]["scheme"], schemes["basic"]["scheme"], schemes["session"]["in"]) == (
        "bearer",
        "basic",
        "cookie",
    )
