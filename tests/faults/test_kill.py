"""Kill -9 while tablets mark: every acknowledged mark is there afterwards, none twice, none that nobody sent.

A kill cannot tell synchronous=FULL from NORMAL (the page cache survives); the setting is looked at in tests/store.
"""

import http.client
import json
import os
import random
import sqlite3
import threading
import time
from typing import Any
from urllib.parse import urlsplit

import pytest
from sqlalchemy import text

from orchardmap.store.session import open_store, sqlite_url
from orchardmap.usecases import folding
from orchardmap.usecases.planting import new_id
from postgis import Cluster
from servers import Server, served
from signing import signed_in
from small_farm import SmallFarm, small_farm

pytestmark = pytest.mark.faults
TOKEN = "token-of-the-manager-in-these-tests"
HEADERS = {"Content-Type": "application/json", "Authorization": f"Bearer {TOKEN}"}

KILLS, CLIENTS = int(os.environ.get("KILLS", "2")), 4  # `make nightly` asks for more


class Ledger:
    """What the clients sent, and what was acknowledged to them."""

    def __init__(self) -> None:
        self.attempted: dict[str, dict[str, object]] = {}
        self.acknowledged: set[str] = set()
        self.lock = threading.Condition()


def mark_body(farm: SmallFarm, draw: random.Random) -> dict[str, object]:
    first = draw.randint(1, 100)
    at = time.strftime("%Y-%m-%dT%H:%M:%SZ", time.gmtime())
    return {
        "id": new_id(),
        "season_id": farm.season.id,
        "block_id": draw.choice(farm.blocks).id,
        "row": draw.randint(1, 25),
        "first": first,
        "last": min(first + draw.randint(0, 20), 105),
        "crew_id": draw.choice(farm.crews).id,
        "day": at[:10],
        "method": "ladder",
        "device_at": at,
    }


def post(address: str, path: str, body: object) -> dict[str, Any]:
    place = urlsplit(address)
    conn = http.client.HTTPConnection(place.hostname or "", place.port, timeout=10)
    try:
        conn.request("POST", path, json.dumps(body), HEADERS)
        answer = conn.getresponse()
        told: dict[str, Any] = json.loads(answer.read())
        assert answer.status == 200, told
        return told
    finally:
        conn.close()


def send_until_it_dies(server: Server, farm: SmallFarm, ledger: Ledger, seed: int) -> None:
    draw = random.Random(seed)
    while True:
        batch = [mark_body(farm, draw) for _ in range(draw.randint(1, 5))]
        with ledger.lock:
            ledger.attempted |= {str(mark["id"]): mark for mark in batch}
        try:
            sent_at = batch[0]["device_at"]
            told = post(
                server.address, f"/api/farms/{farm.farm.id}/marks", {"sent_at": sent_at, "marks": batch}
            )
        except (OSError, http.client.HTTPException, ValueError):
            return  # killed: whether these are stored is unknown, and that is what the test looks at
        with ledger.lock:
            ledger.acknowledged |= {one["id"] for one in told["outcomes"]}
            ledger.lock.notify_all()


def one_cycle(url: str, farm: SmallFarm, ledger: Ledger, seed: int) -> None:
    """Kill it soon after its start, or in every second cycle soon after the clients got through, on a slow machine too."""
    heard = len(ledger.acknowledged)
    server = Server(url, forked=True)
    clients = [
        threading.Thread(target=send_until_it_dies, args=(server, farm, ledger, seed * 100 + n))
        for n in range(CLIENTS)
    ]
    for client in clients:
        client.start()
    if seed % 2:
        with ledger.lock:
            assert ledger.lock.wait_for(lambda: len(ledger.acknowledged) > heard + CLIENTS, timeout=30)
    time.sleep(random.Random(seed).uniform(0.15, 0.6))
    server.kill()
    for client in clients:
        client.join(timeout=30)
        assert not client.is_alive()


def stored_ids(url: str) -> list[str]:
    store = open_store(url, read_only=True)
    try:
        with store.read() as conn:
            return [str(one) for one in conn.execute(text("SELECT id FROM marks")).scalars()]
    finally:
        store.close()


def farm_for_today(url: str) -> SmallFarm:
    """A farm whose season is open today, for a server with a real clock."""
    store = open_store(url)
    farm = small_farm(store)
    from datetime import UTC, datetime, timedelta

    signed_in(store, {farm.farm.id: ("manager", None)}, token=TOKEN, now=datetime.now(UTC))

    from orchardmap.usecases import planting

    today = datetime.now(UTC).date()
    season = planting.add_season(
        store,
        farm_id=farm.farm.id,
        name="now",
        opens_on=today - timedelta(days=30),
        must_finish_on=today + timedelta(days=30),
    )
    store.close()
    return SmallFarm(farm.farm, season, farm.blocks, farm.crews, farm.auditor)


def hold_the_ledger(url: str, cycles: int) -> Ledger:
    farm, ledger = farm_for_today(url), Ledger()
    for seed in range(cycles):
        one_cycle(url, farm, ledger, seed)
        stored = {one.replace("-", "") for one in stored_ids(url)}
        assert {one.replace("-", "") for one in ledger.acknowledged} <= stored, "an acknowledged mark is gone"
        assert stored <= {one.replace("-", "") for one in ledger.attempted}, "a mark nobody sent"
    assert len(ledger.acknowledged) > cycles, "the clients hardly got through: the test proved nothing"
    resend_everything(url, farm, ledger)
    return ledger


def resend_everything(url: str, farm: SmallFarm, ledger: Ledger) -> None:
    everything = list(ledger.attempted.values())
    with served(url, forked=True) as server:
        for start in range(0, len(everything), 400):
            batch = everything[start : start + 400]
            told = post(
                server.address,
                f"/api/farms/{farm.farm.id}/marks",
                {"sent_at": batch[0]["device_at"], "marks": batch},
            )
            for one in told["outcomes"]:
                assert one["outcome"] in {"taken", "already_there"}
    found = stored_ids(url)
    assert len(found) == len(set(found)) == len(ledger.attempted)
    store = open_store(url)
    assert folding.rebuild(store, farm.farm.id, write=False) == []
    store.close()


def test_killed_server_keeps_every_acknowledged_mark_on_sqlite(tmp_path):
    path = tmp_path / "farm.sqlite"
    ledger = hold_the_ledger(sqlite_url(path), KILLS)
    conn = sqlite3.connect(path)
    assert conn.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    conn.close()
    print(f"{KILLS} kills: {len(ledger.attempted)} sent, {len(ledger.acknowledged)} acknowledged, none lost")


@pytest.mark.postgis
def test_killed_server_keeps_every_acknowledged_mark_on_postgis(cluster: Cluster):
    hold_the_ledger(cluster.new_database(), KILLS)


def test_asked_to_stop_it_ends_in_good_order(tmp_path):
    url = sqlite_url(tmp_path / "farm.sqlite")
    with served(url) as server:
        began = time.monotonic()
        code = server.stop()
    assert code == 0
    assert time.monotonic() - began < 12
    assert not list(tmp_path.glob("*-wal")) or (tmp_path / "farm.sqlite-wal").stat().st_size == 0
