"""What every request passes: other sites' pages and unknown hosts are refused, size is limited, headers are on every answer."""

import json
from collections.abc import Iterator
from typing import Any
from urllib.parse import parse_qs, parse_qsl, urlsplit

import pytest

from orchardmap.store.session import sqlite_url
from orchardmap_api import guards
from small_farm import NOW

CSP = "content-security-policy"
ALWAYS = {
    CSP,
    "x-content-type-options",
    "referrer-policy",
    "cross-origin-opener-policy",
    "cross-origin-resource-policy",
    "cache-control",
    "x-request-id",
}

FOREIGN = [
    {"origin": "https://evil.example"},
    {"origin": "null"},
    {"origin": ""},
    {"origin": "http://localhost.evil.example"},
    {"origin": "http://localhost:81"},
    {"origin": "http://["},
    {"origin": "evil://localhost"},
    {"origin": "http://evil.example@localhost"},
    {"origin": "localhost"},
    {"origin": "http://evil.example", "sec-fetch-site": "cross-site"},
    {"sec-fetch-site": "cross-site"},
    {"sec-fetch-site": "same-site"},
    {"sec-fetch-site": "cross-site", "origin": "http://localhost"},
    {"sec-fetch-site": "anything"},
]


@pytest.mark.parametrize("headers", FOREIGN)
def test_change_from_another_sites_page_is_refused_and_changes_nothing(
    shared, is_problem, mark_json, headers
):
    before = shared.contents()
    marks = {"sent_at": NOW.isoformat(), "marks": [mark_json(shared.farm)]}
    requests: list[tuple[str, str, dict[str, Any]]] = [
        ("POST", "/api/farms", {"json": {"name": "Theirs", "time_zone": "UTC"}}),
        ("POST", shared.at_farm("/marks"), {"json": marks}),
        # a form of another site can send text without a browser's asking first
        (
            "POST",
            shared.at_farm("/marks"),
            {"content": json.dumps(marks), "headers": {"content-type": "text/plain"}},
        ),
        ("POST", shared.at_farm("/imports"), {"files": {"file": ("x", b"{}")}}),
        ("PATCH", shared.at_block("/rows/1"), {"json": {"blanks": [1]}}),
        ("DELETE", "/api/imports/x", {}),
    ]
    for method, path, more in requests:
        said = {**more.pop("headers", {}), **headers}
        is_problem(shared.client.request(method, path, headers=said, **more), 403)
    assert shared.contents() == before


@pytest.mark.parametrize(
    "headers",
    [
        {},
        {"origin": "http://localhost"},
        {"sec-fetch-site": "same-origin"},
        {"sec-fetch-site": "same-origin", "origin": "https://localhost"},  # behind a proxy that ends TLS
    ],
)
def test_change_from_our_own_page_or_from_no_browser_is_taken(service, headers):
    body = {"name": "Ours", "time_zone": "UTC"}
    assert service.client.post("/api/farms", json=body, headers=headers).status_code == 201


def test_reading_is_not_hindered_but_not_shared_either(shared):
    answer = shared.client.get("/api/farms", headers={"origin": "https://evil.example"})
    assert answer.status_code == 200
    assert not [name for name in answer.headers if name.startswith("access-control-")]
    assert answer.headers["cross-origin-resource-policy"] == "same-origin"


@pytest.mark.parametrize(
    "host",
    [
        "evil.example",
        "localhost.evil.example",
        "127.0.0.1.evil.example",
        "evil.example:80",
        "",
        "[::1]",
        "*",
        "localhost@evil.example",
    ],
)
def test_foreign_host_is_refused(shared, is_problem, host):
    """Else a name that an attacker points at 127.0.0.1 would be the same origin (DNS rebinding)."""
    before = shared.contents()
    body = {"name": "Theirs", "time_zone": "UTC"}
    answer = shared.client.post("/api/farms", json=body, headers={"host": host, "origin": f"http://{host}"})
    is_problem(answer, 400)
    is_problem(shared.client.get("/api/farms", headers={"host": host}), 400)
    assert shared.contents() == before


@pytest.mark.parametrize("host", ["localhost", "localhost:8420", "127.0.0.1", "127.0.0.1:9", "LOCALHOST"])
def test_own_host_is_served(shared, host):
    assert shared.client.get("/api/farms", headers={"host": host}).status_code == 200


def test_other_hosts_are_served_where_the_setting_says_so(start):
    served = start(allowed_hosts="Orchard.example, 127.0.0.1,::1")
    assert served.client.get("/api/farms", headers={"host": "[::1]:8420"}).status_code == 200
    assert served.client.get("/api/farms", headers={"host": "orchard.example"}).status_code == 200
    assert served.client.get("/api/farms", headers={"host": "localhost"}).status_code == 400


ANSWERS = [
    ("GET", "/healthz", 200),
    ("GET", "/readyz", 200),
    ("GET", "/api/farms", 200),
    ("GET", "/api/legend", 200),
    ("GET", "/openapi.json", 200),
    ("GET", "/nothing", 404),
    ("GET", "/api/farms/nonsense", 422),
    ("PUT", "/api/farms", 405),
    ("POST", "/api/farms", 422),
    ("GET", "/assets/nothing.js", 404),
    ("GET", "/app/nothing.js", 404),
]


@pytest.mark.parametrize(("method", "path", "status"), ANSWERS)
def test_security_headers_are_on_every_answer(shared, method, path, status):
    answer = shared.client.request(method, path)
    assert answer.status_code == status
    assert set(answer.headers) >= ALWAYS
    assert answer.headers["x-content-type-options"] == "nosniff"
    assert "default-src 'none'" in answer.headers[CSP]
    assert "unsafe" not in answer.headers[CSP]
    assert "server" not in answer.headers


def test_large_answers_are_compressed_and_say_the_same(start, tmp_path):
    """Whole, by size and kind; files that a browser keeps are told apart by weak tags, for their bytes differ."""
    web = tmp_path / "dist"
    (web / "assets").mkdir(parents=True)
    (web / "index.html").write_text("x", "utf-8")
    (web / "assets" / "index-BcD3f.js").write_text("let tree = 1; " * 10_000, "utf-8")
    (web / "assets" / "words-BcD3f.woff2").write_bytes(b"wOF2" + bytes(5_000))
    served = start(web_dir=str(web))
    shape = served.at_block("/shape")
    for path, is_compressed in {
        shape: True,
        "/openapi.json": True,
        "/app/assets/index-BcD3f.js": True,
        "/app/assets/words-BcD3f.woff2": False,
        served.at_farm("/labels.pdf") + f"?block={served.farm.blocks[0].id}": False,
        "/healthz": False,
    }.items():
        plain = served.client.get(path, headers={"accept-encoding": "identity"})
        small = served.client.get(path, headers={"accept-encoding": "gzip"})
        assert "content-encoding" not in plain.headers
        assert (small.headers.get("content-encoding") == "gzip") is is_compressed, path
        assert set(small.headers) >= ALWAYS
        if is_compressed:
            assert small.content == plain.content
            assert small.headers["etag"].startswith("W/") if "etag" in plain.headers else True
            assert {one.headers["vary"] for one in (plain, small)} == {"Accept-Encoding"}
    tag = served.client.get(shape, headers={"accept-encoding": "gzip"}).headers["etag"]
    again = served.client.get(shape, headers={"accept-encoding": "gzip", "if-none-match": tag})
    assert (again.status_code, again.headers["etag"], again.content) == (304, tag, b"")
    part = served.client.get("/app/assets/index-BcD3f.js", headers={"range": "bytes=0-99"})
    assert (part.status_code, len(part.content), "content-encoding" in part.headers) == (206, 100, False)


def test_security_headers_are_on_refusals_and_faults_too(service, monkeypatch):
    def break_down(*_: object, **__: object) -> None:
        raise RuntimeError

    answers = [
        service.client.post("/api/farms", headers={"origin": "https://evil.example"}),
        service.client.get("/api/farms", headers={"host": "evil.example"}),
        service.client.post("/api/farms", content=b"x" * (2 * 1024 * 1024 + 1)),
    ]
    monkeypatch.setattr("orchardmap.usecases.whoami.farms_json", break_down)
    answers.append(service.client.get("/api/farms"))
    assert [a.status_code for a in answers] == [403, 400, 413, 500]
    for answer in answers:
        assert set(answer.headers) >= ALWAYS, answer.status_code


def test_map_page_has_a_policy_and_a_nonce_of_its_own(shared):
    pages = [shared.client.get("/map", params={"farm": shared.farm.farm.id}) for _ in range(2)]
    policies = [page.headers[CSP] for page in pages]
    assert policies[0] != policies[1], "a nonce is used once"
    for page in pages:
        assert page.status_code == 200
        assert "'unsafe-eval'" not in page.headers[CSP]
        assert "script-src" in page.headers[CSP]
        assert "'unsafe-inline'" not in page.headers[CSP].split("script-src")[1].split(";")[0]
        assert page.headers["cache-control"] == "no-store"


def test_a_map_opened_by_nobody_leads_to_the_door_and_back(shared):
    """A copied link survives the sign-in; a map in a frame and a script get the plain 401."""
    client = shared.stranger()
    asked = {"farm": shared.farm.farm.id, "at": "1.5,2,17"}
    page = {"accept": "text/html,application/xhtml+xml"}
    led = client.get("/map", params=asked, headers=page, follow_redirects=False)
    assert led.status_code == 303
    door = urlsplit(led.headers["location"])
    assert door.path == "/sign-in"
    back = urlsplit(parse_qs(door.query)["then"][0])
    assert (back.path, dict(parse_qsl(back.query))) == ("/map", asked)
    for more, headers in (({}, {}), ({"embedded": "true"}, page)):
        told = client.get("/map", params=asked | more, headers=headers, follow_redirects=False)
        assert told.status_code == 401, more


def pieces(total: int) -> Iterator[bytes]:
    while total > 0:
        yield b" " * min(total, 65_536)
        total -= 65_536


JSON_LIMIT, FILE_LIMIT = 2 * 1024 * 1024, 51 * 1024 * 1024


def test_body_over_the_limit_is_refused_by_what_it_says(shared, is_problem):
    answer = shared.client.post(shared.at_farm("/marks"), content=b" " * (JSON_LIMIT + 1))
    assert "2 MB" in is_problem(answer, 413)["detail"]


def test_body_over_the_limit_is_refused_by_what_comes(shared, is_problem):
    """Chunked, without a length: only counting tells."""
    headers = {"content-type": "application/json"}
    request = shared.client.build_request(
        "POST", shared.at_farm("/marks"), content=pieces(JSON_LIMIT + 70_000), headers=headers
    )
    assert "content-length" not in request.headers
    is_problem(shared.client.send(request), 413)


def test_body_within_the_limit_is_read_even_in_pieces(shared, is_problem):
    answer = shared.client.post(
        shared.at_farm("/marks"),
        content=pieces(JSON_LIMIT - 70_000),
        headers={"content-type": "application/json"},
    )
    is_problem(answer, 422)  # blanks are no JSON; that it was read at all is the point


@pytest.mark.parametrize("caller", ["nobody", "auditor", "another farm's manager"])
def test_file_is_not_read_before_it_is_known_who_sends_it(shared, is_problem, caller):
    """51 MB from anybody would be kept on this machine's disk before they are refused."""
    read = []

    def form() -> Iterator[bytes]:
        yield b'--x\r\nContent-Disposition: form-data; name="file"; filename="a.json"\r\n\r\n'
        for piece in pieces(1_000_000):
            read.append(len(piece))
            yield piece
        yield b"\r\n--x--\r\n"

    def sent(client):
        headers = {"content-type": "multipart/form-data; boundary=x"}
        return client.post(shared.at_farm("/imports"), content=form(), headers=headers)

    if caller == "nobody":
        client, status = shared.stranger(), 401
    elif caller == "auditor":
        client, status = shared.account("auditor"), 403
    else:
        client, status = shared.account(None), 404
    is_problem(sent(client), status)
    assert read == []
    is_problem(sent(shared.client), 422)
    assert sum(read) == 1_000_000, "blanks are no map, but the manager's are read"


def test_file_over_the_limit_is_refused(shared, is_problem):
    assert guards._FILE_LIMIT == FILE_LIMIT
    headers = {"content-length": str(FILE_LIMIT + 1), "content-type": "multipart/form-data; boundary=x"}
    before = shared.contents()
    answer = shared.client.post(shared.at_farm("/imports"), content=b"x", headers=headers)
    is_problem(answer, 413)
    assert shared.contents() == before


@pytest.mark.parametrize(
    "body",
    [
        b"",
        b"--x",
        b"no form at all",
        b"--x\r\nContent-Disposition: form-data\r\n\r\n",
        b"--x\r\n\x00: y\r\n\r\n",
        b'--x\r\nContent-Disposition: form-data; name="file"\r\n\r\nno file\r\n--x--\r\n',
        b'--x\r\nContent-Disposition: form-data; name="crs"\r\n\r\n' + b"y" * 2_000_000 + b"\r\n--x--\r\n",
    ],
)
def test_form_that_is_none_is_no_fault_of_ours(shared, body):
    before = shared.contents()
    headers = {"content-type": "multipart/form-data; boundary=x"}
    answer = shared.client.post(shared.at_farm("/imports"), content=body, headers=headers)
    assert answer.status_code in {400, 422}
    assert answer.headers["content-type"] == "application/problem+json"
    assert shared.contents() == before


def test_form_over_the_limit_in_pieces_is_refused_and_nothing_kept(shared, is_problem, monkeypatch, caplog):
    """A smaller limit stands in for the real one; what is too large is no fault of ours and no fault in the log."""
    monkeypatch.setattr(guards, "_FILE_LIMIT", 100_000)
    before = shared.contents()

    def form() -> Iterator[bytes]:
        yield b'--x\r\nContent-Disposition: form-data; name="file"; filename="a.json"\r\n\r\n'
        yield from pieces(200_000)
        yield b"\r\n--x--\r\n"

    answer = shared.client.post(
        shared.at_farm("/imports"),
        content=form(),
        headers={"content-type": "multipart/form-data; boundary=x"},
    )
    is_problem(answer, 413)
    assert shared.contents() == before
    assert "unforeseen" not in caplog.text


@pytest.mark.parametrize("length", ["-1", "x", "²", "", "1e3", "9" * 30])
def test_length_that_is_none_is_no_fault_of_ours(shared, length):
    answer = shared.client.post(
        shared.at_farm("/crews"),
        content=b"{}",
        headers=[("content-length", length.encode()), ("content-type", "application/json")],
    )
    assert answer.status_code in {400, 413, 422}
    assert answer.headers["content-type"] == "application/problem+json"


@pytest.mark.parametrize(
    "path",
    [
        "/app/../pyproject.toml",
        "/app/..%2f..%2fpyproject.toml",
        "/app/%2e%2e/%2e%2e/etc/passwd",
        "/app/..%5c..%5cpyproject.toml",
        "/app//etc/passwd",
        "/app/%2fetc%2fpasswd",
        "/app/%00",
        "/app/" + "a" * 5000,
        "/app/....//....//etc/passwd",
        "/assets/../../pyproject.toml",
        "/assets/%2e%2e%2fpage.py",
        "/assets//etc/passwd",
        "/assets/%00",
    ],
)
def test_no_path_leads_out_of_the_folders(start, is_problem, tmp_path, path):
    web = tmp_path / "web" / "dist"
    web.mkdir(parents=True)
    (web / "index.html").write_text("<!doctype html><title>page</title>", "utf-8")
    (tmp_path / "web" / "secret.txt").write_text("secret", "utf-8")
    served = start(web_dir=str(web))
    assert served.client.get("/rows").status_code == 200
    is_problem(served.client.get(path), 404)
    is_problem(served.client.get("/app/..%2fsecret.txt"), 404)


def test_link_out_of_the_folder_is_not_followed(start, is_problem, tmp_path):
    web = tmp_path / "dist"
    web.mkdir()
    (web / "index.html").write_text("<!doctype html>", "utf-8")
    (web / "out.txt").symlink_to("/etc/passwd")
    is_problem(start(web_dir=str(web)).client.get("/app/out.txt"), 404)


def test_only_files_named_by_content_are_kept_for_good(start, tmp_path, monkeypatch):
    """Also where the folder is given from here: the page and its neighbours must be asked for anew."""
    monkeypatch.chdir(tmp_path)
    web = tmp_path / "dist"
    (web / "assets").mkdir(parents=True)
    for name in ("index.html", "touch-icon.png", "assets/index-BcD3f.js", "assets/plain.css"):
        (web / name).write_text("x", "utf-8")
    for folder in ("dist", str(web)):
        client = start(sqlite_url(tmp_path / f"{len(folder)}.sqlite"), web_dir=folder).client
        kept = {
            name: client.get(f"/app/{name}").headers["cache-control"]
            for name in ("index.html", "touch-icon.png", "assets/index-BcD3f.js", "assets/plain.css")
        }
        assert [name for name, said in kept.items() if "immutable" in said] == ["assets/index-BcD3f.js"]
        assert set(kept.values()) == {"no-cache", "public, max-age=31536000, immutable"}
        assert client.get("/rows").headers["cache-control"] == "no-cache"


def test_front_end_that_is_not_built_is_said(start, is_problem, tmp_path):
    told = is_problem(start(web_dir=str(tmp_path / "nowhere")).client.get("/"), 503)
    assert "make web" in json.dumps(told)


def test_request_log_holds_no_bodies_names_or_addresses(start, mark_json, caplog):
    caplog.set_level("INFO", logger="orchardmap")
    served = start(request_log=True)
    body = {"sent_at": NOW.isoformat(), "marks": [mark_json(served.farm, device_id="canary-tablet")]}
    answer = served.client.post(served.at_farm("/marks"), json=body)
    served.client.get(served.at_farm("/overview"), params={"day": "2026-01-20", "name": "canary"})
    served.client.post(served.at_farm("/crews"), json={"name": "canary crew"})
    lines = [json.loads(r.getMessage()) for r in caplog.records if r.getMessage().startswith("{")]
    assert [(one["method"], one["route"], one["status"]) for one in lines] == [
        ("POST", "/api/farms/{farm_id}/marks", 200),
        ("GET", "/api/farms/{farm_id}/overview", 200),
        ("POST", "/api/farms/{farm_id}/crews", 201),
    ]
    assert lines[0]["request"] == answer.headers["x-request-id"]
    assert "canary" not in caplog.text
    assert served.farm.farm.id not in json.dumps(lines)
