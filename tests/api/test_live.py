"""Streams of a farm's changes: what is told, to whom, for how long, and that nothing is missed between two of them."""

import asyncio
import json
import time
from collections.abc import AsyncIterator, Awaitable, Callable, Iterator
from contextlib import ExitStack, closing, contextmanager
from datetime import UTC, datetime
from typing import Any

import httpx2 as httpx
import pytest
from sqlalchemy import text

from orchardmap.store import log
from orchardmap.store.session import Store, open_store
from orchardmap.usecases import following
from orchardmap.usecases.planting import new_id
from orchardmap_api.access import READERS
from orchardmap_api.streams import BEAT_S, MOST, MOST_OF_ONE, Streams
from own_loop import run_apart
from servers import Server, served
from signing import signed_in
from small_farm import NOW, SmallFarm, small_farm

TOKEN = "token-of-the-manager-in-these-tests"
SOON_S = 2.0
Json = dict[str, Any]


def change(store: Store, farm: SmallFarm) -> int:
    with store.write() as conn:
        return log.append_changes(conn, farm.farm.id, [log.Change("mark", new_id())])


async def told(found: AsyncIterator[Json]) -> Json:
    """Return the next place that a stream tells."""
    return await asyncio.wait_for(anext(found), 5)


def looking(
    store: Store, farm: SmallFarm, session: str | None = None, device: str | None = None
) -> Callable[[], Awaitable[Json | None]]:
    async def look() -> Json | None:
        return await asyncio.to_thread(
            following.place, store, farm.farm.id, session=session, device=device, roles=READERS, now=NOW
        )

    return look


class TestWhatIsTold:
    def test_at_once_and_after_each_commit_and_nothing_while_nothing_happens(self, store):
        farm = small_farm(store)
        look = looking(store, farm, signed_in(store, {farm.farm.id: ("adviser", None)}, now=NOW))

        async def follow() -> None:
            streams = Streams(store, beat_s=60)
            stream = streams.open(farm.farm.id, "one")
            assert stream is not None
            found = streams.told(stream, look)
            begun = await told(found)
            for _ in range(3):
                at = await asyncio.to_thread(change, store, farm)
                assert await told(found) == begun | {"cursor": at}
            waits = asyncio.ensure_future(anext(found))
            assert not (await asyncio.wait({waits}, timeout=0.5))[0]
            assert _idle_connections(store), "a stream that waits holds a connection"
            streams.end()
            with pytest.raises(StopAsyncIteration):
                await asyncio.wait_for(waits, SOON_S)
            assert streams.open(farm.farm.id, "one") is None

        run_apart(follow())

    def test_a_bell_that_was_missed_costs_one_beat(self, store):
        """Nothing rings here: the change is found because the log is read again now and then."""
        farm = small_farm(store)
        look = looking(store, farm, signed_in(store, {farm.farm.id: ("adviser", None)}, now=NOW))

        async def follow() -> None:
            streams = Streams(store, beat_s=0.1)
            stream = streams.open(farm.farm.id, "one")
            assert stream is not None
            streams._stop_listening()
            found = streams.told(stream, look)
            begun = await told(found)
            assert await told(found) == begun  # a beat says the same again: the page hears that it is alive
            at = change(store, farm)
            while (await told(found))["cursor"] != at:
                pass

        run_apart(follow())

    @pytest.mark.parametrize(
        "ends", ["the session is signed out", "the tablet is revoked", "the role is taken away"]
    )
    def test_it_ends_when_whoever_reads_may_no_longer(self, either, ends):
        farm = either.farm
        token = signed_in(either.store, {farm.farm.id: ("adviser", None)}, login="reads", now=NOW)
        reader = either.stranger()
        reader.headers["Authorization"] = f"Bearer {token}"
        tablet = either.tablet()
        device = tablet.cookies["orchardmap_device"] if ends.startswith("the tablet") else None
        look = looking(either.store, farm, None if device else token, device)

        def end() -> None:
            if ends.startswith("the session"):
                assert reader.post("/api/sign-out").status_code == 204
            elif device:
                one = tablet.get("/api/who").json()["device"]["id"]
                assert either.client.post(either.at_farm(f"/devices/{one}/revoke")).status_code in {200, 204}
            else:
                who = next(
                    a
                    for a in either.client.get(either.at_farm("/accounts")).json()["accounts"]
                    if a["login"] == "reads"
                )
                assert either.client.delete(either.at_farm(f"/accounts/{who['id']}")).status_code in {
                    200,
                    204,
                }

        async def follow() -> None:
            streams = Streams(either.store, beat_s=60)  # it is rung, and waits for no beat
            stream = streams.open(farm.farm.id, "one")
            assert stream is not None
            found = streams.told(stream, look)
            await told(found)
            await asyncio.to_thread(end)
            with pytest.raises(StopAsyncIteration):
                while True:
                    await told(found)

        run_apart(follow())


def _idle_connections(store: Store) -> bool:
    return all(engine.pool.checkedout() == 0 for engine in (store._reader, store._writer))  # type: ignore[union-attr]


def test_streams_are_bounded(store):
    """One caller's thirteenth ends the caller's first; a process has so many and no more."""

    async def open_many() -> None:
        streams = Streams(store)
        mine = [streams.open("farm", "me") for _ in range(MOST_OF_ONE + 1)]
        assert [one.ended for one in mine if one] == [True] + [False] * MOST_OF_ONE
        others = [streams.open("farm", f"caller {i}") for i in range(MOST - len(mine))]
        assert None not in others
        assert streams.open("farm", "one too many") is None
        assert others[0]
        streams.close(others[0])
        assert streams.open("farm", "one again") is not None

    run_apart(open_many())


def test_a_process_that_has_enough_says_so(service, monkeypatch):
    monkeypatch.setattr("orchardmap_api.streams.MOST", 0)
    answer = service.client.get(service.at_farm("/events"))
    assert answer.status_code == 503
    assert answer.headers["retry-after"] == "60"
    assert answer.headers["content-type"] == "application/problem+json"


def test_the_answer_is_what_browsers_follow(shared_either):
    answer = shared_either.client.get(shared_either.at_farm("/events"))
    assert answer.headers["content-type"].startswith("text/event-stream")
    assert answer.headers["cache-control"] == "no-cache" or "no-store" in answer.headers["cache-control"]
    lines = dict(line.split(": ", 1) for line in answer.text.splitlines() if ": " in line)
    place = shared_either.client.get(shared_either.at_farm("/changes")).json()
    assert json.loads(lines["data"]) == {"cursor": place["cursor"], "epoch": place["epoch"]}
    assert (lines["event"], lines["id"]) == ("change", str(place["cursor"]))


@pytest.fixture
def running(store_url: str) -> Iterator[tuple[list[Server], SmallFarm]]:
    """The small farm as `orchardmap serve` serves it: one process on SQLite, two over one PostgreSQL."""
    store = open_store(store_url)
    farm = small_farm(store)
    signed_in(store, {farm.farm.id: ("manager", None)}, token=TOKEN, now=datetime.now(UTC))
    store.close()
    with ExitStack() as held:
        count = 1 if store_url.startswith("sqlite") else 2
        yield [held.enter_context(served(store_url, forked=True)) for _ in range(count)], farm


@pytest.fixture
def clients() -> Iterator[ExitStack]:
    with ExitStack() as held:
        yield held


@contextmanager
def following_events(server: Server, farm: SmallFarm, **headers: str) -> Iterator[Iterator[Json]]:
    """Follow over a real socket for the length of a ``with`` block."""
    address = f"{server.address}/api/farms/{farm.farm.id}/events"
    with (
        httpx.Client(timeout=10) as client,
        client.stream("GET", address, headers={"Authorization": f"Bearer {TOKEN}"} | headers) as answer,
    ):
        assert answer.status_code == 200
        yield (json.loads(line[6:]) for line in answer.iter_lines() if line.startswith("data: "))


def test_over_the_wire_every_process_tells_and_nobody_who_comes_back_misses_anything(running, clients):
    servers, farm = running
    asks = clients.enter_context(httpx.Client(headers={"Authorization": f"Bearer {TOKEN}"}))
    at_farm = f"/api/farms/{farm.farm.id}"

    def add_crew(server: Server, name: str) -> int:
        assert (
            asks.post(f"{server.address}{at_farm}/crews", json={"name": name, "method": "ladder"}).status_code
            == 201
        )
        return int(asks.get(f"{server.address}{at_farm}/changes").json()["cursor"])

    with ExitStack() as held:
        streams = [held.enter_context(following_events(server, farm)) for server in servers for _ in range(2)]
        begun = [next(stream) for stream in streams]
        # each server's change is told by all
        for i, server in enumerate(servers):
            asked = time.monotonic()
            at = add_crew(server, f"Crew {i} of wire")
            assert at > begun[0]["cursor"]
            for stream in streams:
                assert next(stream)["cursor"] >= at
            assert time.monotonic() - asked < SOON_S
    # nobody follows now, and the log goes on
    last = add_crew(servers[0], "Crew while away")
    with following_events(servers[-1], farm, **{"Last-Event-ID": str(at)}) as stream:
        assert next(stream)["cursor"] == last
        # the service does not wait for pages that follow it
        asked = time.monotonic()
        assert servers[-1].stop() == 0
        assert time.monotonic() - asked < SOON_S
        assert list(stream) == []


def mark_by_store(store_url: str, farm: SmallFarm) -> int:
    """Let the log go on without any of the services, and return where it stands then."""
    with closing(open_store(store_url)) as store:
        return change(store, farm)


@pytest.mark.postgis
@pytest.mark.parametrize("store_url", ["postgis"], indirect=True)
def test_over_the_wire_what_was_said_while_the_bells_connection_was_cut_is_told_at_once(running, store_url):
    """The database ends what the services listen by, and the log goes on before any of them can listen again: no page waits for the next beat for it."""
    servers, farm = running
    with ExitStack() as held, closing(open_store(store_url)) as store:
        streams = [held.enter_context(following_events(server, farm)) for server in servers]
        begun = [next(stream)["cursor"] for stream in streams]
        at = change(store, farm)
        assert [next(stream)["cursor"] for stream in streams] == [at, at] != begun  # the bells ring
        for _ in range(3):
            asked = time.monotonic()
            with store.write() as conn:
                # the same transaction: what it says is said to nobody
                ended = conn.execute(text("SELECT count(pg_terminate_backend(pid, 5000)) FROM pg_stat_activity WHERE query LIKE 'LISTEN%' AND datname = current_database()")).scalar_one()  # fmt: skip
                assert ended == len(servers)
                at = log.append_changes(conn, farm.farm.id, [log.Change("mark", new_id())])
            assert [next(stream)["cursor"] for stream in streams] == [at, at]
            assert time.monotonic() - asked < BEAT_S / 2, "it was a beat that told it"


def test_over_the_wire_what_was_marked_while_the_service_was_killed_is_told_first(running, store_url):
    """The service is killed as by a power cut and started again, three times: whoever comes back hears at once where the log stands, and the next change after it."""
    servers, farm = running
    heard: list[int] = []
    for _ in range(3):
        address, port = servers[-1].address, servers[-1].address.rsplit(":", 1)[1]
        with following_events(servers[-1], farm) as stream:
            heard.append(next(stream)["cursor"])
            servers[-1].kill()
            with pytest.raises(httpx.RemoteProtocolError):
                list(stream)
        away = [mark_by_store(store_url, farm) for _ in range(2)]
        servers[-1] = Server(store_url, "--port", port, forked=True)
        assert servers[-1].address == address
        with following_events(servers[-1], farm, **{"Last-Event-ID": str(heard[-1])}) as stream:
            heard.append(next(stream)["cursor"])
            assert heard[-1] == away[-1]
            with httpx.Client(headers={"Authorization": f"Bearer {TOKEN}"}) as asks:
                told = asks.get(f"{address}/api/farms/{farm.farm.id}/changes?after={heard[-2]}").json()
            assert [one["seq"] for one in told["changes"]] == away, "the log has a gap"
            if not store_url.startswith("sqlite"):
                heard[-1] = mark_by_store(store_url, farm)
                assert next(stream)["cursor"] == heard[-1]
    servers[-1].stop()
