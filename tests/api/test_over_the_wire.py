"""The running service over a real socket: what no client library would send. It answers 4xx or hangs up, and stays up."""

import json
import socket
from collections.abc import Iterator
from contextlib import suppress
from datetime import UTC, datetime

import pytest

from orchardmap.store.session import open_store, sqlite_url
from servers import Server, served
from signing import signed_in
from small_farm import SmallFarm, small_farm

JSON_LIMIT = 2 * 1024 * 1024
TOKEN = "token-of-the-manager-in-these-tests"


@pytest.fixture(scope="module")
def running(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Server, SmallFarm]]:
    """The small farm, served by `orchardmap serve`."""
    url = sqlite_url(tmp_path_factory.mktemp("wire") / "service.sqlite")
    store = open_store(url)
    farm = small_farm(store)
    signed_in(store, {farm.farm.id: ("manager", None)}, token=TOKEN, makes_farms=True, now=datetime.now(UTC))
    store.close()
    with served(url) as server:
        yield server, farm


def say(server: Server, *parts: bytes, hang_up: bool = False) -> bytes:
    """Send bytes and return all that comes back until the service closes."""
    host, port = server.address.removeprefix("http://").rsplit(":", 1)
    answer = b""
    with socket.create_connection((host, int(port)), timeout=20) as line, suppress(OSError):
        with suppress(OSError):  # it may hang up first; what it said before is still to read
            for part in parts:
                line.sendall(part)
            if hang_up:
                line.shutdown(socket.SHUT_WR)
        while piece := line.recv(65_536):
            answer += piece
    return answer


def status(answer: bytes) -> int:
    return int(answer.split(b" ", 2)[1])


def head(method: str, path: str, *lines: str) -> bytes:
    return "\r\n".join([
        f"{method} {path} HTTP/1.1", "Host: localhost", "Connection: close", f"Authorization: Bearer {TOKEN}", *lines, "", "",
    ]).encode("latin-1")  # fmt: skip


def alive(server: Server) -> bool:
    return status(say(server, head("GET", "/readyz"))) == 200


def test_chunked_body_over_the_limit_is_refused_as_it_comes(running):
    """Not one of these pieces says how much is coming; the last never comes."""
    server, farm = running
    start = head(
        "POST",
        f"/api/farms/{farm.farm.id}/marks",
        "Content-Type: application/json",
        "Transfer-Encoding: chunked",
    )
    piece = b"%x\r\n" % 65_536 + b" " * 65_536 + b"\r\n"
    answer = say(server, start, *[piece] * (JSON_LIMIT // 65_536 + 1))
    assert status(answer) == 413
    assert b"application/problem+json" in answer
    assert b"content-security-policy" in answer.lower()
    assert json.loads(answer.partition(b"\r\n\r\n")[2])["detail"] == "The limit here is 2 MB."
    assert "unforeseen" not in "".join(server.said)
    assert alive(server)


def test_chunked_body_within_the_limit_is_taken(running):
    server, _ = running
    body = json.dumps({"name": "In Pieces", "time_zone": "UTC"}).encode()
    pieces = b"".join(b"1\r\n" + bytes([sign]) + b"\r\n" for sign in body) + b"0\r\n\r\n"
    start = head("POST", "/api/farms", "Content-Type: application/json", "Transfer-Encoding: chunked")
    assert status(say(server, start, pieces)) == 201


DAMAGED = {
    "not HTTP": b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc",
    "bare line feeds": b"GET /healthz HTTP/1.1\nHost: localhost\nConnection: close\n\n",
    "no host": b"GET /api/farms HTTP/1.1\r\n\r\n",
    "two hosts": head("GET", "/api/farms", "Host: evil.example"),
    "whole address of another host": b"GET http://evil.example/api/farms HTTP/1.1\r\nHost: evil.example\r\nConnection: close\r\n\r\n",
    "NUL in a header": head("GET", "/api/farms", "X-A: a\x00b"),
    "NUL in the address": head("GET", "/app/\x00"),
    "space in the address": head("GET", "/api/far ms"),
    "raw bytes in the address": head("GET", "/app/\xff\xfe"),
    "broken escape in the address": head("GET", "/app/%zz%"),
    "overlong UTF-8 dots": head("GET", "/app/%c0%ae%c0%ae/pyproject.toml"),
    "climbing address": head("GET", "/app/../../../../etc/passwd"),
    "huge header": head("GET", "/api/farms", "X-A: " + "a" * 200_000),
    "huge address": head("GET", "/" + "a" * 200_000),
    "length and chunks": head(
        "POST", "/api/farms", "Content-Length: 3", "Transfer-Encoding: chunked"
    ) + b"0\r\n\r\nGET /healthz HTTP/1.1\r\nHost: localhost\r\n\r\n",
    "two lengths": head("POST", "/api/farms", "Content-Length: 2", "Content-Length: 40") + b"{}",
    "negative length": head("POST", "/api/farms", "Content-Length: -1"),
    "broken chunk": head("POST", "/api/farms", "Transfer-Encoding: chunked") + b"zz\r\n{}\r\n",
    "chunk without an end": head("POST", "/api/farms", "Transfer-Encoding: chunked") + b"ffffffffffffffff\r\n{}",
    "body cut off": head("POST", "/api/farms", "Content-Type: application/json", "Content-Length: 400") + b'{"na',
    "form cut off": head(
        "POST", "/api/farms/00000000-0000-7000-8000-000000000000/imports",
        "Content-Type: multipart/form-data; boundary=x", "Content-Length: 400",
    ) + b'--x\r\nContent-Disposition: form-data; name="file"; filename="a"\r\n\r\nabc',
    "form without a boundary": head(
        "POST", "/api/farms/00000000-0000-7000-8000-000000000000/imports",
        "Content-Type: multipart/form-data", "Content-Length: 3",
    ) + b"abc",
    "unknown method": head("BREW", "/api/farms"),
    "unknown encoding": head("POST", "/api/farms", "Content-Encoding: gzip", "Content-Length: 2") + b"\x1f\x8b",
    "upgrade": head("GET", "/api/farms", "Upgrade: websocket", "Connection: Upgrade", "Sec-WebSocket-Version: 13"),
}  # fmt: skip


CUT_OFF = {"chunk without an end", "body cut off", "form cut off"}
HARMLESS = {"upgrade", "bare line feeds"}
"""An upgrade that is not offered may be passed over, and line ends may be bare (RFC 9112, section 2.2)."""


@pytest.mark.parametrize("damage", DAMAGED)
def test_damaged_request_does_no_harm(running, damage):
    server, _ = running
    answer = say(server, DAMAGED[damage], hang_up=damage in CUT_OFF)
    if damage not in CUT_OFF:
        assert 200 <= status(answer) < 300 if damage in HARMLESS else 400 <= status(answer) < 500
        assert answer.count(b"HTTP/1.1 ") == 1, "what is smuggled behind a request is no request"
    assert b"root:" not in answer
    assert alive(server)
    assert "unforeseen" not in "".join(server.said)


def test_service_says_nothing_of_what_it_runs_on(running):
    answer = say(running[0], head("GET", "/healthz")).lower()
    for word in (b"server:", b"uvicorn", b"python", b"fastapi", b"x-powered-by"):
        assert word not in answer
