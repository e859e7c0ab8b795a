"""What belongs to another farm looks as if it were not there: the same answer, byte for byte, as for an id nothing has.

And names of people go to nobody who does not need them.
"""

import json
import zipfile
from io import BytesIO

import pytest

from orchardmap.store import audit
from orchardmap.usecases import planting
from orchardmap.usecases.planting import new_id
from pdf_pages import opened
from service_routes import BODIES, ROUTES, filled
from small_farm import NOW, small_farm
from world import UNKNOWN, made_world


@pytest.fixture(scope="module")
def world(shared, waiting_preview):
    return made_world(shared, small_farm(shared.store, new_id()), waiting_preview())


def told(answer, address_id):
    """Everything of an answer but the number of the request and the id that was asked for."""
    headers = {k: v for k, v in answer.headers.items() if k not in {"x-request-id", "content-length"}}
    return answer.status_code, headers, answer.text.replace(address_id, "ID")


WITH_ID = [(m, p) for m, p, _ in ROUTES if "_id}" in p or "{token}" in p or p == "/map"]


@pytest.mark.parametrize(("method", "path"), WITH_ID)
def test_what_is_another_farms_looks_unknown(world, method, path):
    client = world.clients["manager"]
    address, more = world.request(method, path, "manager", farm=world.other)
    before = world.service.contents()
    foreign = client.request(method, address, **more)
    named = more["params"]["farm"] if path == "/map" else address.split("/")[3]
    if path == "/map":
        more["params"] = more["params"] | {"farm": UNKNOWN}
    unknown = client.request(method, address.replace(named, UNKNOWN), **more)
    assert foreign.status_code == 404
    assert told(foreign, named) == told(unknown, UNKNOWN)
    assert world.service.contents() == before


INNER = [(m, p) for m, p, _ in ROUTES if p.startswith("/api/farms/{farm_id}/") and p.count("_id}") > 1]


@pytest.mark.parametrize(("method", "path"), INNER)
def test_account_tablet_or_person_of_another_farm_looks_unknown_on_ones_own(world, method, path):
    client = world.clients["manager"]
    address, more = world.request(method, path, "manager", farm=world.other)
    address = address.replace(world.other.farm.id, world.farm.farm.id)
    named = address.split("/")[5]
    before = world.service.contents()
    foreign = client.request(method, address, **more)
    unknown = client.request(method, address.replace(named, UNKNOWN), **more)
    assert foreign.status_code == 404
    assert told(foreign, named) == told(unknown, UNKNOWN)
    assert world.service.contents() == before


def bodies(world):
    crew, block, season = world.other.crews[0].id, world.other.blocks[0].id, world.other.season.id
    mark = {
        "season_id": world.farm.season.id,
        "block_id": world.farm.blocks[0].id,
        "row": 3,
        "first": 1,
        "last": 2,
    }
    variety = world.other.blocks[0].variety_id
    brief = BODIES["/api/farms/{farm_id}/briefs"] | {
        "season_id": world.farm.season.id,
        "variety_id": world.farm.blocks[0].variety_id,
    }
    return [
        ("POST", "/people", {"name": new_id(), "role": "worker", "crew_id": crew}, crew),
        ("POST", "/accounts", {"login": new_id(), "name": "X", "role": "foreman", "crew_id": crew}, crew),
        ("POST", "/devices/codes", {"name": "X", "role": "foreman", "crew_id": crew}, crew),
        (
            "POST",
            "/settlements",
            BODIES["/api/farms/{farm_id}/settlements"] | {"stretch": mark | {"credited_crew_id": crew}},
            crew,
        ),
        (
            "POST",
            "/settlements",
            BODIES["/api/farms/{farm_id}/settlements"]
            | {"stretch": mark | {"season_id": season, "credited_crew_id": None}},
            season,
        ),
        *(
            ("POST", "/briefs", brief | {key: one}, one)
            for key, one in (("season_id", season), ("variety_id", variety))
        ),
        ("POST", "/briefs", brief | {"variety_id": None, "block_id": block}, block),
        ("POST", "/lots", {"id": new_id(), "block_id": block}, block),
        (
            "POST",
            "/lots/plan",
            {"block_id": world.farm.blocks[0].id, "crew_id": crew},
            crew,
        ),
        ("GET", f"/packs?block={block}", None, block),
        ("GET", f"/labels.pdf?block={block}", None, block),
        ("GET", f"/crew-days?crew={crew}", None, crew),
    ]  # fmt: skip


@pytest.mark.parametrize("number", range(13))
def test_id_of_another_farm_inside_a_request_looks_unknown(world, number):
    method, path, body, named = bodies(world)[number]
    before = world.service.contents()
    answers = []
    for one in (named, UNKNOWN):
        address = world.service.at_farm(path).replace(named, one)
        sent = None if body is None else json.loads(json.dumps(body).replace(named, one))
        answers.append(told(world.clients["manager"].request(method, address, json=sent), one))
    assert answers[0] == answers[1]
    assert answers[0][0] in {404, 200}, "a list of nothing is as good as unknown"
    assert world.service.contents() == before


def test_record_of_another_farms_block_is_kept_as_one_of_an_unknown_block(world, mark_json):
    reasons = []
    for block in (world.other.blocks[0].id, UNKNOWN):
        mark = mark_json(world.farm, id=new_id(), block_id=block)
        body = {"sent_at": NOW.isoformat(), "marks": [mark]}
        answer = world.clients["foreman_tablet"].post(world.service.at_farm("/marks"), json=body)
        reasons.append([{**one, "id": ""} for one in answer.json()["outcomes"]])
    assert reasons[0] == reasons[1]
    assert reasons[0][0]["outcome"] == "set_aside"


READ_PAPER = {"foreman_tablet", "auditor", "adviser"}
"""Who is asked for paper: to draw it takes long, others of their roles get the same, and managers may read everything."""


def said(answer) -> str:
    """Return what somebody who opens an answer can read, with each name as JSON would have it."""
    kind = answer.headers.get("content-type", "")
    if kind == "application/pdf":
        with opened(answer.content) as pdf:
            return " ".join(str(page.get_textpage().get_text_bounded()).replace("\r\n", " ") for page in pdf)
    if answer.content.startswith(b"PK"):
        with zipfile.ZipFile(BytesIO(answer.content)) as packed:
            return "\n".join(packed.read(name).decode(errors="replace") for name in packed.namelist())
    return str(answer.content, errors="replace")


def test_names_of_people_go_only_to_those_who_need_them(world):
    """A canary in each role's name; every reading route is asked by every caller."""
    store, farm = world.service.store, world.farm
    for role in ("worker", "adviser", "auditor"):
        crew = farm.crews[0].id if role == "worker" else None
        planting.add_person(store, farm_id=farm.farm.id, name=f"Canary {role}", role=role, crew_id=crew)
    check = farm.check(auditor_id=farm.auditor.id)
    body = {
        "id": check.id, "season_id": check.season_id, "block_id": check.block_id, "row": 1, "position": 1,
        "auditor_id": farm.auditor.id, "day": check.day.isoformat(), "verdict": "meets", "device_at": NOW.isoformat(),
    }  # fmt: skip
    sent = {"sent_at": NOW.isoformat(), "checks": [body]}
    assert world.clients["auditor"].post(world.service.at_farm("/checks"), json=sent).status_code == 200
    names = {"Canary worker", "Canary adviser", "Canary auditor", "Auditor", "Foreman 0", "Foreman 1"}
    auditors = {"Canary auditor", "Auditor"}
    allowed = {
        "manager": names,
        "stale_manager": names,
        "auditor": auditors,
        "auditor_tablet": auditors,
        "foreman_tablet": {"Canary worker", "Foreman 0"},
        "other_tablet": {"Foreman 1"},
    }
    assert set(allowed) < set(world.clients)
    for caller, client in world.clients.items():
        if caller in {"ended", "revoked", "other_manager"}:
            continue  # what answers them is what answers nobody, and the table of who may do what asks each route
        seen = set()
        for method, path, _ in ROUTES:
            is_paper = path.endswith((".pdf", "/card"))
            if method != "GET" or (is_paper and caller not in READ_PAPER):
                continue
            address, more = world.request(method, path, caller)
            answer = client.get(address, follow_redirects=False, **more)
            text = said(answer)
            is_file = "json" not in answer.headers.get("content-type", "")
            seen |= {
                name for name in names if f'"{name}"' in text or (is_file and " " in name and name in text)
            }
            # that something of pay changed is told to everybody, and pages name its screen; what it is is the managers'
            if caller not in {"manager", "stale_manager"} and path.startswith("/api/"):
                assert '"pay' not in text.replace('"kind":"pay"', ""), path
        assert seen == allowed.get(caller, set()), caller


def test_asking_about_a_route_is_refused_whoever_asks_and_leaves_no_trace(world):
    """HEAD and OPTIONS lead past no rule; they are answered alike for all, so that they tell nothing either."""
    paths = sorted({path for _, path, _ in ROUTES} - {"/openapi.json"})
    before = world.service.contents(with_tries=True)
    with world.service.store.read() as conn:
        noted = audit.head(conn)
    for caller in ("anonymous", "revoked", "other_tablet"):
        for path in paths:
            address = filled(path, farm_id=world.farm.farm.id, block_id=world.farm.blocks[0].id)
            # features answer HEAD, as their standard wants, by the rule of GET (test_features_access.py)
            for method in ("OPTIONS",) if path.startswith("/ogc") else ("HEAD", "OPTIONS"):
                answer = world.clients[caller].request(method, address)
                assert answer.status_code == 405, (method, path)
                declared = {m for m, p, _ in ROUTES if p == path}
                assert declared & set(answer.headers["allow"].split(", "))
    assert world.service.contents(with_tries=True) == before
    with world.service.store.read() as conn:
        assert audit.head(conn) == noted


def test_methods_that_are_not_declared_are_refused_and_change_nothing(world):
    declared: dict[str, set[str]] = {}
    for method, path, _ in ROUTES:
        declared.setdefault(path, set()).add(method)
    before = world.service.contents()
    for path, methods in declared.items():
        for method in {"GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS", "TRACE", "BREW"} - methods:
            if method == "HEAD" and (path == "/openapi.json" or path.startswith("/ogc")):
                continue  # the framework's own route answers it, without a body; features answer it by their standard
            address, _ = world.request(method, path, "manager") if "{token}" not in path else (path, {})
            answer = world.clients["manager"].request(method, address.replace("{token}", "x"))
            # PATCH of a farm takes these words for its id, and refuses them
            refused = 422 if (method, path) == ("PATCH", "/api/farms/side-by-side") else 405
            assert answer.status_code == refused, (method, path)
    assert world.service.contents() == before


@pytest.mark.parametrize("token", ["%00", "a%00b", "%C3%A9", "..", "%20"])
def test_what_is_no_token_of_an_import_is_unknown_on_both_engines(either, token):
    assert either.client.delete(f"/api/imports/{token}x").status_code == 404
