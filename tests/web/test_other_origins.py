"""What another site's page can make a signed-in browser send: nothing of it changes anything, and nothing is read."""

import http.server
import threading
from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Page

PAGE = """<!doctype html><meta charset="utf-8"><title>other site</title><body></body>"""


class _Quiet(http.server.BaseHTTPRequestHandler):
    def do_GET(self) -> None:
        body = PAGE.encode()
        self.send_response(200)
        self.send_header("Content-Type", "text/html")
        self.send_header("Content-Length", str(len(body)))
        self.end_headers()
        self.wfile.write(body)

    def log_message(self, *_: Any) -> None:
        pass


@pytest.fixture
def other_site() -> Iterator[int]:
    """The port of a page of another origin: another port of this machine, or another name of it."""
    server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), _Quiet)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    yield server.server_port
    server.shutdown()
    thread.join()
    server.server_close()


SEND = """async ([at, farm, body]) => {
  const json = JSON.stringify(body);
  const tried = [];
  const send = (name, path, options) => tried.push(
    fetch(at + path, {credentials: "include", ...options}).then((a) => [name, a.type, a.status], () => [name, "refused", 0]));
  const crews = `/api/farms/${farm}/crews`;
  send("json", crews, {method: "POST", body: json, headers: {"Content-Type": "application/json"}});
  send("text", crews, {method: "POST", body: json, headers: {"Content-Type": "text/plain"}});
  send("no-cors", crews, {method: "POST", body: json, mode: "no-cors"});
  send("no-cors text", crews, {method: "POST", body: json, mode: "no-cors", headers: {"Content-Type": "text/plain"}});
  const form = new FormData(); form.append("file", new Blob(["{}"]), "x.geojson");
  send("multipart", `/api/farms/${farm}/imports`, {method: "POST", body: form, mode: "no-cors"});
  send("delete", "/api/device/holder", {method: "DELETE"});
  send("sign-out", "/api/sign-out", {method: "POST", mode: "no-cors"});
  send("read", `/api/farms/${farm}`, {});
  send("read no-cors", `/api/farms/${farm}`, {mode: "no-cors"});
  navigator.sendBeacon(at + crews, json);
  const image = new Image(); image.src = `${at}/api/farms/${farm}/overview`;
  tried.push(new Promise((done) => { image.onload = () => done(["image", "shown", 200]); image.onerror = () => done(["image", "refused", 0]); }));
  for (const type of ["application/x-www-form-urlencoded", "multipart/form-data", "text/plain"]) {
    const frame = document.createElement("iframe"); frame.name = type; document.body.append(frame);
    const made = document.createElement("form");
    Object.assign(made, {method: "post", action: at + crews, enctype: type, target: type});
    const input = document.createElement("input"); input.name = json.slice(0, -1) + ',"x":"'; input.value = '"}';
    made.append(input); document.body.append(made); made.submit();
    tried.push(new Promise((done) => { frame.onload = () => done([type, "sent", 0]); }));
  }
  return Promise.all(tried);
}"""


@pytest.mark.browser
@pytest.mark.parametrize("name", ["127.0.0.1", "localhost"])
def test_nothing_that_another_sites_page_sends_changes_anything(
    page: Page, service: Any, planted: dict[str, Any], other_site: int, name: str, expected_trouble: list[str]
) -> None:
    """Same site with another port (cookies are sent), and another site (they are not)."""
    expected_trouble.append("")  # the browser's own words on each refusal
    service.as_manager(page)
    at = f"/farms/{planted['farm']}"
    before = [service.get(at), service.get(f"{at}/changes")["changes"]]
    page.goto(f"http://{name}:{other_site}/")
    answers = page.evaluate(SEND, [service.address, planted["farm"], {"name": "Theirs"}])
    readable = [one for one in answers if one[1] not in {"refused", "opaque", "sent"}]
    assert readable == [], "an answer of ours could be read by another site's page"
    assert len(answers) == 13
    assert [service.get(at), service.get(f"{at}/changes")["changes"]] == before
    # a page of theirs that sends the browser here: nothing changes by being looked at
    with page.expect_navigation():
        page.evaluate("(to) => { location.href = to; }", f"{service.address}/api{at}/changes")
    assert [service.get(at), service.get(f"{at}/changes")["changes"]] == before
    page.goto(f"{service.address}/api/who")
    assert '"state":"account"' in page.content(), "still signed in: nobody else can sign her out"
