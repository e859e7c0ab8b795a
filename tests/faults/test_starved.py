"""F4, F5 and F8 of design 06b: no room, no lock, no database. Said as 503, nothing half written, well again by itself."""

import http.client
import json
import sqlite3
import threading
import time
from datetime import UTC, datetime
from typing import Any
from urllib.parse import urlsplit

import pytest
from fastapi.testclient import TestClient

from orchardmap.store import session
from orchardmap.store.session import open_store, sqlite_url
from orchardmap.usecases import folding
from orchardmap.usecases.planting import new_id
from orchardmap_api.main import create_app
from orchardmap_api.settings import Settings
from postgis import Cluster
from servers import served
from signing import signed_in
from small_farm import NOW, SmallFarm, small_farm

pytestmark = pytest.mark.faults
TOKEN = "token-of-the-manager-in-these-tests"
HEADERS = {"Content-Type": "application/json", "Authorization": f"Bearer {TOKEN}"}


def marks_body(farm: SmallFarm, row: int, count: int = 100) -> dict[str, Any]:
    one = {
        "season_id": farm.season.id,
        "block_id": farm.blocks[0].id,
        "row": row,
        "crew_id": farm.crews[0].id,
        "day": NOW.date().isoformat(),
        "method": "ladder",
        "device_at": NOW.isoformat(),
    }
    marks = [one | {"id": new_id(), "first": n + 1, "last": n + 1} for n in range(count)]
    return {"sent_at": NOW.isoformat(), "marks": marks}


@pytest.fixture
def path(tmp_path):
    """Where the database of a test lies."""
    return tmp_path / "farm.sqlite"


@pytest.fixture
def farm(path) -> SmallFarm:
    store = open_store(sqlite_url(path))
    made = small_farm(store)
    signed_in(store, {made.farm.id: ("manager", None)}, token=TOKEN, now=NOW)
    store.close()
    return made


@pytest.fixture
def client(path, farm, monkeypatch):
    monkeypatch.setattr(session, "_BUSY_MS", 300)  # ten seconds in earnest
    app = create_app(Settings(sqlite_url(path)), clock=lambda: NOW)
    with TestClient(app, base_url="http://localhost", headers=HEADERS) as made:
        yield made


def stored_ids(path) -> set[str]:
    with sqlite3.connect(path) as conn:
        found = {str(one).replace("-", "") for (one,) in conn.execute("SELECT id FROM marks")}
        assert conn.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    conn.close()
    return found


def acknowledged(answer: Any) -> set[str]:
    return {one["id"].replace("-", "") for one in answer.json()["outcomes"]}


def is_503(answer: Any) -> bool:
    if answer.status_code == 200:
        return False
    assert answer.status_code == 503, answer.text
    assert answer.headers["content-type"] == "application/problem+json"
    assert answer.headers["retry-after"]
    return True


def test_full_disk_is_503_and_nothing_is_acknowledged_that_is_not_there(client, path, farm):
    """A page limit stands in for the disk's end: SQLite says SQLITE_FULL in both cases."""
    store = client.app.state.store
    with store.write() as conn:
        pages = conn.exec_driver_sql("PRAGMA page_count").scalar()
        conn.exec_driver_sql(f"PRAGMA max_page_count={pages + 80}")
    address = f"/api/farms/{farm.farm.id}/marks"
    bodies = [marks_body(farm, row) for row in range(1, 26)]
    taken: set[str] = set()
    refused = []
    for body in bodies:
        answer = client.post(address, json=body)
        if is_503(answer):
            refused.append(body)
        else:
            taken |= acknowledged(answer)
    assert taken, "not one batch fitted: the limit was too small to prove anything"
    assert refused, "every batch fitted: the limit was too large to prove anything"
    assert stored_ids(path) == taken, "a refused batch is not there in part either"
    assert client.get(f"/api/farms/{farm.farm.id}/overview").status_code == 200, "reading goes on"
    assert client.get("/healthz").status_code == 200
    with store.write() as conn:
        conn.exec_driver_sql("PRAGMA max_page_count=1073741823")
    for body in refused:
        answer = client.post(address, json=body)
        assert {one["outcome"] for one in answer.json()["outcomes"]} == {"taken"}
    assert len(stored_ids(path)) == 25 * 100
    assert folding.rebuild(store, farm.farm.id, write=False) == []


def test_locked_database_is_503_after_the_wait_and_well_again(client, path, farm):
    other = sqlite3.connect(path, timeout=0, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    body = marks_body(farm, 1, 3)
    address = f"/api/farms/{farm.farm.id}/marks"
    began = time.monotonic()
    assert is_503(client.post(address, json=body))
    assert 0.25 < time.monotonic() - began < 5
    ready = client.get("/readyz")
    assert ready.status_code == 503
    assert "locked" in json.dumps(ready.json()["faults"])
    assert client.get(f"/api/farms/{farm.farm.id}/overview").status_code == 200, (
        "readers do not wait for a writer"
    )
    other.execute("ROLLBACK")
    other.close()
    assert client.get("/readyz").status_code == 200
    assert not is_503(client.post(address, json=body))
    assert len(stored_ids(path)) == 3


def crew_days_body(farm: SmallFarm) -> dict[str, Any]:
    one = {
        "season_id": farm.season.id,
        "crew_id": farm.crews[0].id,
        "day": NOW.date().isoformat(),
        "people": 6,
        "hours": 7.5,
        "method": "ladder",
        "device_at": NOW.isoformat(),
    }
    days = [one | {"id": new_id(), "further": "x" * 3_000} for _ in range(100)]
    return {"schema": 2, "sent_at": NOW.isoformat(), "crew_days": days}


def test_crew_days_too_are_told_503_whole_and_get_in_later(client, path, farm):
    """No room, then no lock: each time nothing of the batch is there; afterwards all of it."""
    address, body = f"/api/farms/{farm.farm.id}/crew-days", crew_days_body(farm)
    store = client.app.state.store

    def stored() -> int:
        return len(client.get(address).json()["crew_days"])

    with store.write() as conn:
        pages = conn.exec_driver_sql("PRAGMA page_count").scalar()
        conn.exec_driver_sql(f"PRAGMA max_page_count={pages + 20}")
    assert is_503(client.post(address, json=body))
    with store.write() as conn:
        conn.exec_driver_sql("PRAGMA max_page_count=1073741823")
    assert stored() == 0
    other = sqlite3.connect(path, timeout=0, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    assert is_503(client.post(address, json=body))
    other.execute("ROLLBACK")
    other.close()
    assert stored() == 0
    assert {one["outcome"] for one in client.post(address, json=body).json()["outcomes"]} == {"taken"}
    assert stored() == 100


def test_writers_wait_for_a_short_lock_and_get_through(client, path, farm, monkeypatch):
    other = sqlite3.connect(path, timeout=0, isolation_level=None, check_same_thread=False)
    other.execute("BEGIN IMMEDIATE")
    timer = threading.Timer(0.15, lambda: other.execute("ROLLBACK"))
    timer.start()
    answer = client.post(f"/api/farms/{farm.farm.id}/marks", json=marks_body(farm, 1, 3))
    timer.join()
    other.close()
    assert answer.status_code == 200


def ask(address: str, method: str, path: str, body: object = None) -> tuple[int, Any]:
    place = urlsplit(address)
    conn = http.client.HTTPConnection(place.hostname or "", place.port, timeout=30)
    try:
        conn.request(method, path, json.dumps(body), HEADERS)
        answer = conn.getresponse()
        return answer.status, json.loads(answer.read())
    finally:
        conn.close()


@pytest.mark.postgis
def test_postgres_pulled_from_under_the_service_loses_nothing_and_it_recovers_by_itself():
    """F5: immediate stops are PostgreSQL's own crash; the service stays up, says 503, and needs no restart."""
    cluster = Cluster("-c fsync=on -c full_page_writes=on -c synchronous_commit=on")
    try:
        url = cluster.new_database()
        store = open_store(url)
        farm = small_farm(store)
        signed_in(store, {farm.farm.id: ("manager", None)}, token=TOKEN, now=datetime.now(UTC))
        store.close()
        acked: set[str] = set()
        tried: set[str] = set()
        statuses: list[int] = []
        stop = threading.Event()

        def mark_on(address: str, number: int) -> None:
            while not stop.is_set():
                body = marks_body(farm, number, 5)
                tried.update(mark["id"] for mark in body["marks"])
                try:
                    status, told = ask(address, "POST", f"/api/farms/{farm.farm.id}/marks", body)
                except OSError:
                    continue
                statuses.append(status)
                if status == 200:
                    acked.update(one["id"] for one in told["outcomes"])

        with served(url, forked=True) as server:
            writers = [threading.Thread(target=mark_on, args=(server.address, n)) for n in range(1, 4)]
            for writer in writers:
                writer.start()
            for _ in range(3):
                time.sleep(0.5)
                cluster.stop("immediate")
                time.sleep(0.2)
                before = len(acked)
                cluster.start("-c fsync=on -c full_page_writes=on -c synchronous_commit=on")
                back = time.monotonic()
                while len(acked) == before and time.monotonic() - back < 10:
                    time.sleep(0.05)
                assert len(acked) > before, "no mark was taken within 10 s after the database was back"
            stop.set()
            for writer in writers:
                writer.join(timeout=40)
            assert set(statuses) <= {200, 503}, sorted(set(statuses))
            assert 503 in statuses, "the database was never missed: the test proved nothing"
            assert ask(server.address, "GET", "/readyz")[0] == 200
        store = open_store(url)
        from sqlalchemy import text

        with store.read() as conn:
            stored = {str(one) for one in conn.execute(text("SELECT id FROM marks")).scalars()}
        assert acked <= stored <= tried
        assert folding.rebuild(store, farm.farm.id, write=False) == []
        store.close()
    finally:
        cluster.close()
