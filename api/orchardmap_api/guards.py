"""What every request passes: our own host name, same origin for changes, size limit, security headers on every answer."""

from collections.abc import MutableMapping
from typing import Any

from starlette.datastructures import Headers, MutableHeaders
from starlette.middleware.gzip import DEFAULT_EXCLUDED_CONTENT_TYPES, GZipMiddleware
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from orchardmap.maps.page import tile_host
from orchardmap.paper.brief_card_sheet import CARD_STYLE_HASHES
from orchardmap_api.errors import problem

__all__ = ["BodyLimit", "Compressed", "KnownHost", "SameOrigin", "SecurityHeaders"]

_SAFE = {"GET", "HEAD", "OPTIONS"}
_JSON_LIMIT = 2 * 1024 * 1024
_FILE_LIMIT = 51 * 1024 * 1024

PAGE_POLICY = (
    # a card shown in a frame of one of our pages goes by that page's policy too
    f"default-src 'none'; script-src 'self'; style-src 'self' {CARD_STYLE_HASHES}; img-src 'self' data:; font-src 'self'; connect-src 'self'; "
    "frame-src 'self'; manifest-src 'self'; worker-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'; "
    "object-src 'none'"
)


class KnownHost:
    """Refuse a request for a host name that is not ours, so that no other name can be pointed at this machine."""

    def __init__(self, app: ASGIApp, allowed: str) -> None:
        self.app = app
        self.allowed = {name.strip().lower() for name in allowed.split(",")} - {""}

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on, or answer 400."""
        if scope["type"] == "http" and _host_name(Headers(scope=scope)) not in self.allowed:
            answer = problem(400, "other-host", "This service does not go by that host name")
            await answer(scope, receive, send)
            return
        await self.app(scope, receive, send)


def _host_name(headers: Headers) -> str:
    """Return the host name asked for, without its port; an IPv6 address keeps its colons and loses its brackets."""
    said = headers.get("host", "").lower()
    if said.startswith("["):
        return said[1:].partition("]")[0]
    return said.partition(":")[0]


class SameOrigin:
    """Refuse changes that another site's page sends: the cookies are SameSite=Strict, and this holds without them too.

    A browser says where a request comes from: by Sec-Fetch-Site on a secure address, by Origin on
    any. A client that says neither is not a browser.
    """

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on, or answer 403."""
        if scope["type"] == "http" and scope["method"] not in _SAFE and not _from_here(Headers(scope=scope)):
            answer = problem(403, "other-origin", "Changes are taken from this service's own pages only")
            await answer(scope, receive, send)
            return
        await self.app(scope, receive, send)


def _from_here(headers: Headers) -> bool:
    site = headers.get("sec-fetch-site")
    if site is not None:
        return site in {"same-origin", "none"}
    origin, host = headers.get("origin"), headers.get("host")
    # compared whole: what is no address at all must be refused too, not trip over being parsed
    return origin is None or origin in {f"http://{host}", f"https://{host}"}


class SecurityHeaders:
    """Put the usual security headers on every answer; a route may have set a policy of its own."""

    def __init__(self, app: ASGIApp, *, https_only: bool = False, tile_url: str = "") -> None:
        self.app = app
        self.https_only = https_only
        host = tile_host(tile_url)
        # set-up draws blocks over the tiles that the farm chose for its map
        self.policy = PAGE_POLICY.replace("img-src 'self' data:", f"img-src 'self' data: {host}".rstrip())

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on and complete the answer's headers."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return

        async def send_with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                headers.setdefault("Content-Security-Policy", self.policy)
                headers.setdefault("X-Content-Type-Options", "nosniff")
                headers.setdefault("Referrer-Policy", "same-origin")
                headers.setdefault("Cross-Origin-Opener-Policy", "same-origin")
                headers.setdefault("Cross-Origin-Resource-Policy", "same-origin")
                headers.setdefault("Cache-Control", "no-store")
                if self.https_only:
                    headers.setdefault("Strict-Transport-Security", "max-age=31536000")
            await send(message)

        await self.app(scope, receive, send_with_headers)


class Compressed:
    """Compress answers of some size, for a farm's signal is weak.

    The length of a compressed answer may tell what is in it to whoever can have a secret and a guess put into the same
    answer, again and again, and sees the lengths (BREACH, 2013). Nobody can here: another site's page gets answers for
    nobody known (the cookies are SameSite=Strict), lasting secrets travel in headers alone, and a code, link or key that is
    shown once is in the answer to a change, which is taken from our own pages only and makes another one each time.
    """

    def __init__(self, app: ASGIApp) -> None:
        # these are compressed inside
        left_as_they_are = (*DEFAULT_EXCLUDED_CONTENT_TYPES, "application/pdf", "image/jpeg")
        self.app = GZipMiddleware(
            app, minimum_size=1_000, compresslevel=6, exclude_content_types=left_as_they_are
        )

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on and compress its answer where the client takes that."""

        async def send_weakly_tagged(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                if "content-encoding" in headers and headers.get("etag", "").startswith('"'):
                    # RFC 9110, section 8.8.1: a strong tag stands for these very bytes, and they differ now
                    headers["ETag"] = f"W/{headers['etag']}"
            await send(message)

        await self.app(scope, receive, send_weakly_tagged)


class BodyLimit:
    """Refuse a body that is too large, by what it says and by what really comes."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on, or answer 413."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        limit = _FILE_LIMIT if scope["path"].endswith("/imports") else _JSON_LIMIT
        said = Headers(scope=scope).get("content-length", "0")
        if said.isdigit() and int(said) > limit:
            await _too_large(limit)(scope, receive, send)
            return
        await self._counted(scope, receive, send, limit)

    async def _counted(self, scope: Scope, receive: Receive, send: Send, limit: int) -> None:
        seen: MutableMapping[str, Any] = {"bytes": 0, "answered": False, "over": False}

        async def receive_counted() -> Message:
            message = await receive()
            seen["bytes"] += len(message.get("body", b""))
            if seen["bytes"] > limit:
                seen["over"] = True
                return {"type": "http.disconnect"}
            return message

        async def send_unless_over(message: Message) -> None:
            if not seen["over"]:
                seen["answered"] = True
                await send(message)

        try:
            await self.app(scope, receive_counted, send_unless_over)
        finally:
            if seen["over"] and not seen["answered"]:
                await _too_large(limit)(scope, receive, send)


def _too_large(limit: int) -> Any:  # noqa: ANN401 - a Starlette response
    return problem(
        413, "too-large", "Too much was sent at once", detail=f"The limit here is {limit // 1024 // 1024} MB."
    )
