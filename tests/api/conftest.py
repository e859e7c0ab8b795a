"""The service over real stores, with a clock that stands still."""

from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from pwdlib.hashers.argon2 import Argon2Hasher

from orchardmap.geodata.preview import Answers
from orchardmap.geodata.preview_json import preview_json
from orchardmap.geodata.read import read_file
from orchardmap.model.access import AccessRole
from orchardmap.store import drafts
from orchardmap.store.session import Store, open_store
from orchardmap.store.tables import metadata
from orchardmap.usecases import credentials, tablets
from orchardmap.usecases.planting import new_id
from orchardmap_api.main import create_app
from orchardmap_api.settings import Settings
from ready_stores import ready_postgis, ready_sqlite
from service_routes import ONE_OUTLINE
from signing import bearer, manages_too, signed_in
from small_farm import NOW, SmallFarm, small_farm

MANAGER = "manager"
WAITING = "a-file-that-waits"
"""Token of a preview that every served farm has."""


def _every_record() -> dict[str, str]:
    """Return what asks for all of each table, but for the audit log's newest hash and when somebody was last heard of."""
    found = {}
    for table in metadata.sorted_tables:
        names = [f'"{c.name}"' for c in table.columns if c.name not in {"last_seen_at", "last_used_at"}]
        but = " WHERE name <> 'audit_head'" if table.name == "settings" else ""
        found[table.name] = f'SELECT {", ".join(names)} FROM "{table.name}"{but}'
    return found


EVERY_RECORD = _every_record()


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
    """Signed in as the farm's manager, who also makes farms."""
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

    def contents(self, *, with_tries: bool = False) -> dict[str, Any]:
        """Every record of every table, to prove that nothing changed.

        Left out is what a denied or idle request leaves behind on purpose: audit entries with their
        newest hash, counted tries (unless asked for), and when somebody was last heard of.
        """
        left_out = {"audit_log"} if with_tries else {"audit_log", "failed_tries"}
        found: dict[str, Any] = {}
        with self.store.read() as conn:
            cursor = conn.connection.cursor()
            for table, asked in EVERY_RECORD.items():
                if table in left_out:
                    continue
                # as the driver gives it: turning every value into Python's own takes ten times as long
                cursor.execute(asked)
                held = cursor.fetchall()
                # SQLite gives them in the order of their keys, PostgreSQL as they lie
                found[table] = held if self.store.is_sqlite else Counter(map(repr, held))
            cursor.close()
        return found

    def another_farm(self, name: str = "") -> SmallFarm:
        """One more small farm, managed by the same manager."""
        made = small_farm(self.store, name or new_id())
        manages_too(self.store, MANAGER, made.farm.id, now=self.clock())
        return made

    def tablet(self, crew: int | None = 0, farm: SmallFarm | None = None) -> TestClient:
        """A client that is a tablet of a crew, or an auditor's without one."""
        at = farm or self.farm
        wish = tablets.TabletWish(
            "Tablet", "auditor" if crew is None else "foreman", None if crew is None else at.crews[crew].id
        )
        made = tablets.make_code(self.store, actor="shell", farm_id=at.farm.id, tablet=wish, now=self.clock())
        client = self.stranger()
        assert client.post("/api/pair", json={"code": made.code}).status_code == 201
        return client

    def stranger(self) -> TestClient:
        """A client of the same service that nobody is signed in with."""
        made = TestClient(self.app, base_url="http://localhost", raise_server_exceptions=False)
        made.portal = (
            self.client.portal
        )  # the event loop that runs already: another one for each request takes time
        return made

    def account(self, role: AccessRole | None, farm: SmallFarm | None = None, crew: int = 0) -> TestClient:
        """A client signed in with a new account that has a role on a farm (this one), or on none."""
        at = (farm or self.farm).farm.id
        crew_id = (farm or self.farm).crews[crew].id if role == "foreman" else None
        token = signed_in(self.store, {at: (role, crew_id)} if role else {}, now=self.clock())
        return bearer(self.stranger(), token)


def waiting_preview() -> dict[str, Any]:
    """What was understood of a file with one outline."""
    return preview_json(read_file(ONE_OUTLINE.encode(), filename="w1.geojson", answers=Answers()))


Start = Callable[..., Service]


def started(held: ExitStack, url: str, **settings: Any) -> Service:
    """Make the small farm in a database and serve it until the stack is closed."""
    store = open_store(url)
    farm = small_farm(store)
    clock = Clock()
    token = signed_in(store, {farm.farm.id: ("manager", None)}, login=MANAGER, makes_farms=True, now=clock())
    with store.write() as conn:
        drafts.save_draft(conn, WAITING, farm.farm.id, waiting_preview(), now=NOW)
    store.close()
    app = create_app(Settings(database_url=url, **settings), clock=clock)
    client = TestClient(app, base_url="http://localhost", raise_server_exceptions=False)
    held.enter_context(bearer(client, token))
    app.state.streams.life_s = (
        0.0  # a test client waits for the end of an answer: a stream says where the log stands, and ends
    )
    return Service(app, client, farm, clock)


@pytest.fixture(scope="session")
def started_service() -> Callable[..., Service]:
    """`started_service(stack, url, **settings)` makes and serves the small farm until the stack is closed."""
    return started


@pytest.fixture(scope="session", name="waiting_preview")
def waiting_preview_fixture() -> Callable[[], dict[str, Any]]:
    """`waiting_preview()`: what was understood of a file with one outline."""
    return waiting_preview


@pytest.fixture
def start(tmp_path: Path) -> Iterator[Start]:
    """`start(url, **settings)` makes the small farm in a database and serves it."""
    with ExitStack() as held:
        yield lambda url="", **settings: started(
            held, url or ready_sqlite(tmp_path / "service.sqlite"), **settings
        )


@pytest.fixture(scope="session")
def shared(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Service]:
    """One service for all requests that must change nothing."""
    with ExitStack() as held:
        yield started(held, ready_sqlite(tmp_path_factory.mktemp("shared") / "service.sqlite"))


@pytest.fixture(scope="session", params=["sqlite", pytest.param("postgis", marks=pytest.mark.postgis)])
def shared_either(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Service]:
    """The same, over each engine in turn."""
    with ExitStack() as held:
        if request.param == "sqlite":
            url = ready_sqlite(tmp_path_factory.mktemp("either") / "service.sqlite")
        else:
            url = ready_postgis(request.getfixturevalue("cluster"))
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
def compared(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """What each password or PIN was compared with from now on: method and cost, without salt and hash."""
    found: list[str] = []
    verify, hashing = Argon2Hasher.verify, Argon2Hasher.hash
    credentials.matches("", None)  # what stands for nobody's is made once, the first time it is asked for

    def counted(self: Argon2Hasher, secret: Any, kept: Any) -> bool:
        found.append(str(kept).rsplit("$", 2)[0])
        return verify(self, secret, kept)

    def counted_too(self: Argon2Hasher, secret: Any, **more: Any) -> str:
        found.append("hashed")
        return hashing(self, secret, **more)

    monkeypatch.setattr(Argon2Hasher, "verify", counted)
    monkeypatch.setattr(Argon2Hasher, "hash", counted_too)
    return found


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
