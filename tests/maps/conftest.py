"""A real Chromium and a small service that answers in the contract's shapes."""

import json
import secrets
import shutil
import threading
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any
from urllib.parse import parse_qs, urlsplit

import pytest
from playwright.sync_api import Page

from map_samples import Sample, sample_farm
from orchardmap.maps.page import MapConfig, asset_files, content_security_policy, map_page

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
        "--no-first-run",
        "--disable-background-networking",
        "--disable-component-update",
    ]
    return {**browser_type_launch_args, "executable_path": found, "chromium_sandbox": False, "args": quiet}


@pytest.fixture(scope="session")
def browser_context_args(browser_context_args: dict[str, Any]) -> dict[str, Any]:
    """A tablet in landscape."""
    return {**browser_context_args, "viewport": {"width": 1280, "height": 800}}


@dataclass
class Service:
    """What the small service serves, and what it was asked for."""

    sample: Sample
    address: str = ""
    asked: list[str] = field(default_factory=list)
    changes: list[dict[str, Any]] = field(default_factory=list)
    config: dict[str, Any] = field(default_factory=dict)
    is_down: bool = False
    role: str = "auditor"
    sent: list[dict[str, Any]] = field(default_factory=list)

    def change(self, block: str, row: int) -> None:
        """Say that something was marked in a row."""
        number = len(self.changes) + 2
        self.changes.append({"seq": number, "kind": "mark", "subject_id": "m", "block_id": block, "row": row})
        self.sample.overview["cursor"] = number

    def answer(self, path: str, query: dict[str, list[str]]) -> Any:
        """Return the document at an API path, None when there is none."""
        parts = path.strip("/").split("/")[1:]
        if parts == ["who"]:
            return {"farms": [{"id": "farm-1", "role": self.role}]}
        if parts[0] == "blocks":
            document = {"shape": self.sample.shapes, "state": self.sample.states}[parts[2]].get(parts[1])
            return (
                document if document is None or "day" not in query else {**document, "day": query["day"][0]}
            )
        if len(parts) == 2:
            return self.sample.farm
        if parts[2] == "farm-features":
            return self.sample.features
        if parts[2] == "pruned-now":
            told = self.sample.overview
            blocks = {
                one["id"]: [one["pruned"], one["overlap"], one.get("rows_done", 0)] for one in told["blocks"]
            }
            return {"day": told["day"], "cursor": told["cursor"], "epoch": "e1", "blocks": blocks}
        if parts[2] == "overview":
            return {**self.sample.overview, "day": query.get("day", [self.sample.overview["day"]])[0]}
        after = int(query["after"][0])
        news = [change for change in self.changes if change["seq"] > after]
        return {"changes": news, "cursor": max([after, *(c["seq"] for c in news)]), "epoch": "e1"}


def _handler(service: Service) -> type[BaseHTTPRequestHandler]:
    class Handler(BaseHTTPRequestHandler):
        protocol_version = "HTTP/1.1"

        def do_GET(self) -> None:
            service.asked.append(self.path)
            url = urlsplit(self.path)
            if url.path == "/map":
                nonce = secrets.token_urlsafe(12)
                page = map_page(MapConfig(farm_id="farm-1", **service.config), nonce=nonce)
                policy = {"Content-Security-Policy": content_security_policy(nonce)}
                self.give(200, page.encode(), "text/html; charset=utf-8", policy)
            elif url.path in asset_files():
                self.give(200, *asset_files()[url.path])
            elif url.path.endswith("/events") and not service.is_down:
                # one that breaks off at once, and the page asks now and then; a real one is followed in tests/web
                place = json.dumps({"cursor": service.sample.overview["cursor"], "epoch": "e1"})
                self.give(
                    200, f"event: change\ndata: {place}\nretry: 60000\n\n".encode(), "text/event-stream"
                )
            elif url.path.startswith("/api/") and not service.is_down:
                document = service.answer(url.path, parse_qs(url.query))
                body = {"title": "Not known here"} if document is None else document
                self.give(404 if document is None else 200, json.dumps(body).encode(), "application/json")
            else:
                self.give(503 if service.is_down else 404, b"{}", "application/json")

        def do_POST(self) -> None:
            said = json.loads(self.rfile.read(int(self.headers["Content-Length"])))
            service.sent.append({"path": self.path, **said})
            kept = service.sample.features.setdefault("features", [])
            kept.append({
                "id": f"f{len(kept)}",
                "kind": said["kind"],
                "name": said["name"],
                "geometry": said["geojson"],
            })
            self.give(201, b'{"id": "f"}', "application/json")

        def give(self, status: int, body: bytes, kind: str, more: dict[str, str] | None = None) -> None:
            self.send_response(status)
            for name, value in {
                "Content-Type": kind,
                "Content-Length": str(len(body)),
                **(more or {}),
            }.items():
                self.send_header(name, value)
            self.end_headers()
            self.wfile.write(body)

        def log_message(self, format: str, *args: Any) -> None:
            """Keep the tests' output clean."""

    return Handler


@pytest.fixture
def serve() -> Iterator[Callable[..., Service]]:
    """Start a service for a sample; it stops with the test."""
    running = []

    def start(sample: Sample | None = None, **config: Any) -> Service:
        service = Service(sample or sample_farm(6), config=config)
        server = ThreadingHTTPServer(("127.0.0.1", 0), _handler(service))
        server.daemon_threads = True
        thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.05})
        thread.start()
        running.append((server, thread))
        service.address = f"http://127.0.0.1:{server.server_address[1]}"
        return service

    yield start
    for server, thread in running:
        server.shutdown()
        thread.join()
        server.server_close()


@pytest.fixture
def asked(page: Page) -> list[str]:
    """Every address the page asks for."""
    made: list[str] = []
    page.on("request", lambda request: made.append(request.url))
    return made


@pytest.fixture
def troubles(page: Page) -> list[str]:
    """Every error of the page's scripts."""
    made: list[str] = []
    page.on("pageerror", lambda error: made.append(str(error)))
    return made


@pytest.fixture
def watched(page: Page) -> Page:
    """A page that notes what a hostile name ran, and violations of its policy."""
    page.add_init_script(WATCH)
    return page
