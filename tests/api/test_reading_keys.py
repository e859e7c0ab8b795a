"""A reading key over the wire: it reads its farm's features and nothing else, is shown once, and is out with the next request."""

import base64
import json
import logging
from contextlib import ExitStack
from datetime import timedelta
from typing import Any

import pytest
from sqlalchemy import event

from featured_farm import work_on
from orchardmap.store import audit
from orchardmap.usecases.feature_place import OF_CHECKS, SERVED
from ready_stores import ready_sqlite
from service_routes import ROUTES, filled
from signing import bearer
from small_farm import NOW

BODY = {"name": "QGIS in the office"}


@pytest.fixture(scope="module")
def worked(started_service, tmp_path_factory):
    """A service whose farm has something of everything."""
    with ExitStack() as held:
        service = started_service(held, ready_sqlite(tmp_path_factory.mktemp("keys") / "service.sqlite"))
        work_on(service.store, service.farm)
        yield service


def made(service: Any, **wish: Any) -> dict[str, Any]:
    """Make a key and return what is told of it, this once."""
    name = f"key {len(service.client.get(service.at_farm('/reading-keys')).json()['reading_keys'])}"
    answer = service.client.post(service.at_farm("/reading-keys"), json={"name": name, **wish})
    assert answer.status_code == 201
    told: dict[str, Any] = answer.json()
    return told


def by_password(key: str, user: str = "anybody") -> dict[str, str]:
    return {"Authorization": "Basic " + base64.b64encode(f"{user}:{key}".encode()).decode()}


def root(service: Any, farm: Any = None) -> str:
    return f"/ogc/farms/{(farm or service.farm).farm.id}"


def test_key_reads_the_address_that_it_is_shown_with_as_header_and_as_password(worked):
    told = made(worked)
    assert told["address"] == f"http://localhost{root(worked)}"
    stranger = worked.stranger()
    for headers in (
        {"Authorization": f"Bearer {told['key']}"},
        by_password(told["key"]),
        by_password(told["key"], ""),
    ):
        assert [one["name"] for one in stranger.get("/ogc", headers=headers).json()["farms"]] == [
            "Small Farm"
        ]
        listed = stranger.get(told["address"] + "/collections", headers=headers).json()["collections"]
        assert [one["id"] for one in listed] == list(SERVED)
        for name in SERVED:
            assert (
                stranger.get(f"{root(worked)}/collections/{name}/items", headers=headers).status_code == 200
            )
    checks = stranger.get(f"{root(worked)}/collections/checks/items", headers=headers).json()["features"]
    assert {one["properties"]["auditor"] for one in checks} == {None}, "nobody's name"


def test_key_of_the_work_alone_is_told_of_no_checks(worked):
    told = made(worked, sees="work")
    client = bearer(worked.stranger(), told["key"])
    own = [name for name in SERVED if name not in OF_CHECKS]
    assert [one["id"] for one in client.get(root(worked) + "/collections").json()["collections"]] == own
    paths = client.get(root(worked) + "/api").json()["paths"]
    assert {path.split("/")[2] for path in paths if path.count("/") > 1} == set(own)
    for name in SERVED:
        for rest in ("", "/schema", "/items", "/items/x"):
            expected = {403} if name in OF_CHECKS else {200, 404}
            assert client.get(f"{root(worked)}/collections/{name}{rest}").status_code in expected
    said = client.get(root(worked) + "/collections/checks/items").json()
    assert said["detail"] == "that is not for a reading key of the work alone to do"


def test_key_opens_no_other_farm_and_that_is_noted(worked, is_problem):
    other = worked.another_farm("Across The Road")
    told = made(worked)
    client = bearer(worked.stranger(), told["key"])
    for rest in ("", "/collections", "/collections/rows/items", "/api.html"):
        is_problem(client.get(root(worked, other) + rest), 404)
    with worked.store.read() as conn:
        denied = [entry.actor for entry in audit.entries(conn) if entry.what == "denied"]
    assert f"key:{told['reading_key']['id']}" in denied


@pytest.fixture(scope="module")
def one_key(worked):
    """One key for all routes."""
    return made(worked)["key"]


@pytest.mark.parametrize(("method", "path"), [(method, path) for method, path, _ in ROUTES])
def test_key_is_nobody_everywhere_else_in_whatever_way_it_comes(worked, one_key, method, path):
    """As header, as password, as the cookie of a browser or tablet: each route answers as it does to nobody at all."""
    if path.startswith("/ogc"):
        return
    address, stranger = (
        filled(path, farm_id=worked.farm.farm.id, block_id=worked.farm.blocks[0].id),
        worked.stranger(),
    )
    expected = stranger.request(method, address, follow_redirects=False)
    for headers in (
        {"Authorization": f"Bearer {one_key}"},
        by_password(one_key),
        {"Cookie": cookies_of(one_key)},
    ):
        answer = worked.stranger().request(method, address, headers=headers, follow_redirects=False)
        assert answer.status_code == expected.status_code, headers
        if expected.status_code == 401 and headers.get("Authorization", "").startswith("Bearer"):
            assert answer.json()["detail"].startswith("a reading key reads the farm's features below /ogc")


def cookies_of(key: str) -> str:
    names = (
        "orchardmap_session",
        "orchardmap_device",
        "__Host-orchardmap_session",
        "__Host-orchardmap_device",
    )
    return "; ".join(f"{name}={key}" for name in names)


def test_key_is_taken_from_the_header_alone_also_where_it_opens_something(worked):
    key = made(worked)["key"]
    stranger = worked.stranger()
    assert stranger.get("/ogc", headers={"Cookie": cookies_of(key)}).status_code == 401
    for parameter in ("key", "token", "access_token", "api_key"):
        assert stranger.get("/ogc", params={parameter: key}).status_code in (400, 401)
    for method in ("POST", "PUT", "PATCH", "DELETE", "OPTIONS"):
        answer = stranger.request(method, root(worked), headers={"Authorization": f"Bearer {key}"})
        assert answer.status_code == 405


def test_ended_key_is_refused_at_once_and_told_what_to_do(worked, is_problem):
    told = made(worked)
    client = bearer(worked.stranger(), told["key"])
    assert client.get(root(worked)).status_code == 200
    at = worked.at_farm(f"/reading-keys/{told['reading_key']['id']}")
    assert worked.client.delete(at).status_code == 204
    answer = client.get(root(worked))
    said = is_problem(answer, 401)
    assert answer.headers["www-authenticate"] == "Bearer"
    assert said["detail"] == "this reading key has ended"
    assert said["todo"].startswith("Have a manager of the farm make a new one (People, Reading keys)")
    assert worked.client.delete(at).status_code == 204, "an answer that was lost may be asked for again"


def test_key_that_was_never_made_is_told_what_to_do(worked, is_problem):
    told = made(worked)
    client = bearer(worked.stranger(), told["key"][:-1])
    said = is_problem(client.get(root(worked)), 401)
    assert said["detail"] == "this reading key is not known here"
    assert "Copy it again, whole" in said["todo"]


def test_key_is_over_after_its_last_day(worked):
    told = made(worked, ends_on=NOW.date().isoformat())
    client = bearer(worked.stranger(), told["key"])
    assert client.get("/ogc").status_code == 200
    worked.clock.now = NOW + timedelta(days=1)
    try:
        assert client.get("/ogc").json()["detail"] == "this reading key has ended"
    finally:
        worked.clock.now = NOW


def test_key_goes_on_for_its_year_without_a_request_between(worked):
    """What a session does not: a project that is opened once a month."""
    told = made(worked)
    client = bearer(worked.stranger(), told["key"])
    try:
        for days in (30, 200, 364):
            worked.clock.now = NOW + timedelta(days=days)
            assert client.get(root(worked)).status_code == 200
    finally:
        worked.clock.now = NOW


def test_page_that_is_kept_costs_two_questions_and_every_hour_a_write(worked):
    """One fewer than with a session: the key says its farm by itself."""
    client = bearer(worked.stranger(), made(worked)["key"])
    path = root(worked) + "/collections/rows/items?bbox=11,46,12,47"
    assert client.get(path).json()["numberMatched"] == 50
    asked: list[str] = []
    for engine in (worked.store._reader, worked.store._writer):
        event.listen(engine, "before_cursor_execute", lambda *told: asked.append(told[2].split()[0]))
    told = []
    try:
        for minutes in (0, 59, 61):
            asked.clear()
            worked.clock.now = NOW + timedelta(minutes=minutes)
            assert client.get(path).json()["numberMatched"] == 50
            told.append([one for one in asked if one != "BEGIN"])
    finally:
        worked.clock.now = NOW
    assert told == [["SELECT"] * 2, ["SELECT"] * 2, ["SELECT"] * 2 + ["UPDATE"]]


def test_list_tells_everything_but_the_key(worked):
    told = made(worked, name=" The packer's   map ", sees="work", ends_on="2026-12-31")
    (one,) = [
        key
        for key in worked.client.get(worked.at_farm("/reading-keys")).json()["reading_keys"]
        if key["id"] == told["reading_key"]["id"]
    ]
    assert one == told["reading_key"]
    assert one == {
        "id": one["id"],
        "name": "The packer's map",
        "sees": "work",
        "made_by": one["made_by"],
        "made_at": NOW.isoformat(),
        "ends_on": "2026-12-31",
        "last_used_at": None,
        "ended_at": None,
        "is_good": True,
    }
    assert one["made_by"]
    bearer(worked.stranger(), told["key"]).get("/ogc")
    listed = worked.client.get(worked.at_farm("/reading-keys"))
    assert told["key"] not in listed.text
    (again,) = [key for key in listed.json()["reading_keys"] if key["id"] == one["id"]]
    assert again == {**one, "last_used_at": NOW.isoformat()}


@pytest.mark.parametrize(
    ("wish", "status"),
    [
        ({"name": ""}, 422),
        ({"name": "  "}, 422),
        ({"name": "x", "sees": "everything"}, 422),
        ({"name": "x", "ends_on": "2025-12-31"}, 422),
        ({"name": "x", "ends_on": "2036-12-31"}, 422),
        ({"name": "x", "ends_on": "some day"}, 422),
        ({"name": "x", "role": "manager"}, 422),
        ({"name": "Twice"}, 409),
    ],
)
def test_wish_that_cannot_be_is_a_problem_and_makes_nothing(worked, is_problem, wish, status):
    worked.client.post(worked.at_farm("/reading-keys"), json={"name": "Twice"})
    before = worked.client.get(worked.at_farm("/reading-keys")).json()
    is_problem(worked.client.post(worked.at_farm("/reading-keys"), json=wish), status)
    assert worked.client.get(worked.at_farm("/reading-keys")).json() == before


def test_key_stands_in_no_log_and_in_no_answer_but_the_first(worked, caplog):
    with caplog.at_level(logging.DEBUG):
        told = made(worked)
        client = bearer(worked.stranger(), told["key"])
        answers = [
            client.get(one)
            for one in ("/ogc", root(worked), "/ogc/farms/x", "/api/farms", root(worked) + "/api")
        ]
        stranger = worked.stranger()
        answers += [stranger.get(root(worked), headers=by_password(told["key"]))]
    logged = " ".join(record.getMessage() for record in caplog.records)
    assert '"route": "/ogc"' in logged, "what is looked at is the log"
    for text in (
        logged,
        *(answer.text for answer in answers),
        json.dumps([dict(one.headers) for one in answers]),
    ):
        assert told["key"] not in text
        assert by_password(told["key"])["Authorization"].split()[1] not in text
    assert {one.headers["cache-control"] for one in answers} == {"no-store"}
    assert not [one for one in answers if "set-cookie" in one.headers]
