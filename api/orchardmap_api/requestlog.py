"""One line of JSON for each request: when, what, how long. No bodies, no names, no addresses of people."""

import json
import logging
import time
import uuid
from datetime import UTC, datetime

from starlette.datastructures import MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

__all__ = ["RequestLog"]


class RequestLog:
    """Log each request by its route's template, under an id that the answer carries too."""

    def __init__(self, app: ASGIApp, log: logging.Logger) -> None:
        self.app = app
        self.log = log

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on and write its line."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        number, began = str(uuid.uuid4()), time.perf_counter()
        told: dict[str, object] = {"status": 0}

        async def send_numbered(message: Message) -> None:
            if message["type"] == "http.response.start":
                told["status"] = message["status"]
                MutableHeaders(scope=message)["X-Request-Id"] = number
            await send(message)

        try:
            await self.app(scope, receive, send_numbered)
        finally:
            route = getattr(scope.get("route"), "path", "")
            line = {
                "at": datetime.now(UTC).isoformat(timespec="milliseconds"),
                "request": number,
                "method": scope["method"],
                "route": route,
                "status": told["status"],
                "ms": round((time.perf_counter() - began) * 1000, 1),
            }
            self.log.info(json.dumps(line))
