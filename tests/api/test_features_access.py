"""Who may read which of a farm's features, by session, token or the password of HTTP Basic, and what lies across the antimeridian."""

import base64
import json
from contextlib import ExitStack
from datetime import timedelta
from typing import Any, get_args
from urllib.parse import quote

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from shapely.geometry import Polygon, box, shape
from sqlalchemy import event

from featured_farm import work_on
from orchardmap.model.access import AccessRole
from orchardmap.usecases import planting
from orchardmap.usecases.feature_place import SERVED
from orchardmap.usecases.planting import BlockPlan
from ready_stores import ready_sqlite
from signing import bearer_token, manages_too
from small_farm import NOW, PLANTING


@pytest.fixture(scope="module")
def worked(started_service, tmp_path_factory):
    """A service whose farm has something of everything."""
    with ExitStack() as held:
        service = started_service(held, ready_sqlite(tmp_path_factory.mktemp("access") / "service.sqlite"))
        work_on(service.store, service.farm)
        yield service


def root(service: Any, farm: Any = None) -> str:
    return f"/ogc/farms/{(farm or service.farm).farm.id}"


@pytest.mark.parametrize("role", get_args(AccessRole))
def test_every_role_reads_every_collection_as_on_the_map_and_in_files(worked, role):
    """In the list, in the definition, and asked by name: a GIS is another way to look, no other right."""
    client = worked.account(role)
    told = client.get(root(worked) + "/collections").json()["collections"]
    assert [one["id"] for one in told] == list(SERVED)
    paths = client.get(root(worked) + "/api").json()["paths"]
    assert {path.split("/")[2] for path in paths if path.count("/") > 1} == set(SERVED)
    for name in SERVED:
        for rest in ("", "/schema", "/items"):
            address = f"{root(worked)}/collections/{name}{rest}"
            assert client.get(address).status_code == client.head(address).status_code == 200
            assert worked.stranger().head(address).status_code == 401


def test_foreman_finds_the_checks_and_weak_areas_of_the_file_and_of_the_map(worked):
    """The same features to the value as the GeoJSON that the foreman may take away, nobody's name in either."""
    foreman = worked.account("foreman")
    for name in ("checks", "weak_areas"):
        file = foreman.get(worked.at_farm(f"/files/{name}.geojson")).json()["features"]
        read = foreman.get(f"{root(worked)}/collections/{name}/items").json()["features"]
        assert file
        kept = [{**one["properties"], "id": one["id"]} for one in read]
        told = [{**one["properties"], "id": one.get("id", one["properties"].get("id"))} for one in file]
        assert sorted(map(repr, map(sorted_items, kept))) == sorted(map(repr, map(sorted_items, told)))
    checks = foreman.get(f"{root(worked)}/collections/checks/items").json()["features"]
    assert {one["properties"]["auditor"] for one in checks} == {None}
    on_map = [foreman.get(worked.at_block("/state", number)).json()["checks"] for number in (0, 1)]
    assert sum(map(len, on_map)) > 0


def sorted_items(values: dict[str, Any]) -> list[tuple[str, Any]]:
    return sorted(values.items())


@pytest.mark.parametrize(
    ("role", "knows_auditor"), [("manager", True), ("auditor", True), ("adviser", False), ("foreman", False)]
)
def test_names_are_told_to_those_who_may_know_them(worked, role, knows_auditor):
    """As everywhere in the service: a manager knows all, an auditor those who check, anybody else none."""
    client = worked.account(role)
    checks = client.get(root(worked) + "/collections/checks/items").json()["features"]
    assert {one["properties"]["auditor"] for one in checks} == {"Auditor" if knows_auditor else None}
    one = client.get(f"{root(worked)}/collections/checks/items/{checks[0]['id']}").json()
    assert one["properties"] == checks[0]["properties"]


def test_page_that_is_kept_costs_three_questions_and_every_five_minutes_a_write(worked):
    """Session, roles, and where the farm's log stands: nothing of the layer, so that a map that is dragged about costs milliseconds."""
    client, path = worked.account("adviser"), root(worked) + "/collections/rows/items?bbox=11,46,12,47"
    assert client.get(path).json()["numberMatched"] == 50
    asked: list[str] = []
    for engine in (worked.store._reader, worked.store._writer):
        event.listen(engine, "before_cursor_execute", lambda *told: asked.append(told[2].split()[0]))
    told = []
    for later in (timedelta(), timedelta(minutes=4), timedelta(minutes=6)):
        asked.clear()
        worked.clock.now = NOW + later
        assert client.get(path).json()["numberMatched"] == 50
        told.append([one for one in asked if one != "BEGIN"])
    worked.clock.now = NOW
    assert told == [["SELECT"] * 3, ["SELECT"] * 3, ["SELECT"] * 4 + ["UPDATE"]]


def test_farms_are_listed_for_whoever_asks_and_no_other_is_there(worked):
    other = worked.another_farm("Across The Road")
    adviser = worked.account("adviser")
    told = adviser.get("/ogc").json()
    assert [farm["name"] for farm in told["farms"]] == ["Small Farm"]
    (item,) = [link for link in told["links"] if link["rel"] == "item"]
    assert adviser.get(item["href"]).json()["title"] == "Small Farm"
    for rest in (
        "",
        "/conformance",
        "/api",
        "/api.html",
        "/collections",
        "/collections/rows",
        "/collections/rows/items",
    ):
        assert adviser.get(root(worked, other) + rest).status_code == 404
    assert [farm["name"] for farm in worked.client.get("/ogc").json()["farms"]] == [
        "Across The Road",
        "Small Farm",
    ]
    row = f"{worked.farm.blocks[0].id}.1"
    assert worked.client.get(f"{root(worked, other)}/collections/rows/items/{row}").status_code == 404


def basic(user: str, password: str) -> dict[str, str]:
    return {"Authorization": "Basic " + base64.b64encode(f"{user}:{password}".encode()).decode()}


def test_token_may_be_the_password_of_basic_for_features_and_nothing_else(worked):
    """Desktop programs know nothing else; there it can read, and nowhere can it change anything."""
    token, stranger = bearer_token(worked.account("manager")), worked.stranger()
    for user in ("anybody", ""):
        given = basic(user, token)
        assert stranger.get("/ogc", headers=given).status_code == 200
        assert stranger.get(root(worked) + "/collections/rows/items", headers=given).status_code == 200
        assert stranger.head(root(worked), headers=given).status_code == 200
    for address in ("/api/farms", worked.at_farm("/overview"), "/map", "/ogcx"):
        assert stranger.get(address, headers=basic("anybody", token)).status_code in (401, 404)
    answer = stranger.patch(worked.at_block(), headers=basic("anybody", token), json={"slope_percent": 3})
    assert answer.status_code == 401
    for wrong in (
        basic("anybody", "wrong"),
        {"Authorization": "Basic"},
        {"Authorization": "Basic !!"},
        {"Authorization": "Basic eA=="},
    ):
        refused = stranger.get("/ogc", headers=wrong)
        assert (refused.status_code, refused.headers["www-authenticate"]) == (401, "Bearer")


def test_password_of_an_account_is_no_token(worked):
    """Basic never tries a password: guesses would be made where none are counted."""
    answer = worked.stranger().get("/ogc", headers=basic("manager", "a ladder in the rain"))
    assert answer.status_code == 401


def test_answers_are_for_the_one_who_asks_and_of_no_other_site(worked):
    """No CORS: a page of another site reads nothing, whatever token it has."""
    answer = worked.client.get(
        root(worked) + "/collections/rows/items", headers={"Origin": "https://elsewhere.example"}
    )
    assert not [name for name in answer.headers if name.startswith("access-control-")]
    assert answer.headers["cache-control"] == "no-store"


anything = st.text(max_size=12) | st.from_regex(r"[-+.,/:TZe0-9]{1,30}", fullmatch=True)


@given(
    st.sampled_from(["rows", "checks", "blocks"]),
    st.dictionaries(
        st.sampled_from(["bbox", "datetime", "limit", "after", "block"]) | st.text(max_size=6),
        anything,
        max_size=3,
    ),
)
def test_whatever_is_asked_is_answered_or_refused(worked, layer, asked):
    answer = worked.client.get(f"{root(worked)}/collections/{layer}/items", params=asked)
    assert answer.status_code in (200, 400)
    kind = "application/geo+json" if answer.status_code == 200 else "application/problem+json"
    assert answer.headers["content-type"] == kind
    told = answer.json()
    assert (
        answer.status_code == 400 or told["numberReturned"] == len(told["features"]) <= told["numberMatched"]
    )


@given(st.text(min_size=1, max_size=40))
def test_whatever_is_no_feature_or_collection_is_not_there(worked, name):
    """Whatever its letters: percent-encoded as a whole, as addresses are."""
    said = quote(name, safe="")
    assume(said not in (".", ".."))
    for address in (f"/collections/rows/items/{said}", f"/collections/{said}", f"/collections/{said}/items"):
        assert worked.client.get(root(worked) + address).status_code == 404


def test_farm_across_the_antimeridian_is_found_from_both_sides(service):
    """Its extent has its west above its east (17-069r4, extent), its geometries are cut, and boxes of either side and across find its rows."""
    ring = Polygon([(179.999, -16.0), (180.001, -16.0), (180.001, -15.998), (179.999, -15.998)])
    farm = planting.create_farm(service.store, name="Taveuni", time_zone="Pacific/Fiji", now=NOW)
    planting.plant_blocks(service.store, farm_id=farm.id, plans=[BlockPlan("T1", "", None, ring, PLANTING)])
    manages_too(service.store, "manager", farm.id, now=NOW)
    at = f"/ogc/farms/{farm.id}/collections"
    (bbox,) = service.client.get(f"{at}/rows").json()["extent"]["spatial"]["bbox"]
    west, _, east, _ = bbox
    assert (west, east) == pytest.approx((179.999, -179.999), abs=1e-4)
    whole = service.client.get(f"{at}/rows/items").json()["features"]
    assert all(
        -180 <= shape(one["geometry"]).bounds[0] <= shape(one["geometry"]).bounds[2] <= 180 for one in whole
    )

    def found(said: str) -> set[str]:
        return {
            one["id"]
            for one in service.client.get(f"{at}/rows/items", params={"bbox": said}).json()["features"]
        }

    ids = {one["id"] for one in whole}
    assert found(json.dumps(bbox)[1:-1].replace(" ", "")) == ids
    in_west, in_east = found("179,-17,180,-15"), found("-180,-17,-179,-15")
    assert in_west | in_east == ids
    assert in_west
    assert in_east
    assert in_west == {
        one["id"] for one in whole if shape(one["geometry"]).intersects(box(179, -17, 180, -15))
    }
    assert found("-170,-17,170,-15") == set()
