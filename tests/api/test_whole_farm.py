"""A farm that was taken from a file gives the same view: every address that can be read is asked of both servers.

The farm holds what every route of the service can make, so that a table which somebody forgets makes the servers differ.
"""

import tomllib
from contextlib import ExitStack, closing
from pathlib import Path
from typing import Any

import pytest
from fastapi.testclient import TestClient

from orchardmap.store import audit
from orchardmap.store.session import open_store, sqlite_url
from orchardmap.usecases import folding, whole_farm
from orchardmap_api.main import create_app
from orchardmap_api.settings import Settings
from ready_stores import ready_postgis, ready_sqlite
from signing import bearer, signed_in
from small_farm import NOW, small_farm
from world import World

TABLE = tomllib.loads(Path(__file__).with_name("access_table.toml").read_text("utf-8"))["routes"]
MAKING = ("POST", "PUT", "PATCH")
NOT_MADE = {
    "POST /api/farms",  # another farm
    "POST /api/sign-out",
    "POST /api/password",
    "PUT /api/farms/{farm_id}/queues",  # made below, with something in them
    "PUT /api/farms/{farm_id}/strengths",
}
OF_THE_SERVER = {
    "GET /api/farms/{farm_id}/events": "a stream: where its log stands, and then it waits",
    "GET /api/who": "who is signed in here",
    "GET /api/farms/{farm_id}/farm.zip": "asked of the use case below",
    "GET /api/farms": "what whoever is signed in may see",
    "GET /api/farms/{farm_id}/accounts": "accounts stay",
    "GET /api/farms/{farm_id}/reading-keys": "keys are secrets of the server, looked at below",
    "GET /api/farms/{farm_id}/people": "says who has a PIN, and PINs stay",
    "GET /api/device/people": "tablets are paired anew",
}
PAPER = (".pdf", ".xlsx", "/card")
"""Drawn from what others of these addresses tell, with the moment in it."""
OWN_KEYS = {"epoch"}
"""What names a database."""


def comparable(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: comparable(one) for key, one in value.items() if key not in OWN_KEYS}
    return [comparable(one) for one in value] if isinstance(value, list) else value


def plan_work(service: Any) -> None:
    """Queues and people of crews, of the season that is under way."""
    crew_id, at_farm, put = service.farm.crews[0].id, service.at_farm, service.client.put
    queue = {"crew_id": crew_id, "blocks": [service.farm.blocks[0].id]}
    plan = {"queues": [queue], "open": [], "own_first": True, "revision": 0}
    strength = {"crew_id": crew_id, "first": "2026-01-26", "last": "2026-02-06", "people": 9}
    assert put(at_farm("/queues"), json=plan).status_code == 200
    assert put(at_farm("/strengths"), json={"strengths": [strength]}).status_code == 200


@pytest.fixture(scope="module")
def moved(started_service, tmp_path_factory, waiting_preview):
    """A farm with everything, a file of it, and the addresses that can be read of it."""
    folder = tmp_path_factory.mktemp("whole")
    with ExitStack() as held:
        service = started_service(held, sqlite_url(folder / "service.sqlite"))
        world = World(service, small_farm(service.store, "Other Farm"), {}, {}, waiting_preview())
        service.tablet()
        plan_work(service)
        for route in TABLE:
            method, path = route.split(" ", 1)
            if method in MAKING and route not in NOT_MADE:
                address, more = world.request(method, path, "manager")
                service.client.request(method, address, follow_redirects=False, **more)
        reads = [
            (route, *world.request("GET", path, "manager"))
            for route in TABLE
            for method, path in [route.split(" ", 1)]
            if method == "GET" and path.startswith("/api/") and not path.endswith(PAPER)
            if route not in OF_THE_SERVER
        ]
        file = folder / "farm.zip"
        told = whole_farm.pack_farm(service.store, service.farm.farm.id, file)
        yield service, reads, file, told


def test_the_farm_holds_something_in_nearly_every_table(moved):
    """Else a forgotten table would go unseen."""
    *_, told = moved
    empty = {table for table, lines in told.lines.items() if not lines}
    assert empty <= {"other_senders"}, empty


@pytest.mark.parametrize("engine", ["sqlite", pytest.param("postgis", marks=pytest.mark.postgis)])
def test_the_other_server_gives_the_same_view_and_the_same_file(moved, engine, request, tmp_path):
    service, reads, file, _ = moved
    url = (
        ready_sqlite(tmp_path / "new.sqlite")
        if engine == "sqlite"
        else ready_postgis(request.getfixturevalue("cluster"))
    )
    farm_id = service.farm.farm.id
    with closing(open_store(url)) as store:
        whole_farm.take_farm(store, file, now=NOW)
        assert folding.rebuild(store, farm_id, write=False) == []
        again = tmp_path / "again.zip"
        whole_farm.pack_farm(store, farm_id, again)
        assert again.read_bytes() == file.read_bytes()
        token = signed_in(store, {farm_id: ("manager", None)}, now=NOW)
    app = create_app(Settings(database_url=url), clock=service.clock)
    with bearer(TestClient(app, base_url="http://localhost", raise_server_exceptions=False), token) as other:
        for route, address, more in reads:
            here, there = (
                client.get(address, follow_redirects=False, **more) for client in (service.client, other)
            )
            assert here.status_code == there.status_code == 200, (route, there.text)
            if here.headers["content-type"].endswith("json"):
                assert comparable(here.json()) == comparable(there.json()), route
            else:
                assert here.content == there.content, route
        keys = service.at_farm("/reading-keys")
        assert service.client.get(keys).json()["reading_keys"]
        assert other.get(keys).json()["reading_keys"] == [], "a key of one server opens nothing on another"
    assert len(reads) > 45


def test_a_manager_takes_the_same_file_away_and_it_is_noted(moved):
    service, _, file, _ = moved
    answer = service.client.get(service.at_farm("/farm.zip"))
    assert answer.headers["content-disposition"].startswith('attachment; filename="farm.zip"')
    assert answer.content == file.read_bytes()
    with service.store.read() as conn:
        (entry,) = [one for one in audit.entries(conn) if one.what == "farm_exported"]
    assert entry.actor.startswith("account:")
