"""The service over real stores, with a clock that stands still."""

from collections.abc import Callable, Iterator
from contextlib import ExitStack
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from orchardmap.store.session import Store, open_store, sqlite_url
from orchardmap.store.tables import metadata
from orchardmap_api.main import create_app
from orchardmap_api.settings import Settings
from small_farm import NOW, SmallFarm, small_farm


@dataclass
class Clock:
    """Stands still until a test moves it."""

    now: datetime = NOW

    def __call__(self) -> datetime:
        """Return the moment it stands at."""
        return self.now


@dataclass
class Service:
    """An app, a client that speaks to it, and the small farm it serves."""

    app: FastAPI
    client: TestClient
    farm: SmallFarm
    clock: Clock

    @property
    def store(self) -> Store:
        """The app's own store, to look at what it really holds."""
        store: Store = self.app.state.store
        return store

    def at_farm(self, path: str = "") -> str:
        """Address of something of the farm."""
        return f"/api/farms/{self.farm.farm.id}{path}"

    def at_block(self, path: str = "", number: int = 0) -> str:
        """Address of something of a block."""
        return f"/api/blocks/{self.farm.blocks[number].id}{path}"

    def contents(self) -> dict[str, list[str]]:
        """Every record of every table, to prove that nothing changed."""
        with self.store.read() as conn:
            return {t.name: sorted(map(repr, conn.execute(t.select()))) for t in metadata.sorted_tables}


Start = Callable[..., Service]


def started(held: ExitStack, url: str, **settings: Any) -> Service:
    """Make the small farm in a database and serve it until the stack is closed."""
    store = open_store(url)
    farm = small_farm(store)
    store.close()
    clock = Clock()
    app = create_app(Settings(database_url=url, **settings), clock=clock)
    client = TestClient(app, base_url="http://localhost", raise_server_exceptions=False)
    held.enter_context(client)
    return Service(app, client, farm, clock)


@pytest.fixture
def start(tmp_path: Path) -> Iterator[Start]:
    """`start(url, **settings)` makes the small farm in a database and serves it."""
    with ExitStack() as held:
        yield lambda url="", **settings: started(
            held, url or sqlite_url(tmp_path / "service.sqlite"), **settings
        )


@pytest.fixture(scope="session")
def shared(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Service]:
    """One service for all requests that must change nothing."""
    with ExitStack() as held:
        yield started(held, sqlite_url(tmp_path_factory.mktemp("shared") / "service.sqlite"))


@pytest.fixture(scope="session", params=["sqlite", pytest.param("postgis", marks=pytest.mark.postgis)])
def shared_either(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Service]:
    """The same, over each engine in turn."""
    with ExitStack() as held:
        if request.param == "sqlite":
            url = sqlite_url(tmp_path_factory.mktemp("either") / "service.sqlite")
        else:
            url = request.getfixturevalue("cluster").new_database()
        yield started(held, url)


@pytest.fixture
def service(start: Start) -> Service:
    """The service over SQLite."""
    return start()


@pytest.fixture
def either(start: Start, store_url: str) -> Service:
    """The service over each engine in turn."""
    return start(store_url)


@pytest.fixture
def mark_json() -> Callable[..., dict[str, Any]]:
    """`mark_json(farm, **changes)`: a mark as a tablet sends it."""

    def made(farm: SmallFarm, **changes: Any) -> dict[str, Any]:
        mark = farm.mark()
        return {
            "id": mark.id,
            "season_id": mark.season_id,
            "block_id": mark.block_id,
            "row": 1,
            "first": 1,
            "last": 105,
            "crew_id": mark.crew_id,
            "day": mark.day.isoformat(),
            "method": "ladder",
            "device_at": (NOW - timedelta(minutes=5)).isoformat(),
        } | changes

    return made


def is_problem(answer: Any, status: int) -> dict[str, Any]:
    """Hold an answer against RFC 9457 and return it."""
    assert answer.status_code == status, answer.text
    assert answer.headers["content-type"] == "application/problem+json"
    told: dict[str, Any] = answer.json()
    assert told["status"] == status
    assert told["type"].startswith("urn:orchardmap:problem:")
    assert told["title"]
    assert set(told) <= {"type", "title", "status", "detail", "where", "todo", "errors"}
    return told


@pytest.fixture(name="is_problem")
def is_problem_fixture() -> Callable[[Any, int], dict[str, Any]]:
    """`is_problem(answer, status)` holds an answer against RFC 9457 and returns it."""
    return is_problem
