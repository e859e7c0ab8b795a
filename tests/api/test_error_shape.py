"""Every error of every route is a problem document (RFC 9457), from one table, and echoes nothing of what was sent."""

import inspect
import json
import re
from collections.abc import Iterator

import pytest

import orchardmap.errors
from drawn_lots import add_lot
from orchardmap.errors import OrchardmapError
from orchardmap.model.returns import Stretch
from orchardmap.paper.screen_page import POLICY
from orchardmap.usecases.planting import new_id
from orchardmap.usecases.recording import record_marks
from orchardmap.usecases.returning import NewReturn, make_return
from orchardmap_api.errors import PROBLEMS
from service_routes import APP, BODIES, NOBODY, NOT_IN_DOCUMENT, OPERATIONS, ROUTES, ask, filled
from small_farm import NOW, TODAY


def test_routes_are_the_documents_and_the_declared_rest():
    document = APP.openapi()
    told = {(m.upper(), p) for p, item in document["paths"].items() for m in item}
    walked = {(m, p.replace(":path}", "}")) for m, p in OPERATIONS}
    assert walked == told
    assert {p for _, p, shown in ROUTES if not shown} == NOT_IN_DOCUMENT
    assert {m for m, p, shown in ROUTES if not shown} == {"GET"}, "nothing undocumented may change anything"
    assert len(OPERATIONS) > 25


def test_every_json_route_has_a_valid_body_here():
    takes_json = {
        p
        for p, item in APP.openapi()["paths"].items()
        for one in item.values()
        if "application/json" in one.get("requestBody", {}).get("content", {})
    }
    assert takes_json == set(BODIES)


with_id = [(m, p) for m, p in OPERATIONS if "{" in p or p == "/map"]


@pytest.mark.parametrize(("method", "path"), with_id)
def test_unknown_id_is_a_problem_and_changes_nothing(shared, is_problem, method, path):
    before = shared.contents()
    is_problem(ask(shared.client, method, filled(path), path), 404)
    assert shared.contents() == before


@pytest.mark.parametrize(("method", "path"), [(m, p) for m, p in with_id if "_id}" in p])
@pytest.mark.parametrize("wrong", ["nonsense", "1" * 20, "%00", "%ed%a0%80", NOBODY + "0"])
def test_path_id_that_is_none_is_a_problem(shared, is_problem, method, path, wrong):
    address = filled(path, **dict.fromkeys(("farm_id", "block_id", "lot_id", "photo_id", "return_id"), wrong))
    told = is_problem(ask(shared.client, method, address, path), 422)
    assert wrong not in json.dumps(told)


@pytest.fixture(scope="module")
def tablet(shared):
    """A foreman's tablet."""
    return shared.tablet()


@pytest.fixture(scope="module")
def asked_of(shared):
    """A lot and a return, whose farm is found before a body is read."""
    at = shared.farm
    mark, return_id, lot_id = at.mark(row=7, first=1, last=5), new_id(), new_id()
    record_marks(shared.store, farm_id=at.farm.id, marks=[mark], sent_at=NOW, now=NOW)
    asked = NewReturn(return_id, mark.block_id, mark.crew_id, TODAY, stretches=(Stretch(7, 1, 5),))
    make_return(shared.store, farm_id=at.farm.id, asked=asked, now=NOW)
    with shared.store.write() as conn:
        add_lot(conn, lot_id, (at.farm.id, at.season.id, mark.block_id), [(7, 2, False)])
    return {"lot_id": lot_id, "return_id": return_id}


NO_BODIES = [b"", b"{", b"7", b"[]", b"{}", b"\xff\xfe", b'{"surprise": 1}', b"[" * 100_000]
CHANGES = {
    "/api/blocks/{block_id}",
    "/api/blocks/{block_id}/rows/{number}",
    "/api/farms/{farm_id}",
    "/api/farms/{farm_id}/crews/{crew_id}",
    "/api/farms/{farm_id}/farm-features/{feature_id}",
    "/api/farms/{farm_id}/seasons/{season_id}",
    "/api/farms/{farm_id}/settings",
    "/api/farms/{farm_id}/varieties/{variety_id}",
}
"""A change of one of these that names nothing is valid."""


@pytest.mark.parametrize(
    ("path", "body"),
    [(path, body) for path in BODIES for body in NO_BODIES if path not in CHANGES or body != b"{}"],
)
def test_body_that_is_not_what_is_asked_for_is_a_problem(shared, tablet, asked_of, is_problem, path, body):
    method = next(method for method, one, _ in ROUTES if one == path and method in {"PATCH", "POST", "PUT"})
    address = filled(
        path,
        farm_id=shared.farm.farm.id,
        block_id=shared.farm.blocks[0].id,
        token="a-file-that-waits",
        **asked_of,
    )
    client = tablet if path.startswith("/api/device/") else shared.client
    answer = client.request(method, address, content=body, headers={"content-type": "application/json"})
    assert answer.status_code in {400, 422}
    is_problem(answer, answer.status_code)


@pytest.mark.parametrize("path", sorted({p for _, p in OPERATIONS}))
def test_other_method_is_a_problem_that_says_what_is_allowed(shared, is_problem, path):
    taken = {method for method, one in OPERATIONS if one == path}
    other = next(method for method in ("PUT", "DELETE", "PATCH") if method not in taken)
    answer = shared.client.request(other, filled(path), json={})
    is_problem(answer, 405)
    assert answer.headers["allow"]


@pytest.mark.parametrize(
    "path", ["/nothing", "/api/nothing", "/api", "/api/farms/", "/healthz/x", "/assets/", "/app/"]
)
def test_address_that_is_not_there_is_a_problem(shared, is_problem, path):
    answer = shared.client.get(path, follow_redirects=False)
    if answer.status_code == 307:
        assert answer.headers["location"].startswith("http://localhost/"), "never to another host"
        return
    is_problem(answer, 404)


def leaves(kind: type[OrchardmapError]) -> Iterator[type[OrchardmapError]]:
    below = kind.__subclasses__()
    if not below:
        yield kind
    for one in below:
        yield from leaves(one)


def test_every_error_class_of_ours_has_its_status():
    classes = {
        one
        for _, one in inspect.getmembers(orchardmap.errors, inspect.isclass)
        if issubclass(one, OrchardmapError) and one is not OrchardmapError
    }
    assert set(PROBLEMS) == classes
    assert set(leaves(OrchardmapError)) <= set(PROBLEMS), "an error class outside the errors module"
    assert len({kind for _, kind, _ in PROBLEMS.values()}) == len(PROBLEMS)


def test_unforeseen_error_is_a_problem_without_its_trace(service, is_problem, monkeypatch, caplog):
    def break_down(*_: object, **__: object) -> None:
        raise RuntimeError("a secret path")

    monkeypatch.setattr("orchardmap.usecases.whoami.farms_json", break_down)
    told = is_problem(service.client.get("/api/farms"), 500)
    assert "secret" not in json.dumps(told)
    assert told["where"] in caplog.text, "the number in the answer finds the line in the log"


def test_database_that_cannot_is_503_and_says_when_to_come_again(service, is_problem, monkeypatch):
    from orchardmap.errors import StoreError

    def full(*_: object, **__: object) -> None:
        raise StoreError("the database cannot do it now", where="disk full")

    monkeypatch.setattr("orchardmap.usecases.recording.record_marks", full)
    answer = service.client.post(service.at_farm("/marks"), json={"sent_at": NOW.isoformat(), "marks": []})
    is_problem(answer, 503)
    assert int(answer.headers["retry-after"]) > 0


def test_openapi_document_is_valid(shared):
    """Against the JSON Schema dialect it names; every reference leads somewhere."""
    import jsonschema  # type: ignore[import-untyped]

    document = shared.client.get("/openapi.json").json()
    assert document["openapi"].startswith("3.1")
    names = set(document["components"]["schemas"])
    text = json.dumps(document)
    for name in names:
        jsonschema.Draft202012Validator.check_schema(document["components"]["schemas"][name])
        assert f"#/components/schemas/{name}" in text, f"{name} is used nowhere"
    used = {part.split('"')[0] for part in text.split("#/components/schemas/")[1:]}
    assert used <= names
    operations = [one for item in document["paths"].values() for one in item.values()]
    assert len({one["operationId"] for one in operations}) == len(operations)
    assert all(one.get("description") or one.get("summary") for one in operations)


OPENED = {"accept": "text/html,application/xhtml+xml;q=0.9,*/*;q=0.8"}


@pytest.mark.parametrize(
    ("path", "status"),
    [
        ("/settle", 404),
        ("/map", 422),
        ("/map?farm=nonsense", 422),
        ("/map?farm=01890a5d-ac96-774b-bcce-b302099a8057", 404),
        ("/map?farm={farm}&layer=zzz<script>", 422),
        ("/map?farm={farm}&day=nonsense", 422),
    ],
)
def test_whoever_opens_an_address_that_leads_nowhere_reads_a_page_and_a_program_a_problem(
    shared, is_problem, path, status
):
    address = path.replace("{farm}", shared.farm.farm.id)
    client = shared.client
    told = is_problem(client.get(address, headers={"accept": "*/*"}), status)
    page = client.get(address, headers=OPENED)
    assert page.status_code == status
    assert page.headers["content-type"] == "text/html; charset=utf-8"
    assert page.headers["content-security-policy"] == POLICY
    assert page.headers["cache-control"] == "no-store"
    assert told["title"] in page.text
    assert 'href="/"' in page.text
    assert "<script" not in page.text
    assert "zzz" not in page.text, "nothing of what was sent is echoed"


def test_what_programs_ask_for_is_a_problem_whatever_they_accept(shared, is_problem):
    for path in ("/api/nothing", "/ogc/nothing", "/assets/nothing.js", "/app/nothing.js"):
        is_problem(shared.client.get(path, headers=OPENED), 404)
    is_problem(shared.client.post("/settle", headers=OPENED), 404)


def test_map_opened_by_its_address_speaks_the_language_of_the_browser_unless_asked(shared):
    address = f"/map?farm={shared.farm.farm.id}"
    for accepted, asked, spoken in (
        ("es-ES,es;q=0.9,en;q=0.8", "", "es"),
        ("fr,en;q=0.5,es;q=0.9", "", "es"),
        ("es", "&lang=en", "en"),
        ("fr", "", "en"),
        ("", "", "en"),
    ):
        page = shared.client.get(address + asked, headers={"accept-language": accepted})
        assert f'<html lang="{spoken}"' in page.text, (accepted, asked)


def test_map_of_a_day_that_has_not_come_is_todays(shared):
    today = shared.client.get(f"/api/farms/{shared.farm.farm.id}").json()["today"]
    for asked, shown in (("2099-01-01", today), (today, today), ("2026-01-02", "2026-01-02")):
        page = shared.client.get(f"/map?farm={shared.farm.farm.id}&day={asked}")
        assert re.search(rf"\"day\": ?\"{shown}\"", page.text), asked
