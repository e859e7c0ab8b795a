"""A real Chromium on a tablet, and the real service as a process of its own on a fresh SQLite file."""

import json
import os
import re
import shutil
import signal
import sqlite3
import threading
import urllib.error
import urllib.request
from collections.abc import Callable, Iterator
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserType, Page, expect

from orchardmap.store.session import open_store
from orchardmap.usecases.planting import new_id
from ready_processes import ReadyProcess
from ready_stores import ready_sqlite
from signing import signed_in

ROOT = Path(__file__).resolve().parents[2]
WEB = ROOT / "web"
# as long as actions wait: with three workers on two cores a page may take its 5 s, and no test is about that
expect.set_options(timeout=15_000)
AXE_TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
WATCH = """
window.__ran = []; window.__violations = [];
document.addEventListener("securitypolicyviolation", (event) => window.__violations.push(event.violatedDirective));
"""


@pytest.fixture(scope="session")
def base_url() -> None:
    """No base address: pytest-base-url's own fixture warns under pytest 9, and warnings are errors here."""


@pytest.fixture(scope="session")
def browser_type_launch_args(browser_type_launch_args: dict[str, Any]) -> dict[str, Any]:
    """The system's Chromium; a missing one fails the test, it does not skip it."""
    found = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
    if found is None:
        pytest.fail("Chromium is missing: apt-get install chromium")
    quiet = [
        "--disable-gpu",
        "--disable-quic",
        "--no-first-run",
        "--disable-background-networking",
        "--disable-component-update",
        "--disable-sync",
        "--use-fake-device-for-media-stream",  # a camera that shows a moving picture
    ]
    return {**browser_type_launch_args, "executable_path": found, "chromium_sandbox": False, "args": quiet}


@pytest.fixture(scope="session")
def browser_context_args(browser_context_args: dict[str, Any]) -> dict[str, Any]:
    """A tablet in landscape, with touch."""
    size = {"width": 1280, "height": 800}
    return {**browser_context_args, "viewport": size, "has_touch": True, "locale": "en-GB"}


@pytest.fixture(scope="session")
def front_end() -> Path:
    """The built front end; an old or missing one fails, so that no test passes on yesterday's pages."""
    built = WEB / "dist" / "index.html"
    sources = [
        *WEB.glob("src/**/*"),
        *WEB.glob("locale/*.po"),
        *WEB.glob("build/*"),
        WEB / "index.html",
        WEB / "vite.config.ts",
        WEB / "package-lock.json",
    ]
    newest = max(path.stat().st_mtime for path in sources if path.is_file())
    if not built.is_file() or built.stat().st_mtime < newest:
        pytest.fail("web/dist is missing or older than its sources: cd web && npm ci && npm run build")
    return built.parent


TOKEN = "token-of-the-manager-in-these-tests"
MANAGER = {"Authorization": f"Bearer {TOKEN}"}


class Service:
    """The service as a process, and plain calls to it for what a test does not do by hand."""

    def __init__(self, database: Path, web_dir: Path, *, manager: bool = True) -> None:
        self.database = database
        self.manager = manager
        """Whether there is an account from the beginning."""
        self.web_dir = web_dir
        self.port = 0
        self.process: ReadyProcess | None = None
        self.said: list[str] = []
        self.listener: threading.Thread | None = None

    @property
    def address(self) -> str:
        """Where it listens."""
        return f"http://127.0.0.1:{self.port}"

    def _make_manager(self) -> None:
        """Make the account that the tests work as; it makes farms. Its session has the same token in every service."""
        store = open_store(ready_sqlite(self.database))
        try:
            signed_in(store, {}, login="manager", token=TOKEN, makes_farms=True, now=datetime.now(UTC))
        finally:
            store.close()

    def sign_in_anew(self) -> None:
        """Let the manager's session hold in a database that was restored: there all sessions have ended."""
        with closing(sqlite3.connect(self.database)) as base, base:
            base.execute("UPDATE sessions SET ended_at = NULL")

    def forget_confirmation(self, page: Page) -> None:
        """Let the password of the account that a page is signed in with have been given long ago."""
        login = page.context.request.get(f"{self.address}/api/who").json()["login"]
        with closing(sqlite3.connect(self.database)) as base, base:
            whose = "account_id = (SELECT id FROM accounts WHERE login = ?)"
            base.execute(f"UPDATE sessions SET confirmed_at = NULL WHERE {whose}", [login])

    def start(self) -> None:
        """Start it (again, on the same port and file) and wait until it says that it is ready."""
        if self.manager and not self.database.exists():
            self._make_manager()
        command = ["serve", "--database", f"sqlite:///{self.database}", "--port", str(self.port)]
        environment = os.environ | {
            "PYTHONPATH": os.pathsep.join([str(ROOT), str(ROOT / "api")]),
            "ORCHARDMAP_WEB_DIR": str(self.web_dir),
        }
        process = self.process = ReadyProcess(command, environment, self.database.parent)
        for line in process.stdout:
            self.said.append(line)
            ready = re.search(r"ready at http://[^:]+:(\d+)", line)
            if ready:
                self.port = int(ready[1])
                break
        else:
            pytest.fail("The service did not start:\n" + "".join(self.said))
        self.listener = threading.Thread(target=self._drain, args=(process,), daemon=True)
        self.listener.start()

    def _drain(self, process: ReadyProcess) -> None:
        self.said.extend(process.stdout)

    def kill(self) -> None:
        """Kill it without a word (SIGKILL)."""
        if self.process is not None:
            self.process.send_signal(signal.SIGKILL)
            self.process.wait(timeout=10)
        self._close()

    def stop(self) -> None:
        """Stop it in good order."""
        if self.process is not None and self.process.poll() is None:
            self.process.terminate()
            self.process.wait(timeout=20)
        self._close()

    def _close(self) -> None:
        if self.listener is not None:
            self.listener.join(timeout=10)
        if self.process is not None:
            self.process.stdout.close()

    def get(self, path: str) -> Any:
        """Return the answer of a route, asked as the manager."""
        return self._answer(path, urllib.request.Request(f"{self.address}/api{path}", headers=MANAGER))

    def post(self, path: str, body: dict[str, Any], *, method: str = "POST") -> Any:
        """Send a body as the manager and return the answer."""
        request = urllib.request.Request(
            f"{self.address}/api{path}",
            json.dumps(body).encode(),
            {"Content-Type": "application/json", "Origin": self.address} | MANAGER,
            method=method,
        )
        return self._answer(path, request)

    def as_manager(self, page: Page) -> None:
        """Let a page be signed in as the manager."""
        page.context.add_cookies([{"name": "orchardmap_session", "value": TOKEN, "url": self.address}])

    def account(self, page: Page, farm: str, role: str, crew_id: str | None = None) -> None:
        """Let a page be signed in with a new account of that role, by its one-time link."""
        said = {"login": f"{role}-{new_id()}", "name": f"The {role}", "role": role, "crew_id": crew_id}
        link = self.post(f"/farms/{farm}/accounts", said)["link"]
        self.as_nobody(page)
        self._from_page(page, "/sign-in/link", link.partition("#link=")[2])

    def pair(self, page: Page, farm: str, crew_id: str | None, role: str = "foreman") -> None:
        """Let a page be a tablet of a crew (or an auditor's, without one), and nobody's account."""
        said = {"name": f"Tablet {new_id()[-4:]}", "role": role, "crew_id": crew_id}
        code = self.post(f"/farms/{farm}/devices/codes", said)["code"]
        self.as_nobody(page)
        self._from_page(page, "/pair", code)

    def as_nobody(self, page: Page) -> None:
        """Let nobody be signed in on a page, and no tablet be paired."""
        page.context.clear_cookies()

    def _from_page(self, page: Page, path: str, code: str) -> None:
        # the page's own cookie store gets what the service sets
        answer = page.context.request.post(f"{self.address}/api{path}", data={"code": code})
        assert answer.ok, answer.text()

    def upload(self, farm: str, name: str, data: bytes) -> Any:
        """Hand a file in and return its preview."""
        border = "orchardmap-test-border"
        path = f"/farms/{farm}/imports"
        head = f'--{border}\r\nContent-Disposition: form-data; name="file"; filename="{name}"\r\n\r\n'
        request = urllib.request.Request(
            f"{self.address}/api{path}",
            head.encode() + data + f"\r\n--{border}--\r\n".encode(),
            {"Content-Type": f"multipart/form-data; boundary={border}", "Origin": self.address} | MANAGER,
        )
        return self._answer(path, request)

    def _answer(self, path: str, request: urllib.request.Request) -> Any:
        try:
            with urllib.request.urlopen(request, timeout=60) as answer:
                return json.loads(answer.read() or b"null")
        except urllib.error.HTTPError as error:
            said = error.read().decode()
            error.close()
            pytest.fail(f"{path} answered {error.code}: {said}\n" + "".join(self.said[-60:]))


def running_service(folder: Path, web_dir: Path) -> Iterator[Service]:
    """Yield a service with an empty database, and end it afterwards."""
    running = Service(folder / "orchard.sqlite", web_dir)
    try:
        running.start()
        yield running
    finally:
        running.kill()


@pytest.fixture(scope="session")
def service(front_end: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Service]:
    """The service that tests share; each works on a farm of its own."""
    yield from running_service(tmp_path_factory.mktemp("service"), front_end)


@pytest.fixture
def own_service(front_end: Path, tmp_path: Path) -> Iterator[Service]:
    """An empty service for one test: to begin from nothing, or to be killed."""
    yield from running_service(tmp_path, front_end)


@pytest.fixture
def planted(service: Service, tablet: Page) -> dict[str, Any]:
    """A planted farm of its own in the shared service; the tablet works for it."""
    return planted_farm(service, tablet)


@pytest.fixture(scope="module")
def shared_planted(service: Service, shared_tablet: Page) -> dict[str, Any]:
    """A planted farm for all tests of a file that only look; the shared tablet works for it."""
    return planted_farm(service, shared_tablet)


@pytest.fixture
def planted_late(service: Service, tablet: Page) -> dict[str, Any]:
    """A planted farm of its own in the shared service, to be finished in two weeks."""
    two_weeks = datetime.now(UTC).date() + timedelta(14)
    return planted_farm(service, tablet, must_finish_on=two_weeks.isoformat())


@pytest.fixture
def own_planted_besides(own_service: Service, tablet: Page) -> dict[str, Any]:
    """A second planted farm in the test's own service; the tablet works for the one that is asked for last."""
    return planted_farm(own_service, tablet)


@pytest.fixture
def own_planted(own_service: Service, tablet: Page) -> dict[str, Any]:
    """A planted farm in the test's own service."""
    return planted_farm(own_service, tablet)


@pytest.fixture
def own_farm(own_service: Service) -> dict[str, Any]:
    """A planted farm in the test's own service, for tablets that are paired with it."""
    return planted_farm(own_service, None)


@pytest.fixture
def camera_planted(service: Service, camera_tablet: Page) -> dict[str, Any]:
    """A planted farm of its own in the shared service, for the tablet with a browser of its own."""
    return planted_farm(service, camera_tablet)


def planted_farm(service: Service, tablet: Page | None, must_finish_on: str | None = None) -> dict[str, Any]:
    """Make a farm with a season, two crews, an auditor and one block of four rows with 26 positions each."""
    farms = service.get("/farms")["farms"]
    name = f"Quernstone Orchard {len(farms) + 1}"
    service.post("/farms", {"name": name, "time_zone": "Europe/London"})
    farm = next(one for one in service.get("/farms")["farms"] if one["name"] == name)
    if tablet is not None:
        # not in the map's frame: while the service is away that is an error page of the browser, which has no storage; nor has an empty page
        farm_id = json.dumps(farm["id"])
        tablet.add_init_script(
            f"if (self === top && origin !== 'null') localStorage.setItem('orchardmap.farm', {farm_id})"
        )
    at = f"/farms/{farm['id']}"
    today, year = farm["today"], int(farm["today"][:4])
    last = must_finish_on or f"{year + 1}-03-20"
    season = {"name": "Winter", "opens_on": f"{year - 1}-09-01", "must_finish_on": last}
    made = {
        "farm": farm["id"],
        "today": today,
        "season": service.post(f"{at}/seasons", season)["id"],
        "crews": [
            service.post(f"{at}/crews", {"name": name, "method": "ladder"})["id"]
            for name in ("Hollow", "Thorn")
        ],
        "auditor": service.post(f"{at}/people", {"name": "Ada Quern", "role": "auditor"})["id"],
        "variety": service.post(f"{at}/varieties", {"name": "Ashmead's Kernel", "habit": "spur"})["id"],
    }
    # a rectangle on the equator, 20 m wide and 52 m long from south to north: one degree of longitude is 111,320 m
    # there, one of latitude 110,574 m (WGS 84); rows run north, so 4 rows at 5 m and 26 positions at 2 m, give or
    # take one for the rounding of the outline, which is why the test reads the counts from the service
    east, north = 19.9 / 111_320, 51.9 / 110_574
    ring = [[0, 0], [east, 0], [east, north], [0, north], [0, 0]]
    outline = {
        "type": "Feature",
        "properties": {"name": "K1"},
        "geometry": {"type": "Polygon", "coordinates": [ring]},
    }
    file = json.dumps({"type": "FeatureCollection", "features": [outline]}).encode()
    preview = service.upload(farm["id"], "k1.geojson", file)
    planting = {"bearing_deg": 0.0, "row_spacing_m": 5.0, "tree_spacing_m": 2.0, "first_row_offset_m": 2.0}
    wish = {
        "index": 0,
        "code": "K1",
        "name": "Kiln Piece",
        "variety_id": made["variety"],
        "planting": planting,
    }
    taken = service.post(f"/imports/{preview['token']}/take", {"blocks": [wish]})
    made["block"] = taken["blocks"][0]["id"]
    made["rows"] = {row["n"]: row["p"] for row in block_shape(service, made)["rows"]}
    return made


def block_shape(service: Service, made: dict[str, Any]) -> Any:
    """Return the shape document of the planted block."""
    blocks = service.get(f"/farms/{made['farm']}/overview?day={made['today']}")["blocks"]
    version = next(block["shape_version"] for block in blocks if block["id"] == made["block"])
    return service.get(f"/blocks/{made['block']}/shape?v={version}")


@pytest.fixture
def expected_trouble() -> list[str]:
    """Parts of console lines that a test brings about on purpose, such as those of a stopped server."""
    return []


def watched(page: Page, expected_trouble: list[str]) -> Iterator[Page]:
    """Hand out a page signed in as the manager; fail when its console speaks, a script breaks, or the policy is broken."""
    page.context.add_cookies([{"name": "orchardmap_session", "value": TOKEN, "url": "http://127.0.0.1"}])
    trouble: list[str] = []
    page.add_init_script(WATCH)
    page.on("pageerror", lambda error: trouble.append(f"script: {error}"))
    page.on(
        "console",
        lambda told: trouble.append(f"console: {told.text}") if told.type in {"error", "warning"} else None,
    )
    page.set_default_timeout(15_000)
    yield page
    # a service that is killed cuts the stream that the page follows; whatever is asked of it then is told by its own words
    expected = [*expected_trouble, "ERR_INCOMPLETE_CHUNKED_ENCODING"]
    assert [one for one in trouble if not any(part in one for part in expected)] == []
    assert page.evaluate("window.__violations ?? []") == []


@pytest.fixture
def tablet(page: Page, expected_trouble: list[str]) -> Iterator[Page]:
    """A tablet in the manager's hand."""
    yield from watched(page, expected_trouble)


@pytest.fixture(scope="module")
def shared_tablet(browser: Browser, browser_context_args: dict[str, Any]) -> Iterator[Page]:
    """A tablet in the manager's hand, for all tests of a file that only look."""
    with closing(browser.new_context(**browser_context_args)) as context:
        yield from watched(context.new_page(), [])


@pytest.fixture
def camera_tablet(
    browser_type: BrowserType,
    browser_type_launch_args: dict[str, Any],
    browser_context_args: dict[str, Any],
    expected_trouble: list[str],
) -> Iterator[Page]:
    """A tablet with a camera: the browser of the whole run may have been started by another folder's tests, without one."""
    browser = browser_type.launch(**browser_type_launch_args)
    yield from watched(browser.new_context(**browser_context_args).new_page(), expected_trouble)
    browser.close()


def is_large_enough(page: Page, target: list[Any]) -> bool:
    """Look at a target again where it stands clear: one that lies half under a bar of the page is smaller only as far as it was scrolled."""
    if len(target) != 1 or not isinstance(target[0], str):
        return False
    found = page.evaluate(
        """async (target) => { const it = document.querySelector(target), [x, y] = [scrollX, scrollY];
        it.scrollIntoView({ block: "center", inline: "center" });
        const { violations } = await axe.run(it, { runOnly: { type: "rule", values: ["target-size"] }, iframes: false });
        scrollTo(x, y);
        return violations.length; }""",
        target[0],
    )
    return bool(found == 0)


@pytest.fixture(scope="session")
def axe_findings() -> Callable[..., list[str]]:
    """Return a function that lists what axe finds wrong on a page: by these rules only, or by WCAG's A and AA with others or without.

    The frame with the map has its own tests.
    """
    text = (WEB / "node_modules" / "axe-core" / "axe.min.js").read_text("utf-8")

    def look(
        page: Page, *only: str, besides: tuple[str, ...] = (), without: tuple[str, ...] = ()
    ) -> list[str]:
        page.wait_for_function(
            "() => document.querySelector('.tap-cover') === null"
        )  # it is no target's neighbour
        if page.evaluate("typeof axe") == "undefined":  # not looked at yet since it was loaded
            # evaluated, not added as a script: the page's content policy forbids that, rightly
            page.evaluate(f"{text}; void 0")
        rules = {one: {"enabled": one in besides} for one in (*besides, *without)}
        options: dict[str, Any] = {"runOnly": AXE_TAGS, "rules": rules}
        if only:
            options = {"runOnly": {"type": "rule", "values": list(only)}}
        # what is found in order is not told one by one: to name every such node took the longest
        options |= {"iframes": False, "resultTypes": ["violations"]}
        found = page.evaluate("(options) => axe.run(document, options)", options)["violations"]
        return [
            f"{one['id']}: {node['target']} {node['failureSummary']}"
            for one in found
            for node in one["nodes"]
            if not (one["id"] == "target-size" and is_large_enough(page, node["target"]))
        ]

    return look


@pytest.fixture
def picture() -> Callable[[Page, str], None]:
    """Return a function that keeps a picture where WEB_TEST_PICTURES names a folder, else does nothing."""
    folder = os.environ.get("WEB_TEST_PICTURES", "")

    def keep(page: Page, name: str) -> None:
        if folder:
            Path(folder).mkdir(parents=True, exist_ok=True)
            page.screenshot(path=str(Path(folder) / f"{name}.png"))

    return keep
