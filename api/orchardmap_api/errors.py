"""Every error as a problem document (RFC 9457), from one table; nothing of what was sent is echoed. Whoever opens an address in a browser reads it as a page."""

import logging
import uuid
from collections.abc import Mapping, Sequence

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import HTMLResponse, JSONResponse, Response
from starlette.exceptions import HTTPException
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from orchardmap.errors import (
    ChangedError,
    ConflictError,
    GoneError,
    ImportFileError,
    InputError,
    LockedError,
    NewerClientError,
    NoPasswordError,
    NotAllowedError,
    OrchardmapError,
    OutlineError,
    PaperError,
    ParameterError,
    RecordError,
    RevokedError,
    SignInError,
    StoreError,
    UnconfirmedError,
    UnfitBriefError,
    UnknownError,
)
from orchardmap.paper.problem_page import problem_page
from orchardmap.paper.screen_page import POLICY
from orchardmap_api.upcasting import RECORD_KINDS, WIRE_VERSION

__all__ = ["PROBLEMS", "Unforeseen", "install_problem_handlers", "problem"]

PROBLEMS: Mapping[type[OrchardmapError], tuple[int, str, str]] = {
    InputError: (422, "input", "What was sent cannot be used"),
    OutlineError: (422, "outline", "The outline cannot be used"),
    ImportFileError: (422, "import-file", "The file cannot be read"),
    RecordError: (422, "record", "The record is not well formed"),
    ParameterError: (400, "parameter", "A parameter cannot be used"),
    UnfitBriefError: (422, "unfit-brief", "The brief cannot be published yet"),
    NewerClientError: (426, "newer-client", "A newer version sent this"),
    UnknownError: (404, "unknown", "Not known here"),
    ConflictError: (409, "conflict", "It is there already"),
    ChangedError: (409, "changed", "It was changed meanwhile"),
    PaperError: (501, "paper", "This machine cannot make paper"),
    SignInError: (401, "sign-in", "Nobody known is asking"),
    RevokedError: (401, "revoked-device", "This tablet was revoked"),
    NotAllowedError: (403, "not-allowed", "That is not for you to do"),
    UnconfirmedError: (403, "unconfirmed", "Your password is asked for again"),
    NoPasswordError: (403, "no-password", "A password is needed for that"),
    GoneError: (410, "gone", "It is used up or too old"),
    LockedError: (429, "locked", "Too many wrong tries"),
    StoreError: (503, "store", "The database cannot do it now"),
}
"""Error class -> status, last part of the problem type, title."""

_FEW = 20
_HEADERS: Mapping[int, Mapping[str, str]] = {
    401: {"WWW-Authenticate": "Bearer"},  # RFC 9110, section 15.5.2: a 401 says what would help
    503: {"Retry-After": "5"},
    426: {
        "Retry-After": "3600",
        "Upgrade": f"orchardmap-records/{WIRE_VERSION}",  # RFC 9110, 15.5.22 asks for it
    },
}


def problem(
    status: int, kind: str, title: str, *, headers: Mapping[str, str] | None = None, **more: object
) -> JSONResponse:
    """Return a problem document."""
    told = {key: value for key, value in more.items() if value}
    body = {"type": f"urn:orchardmap:problem:{kind}", "title": title, "status": status, **told}
    return JSONResponse(
        body, status_code=status, media_type="application/problem+json", headers=dict(headers or {})
    )


# what programs ask for; everything else is an address that people open
_FOR_PROGRAMS = ("/api/", "/ogc", "/app/", "/assets/")


def _is_opened(request: Request) -> bool:
    """Tell whether a browser opens this address as a page (its `Accept` says so), not a script or a frame's own reading."""
    if request.method != "GET" or request.url.path.startswith(_FOR_PROGRAMS):
        return False
    return "text/html" in request.headers.get("accept", "")


def _told(
    request: Request,
    status: int,
    kind: str,
    title: str,
    *,
    headers: Mapping[str, str] | None = None,
    **more: object,
) -> Response:
    """Return what went wrong as a page to whoever opens one, else as a problem document."""
    if not _is_opened(request):
        return problem(status, kind, title, headers=headers, **more)
    where = str(more.get("where") or "")
    sentences = [
        str(more.get("detail") or ""),
        f"Where: {where}" if where else "",
        str(more.get("todo") or ""),
    ]
    policy = {"Content-Security-Policy": POLICY, "Cache-Control": "no-store"}
    return HTMLResponse(problem_page(title, sentences), status, headers={**(headers or {}), **policy})


def _ours(request: Request, error: Exception) -> Response:
    assert isinstance(error, OrchardmapError)  # noqa: S101 - registered for this class alone
    status, kind, title = PROBLEMS[type(error)]
    headers = dict(_HEADERS.get(status, {}))
    if isinstance(error, LockedError):
        headers = {"Retry-After": str(error.retry_after_s)}
    told: dict[str, object] = {"detail": error.what, "where": error.where, "todo": error.todo}
    if isinstance(error, UnfitBriefError):
        told["errors"] = list(error.faults)
    return _told(request, status, kind, title, headers=headers, **told)


def _not_valid(request: Request, error: Exception) -> Response:
    assert isinstance(error, RequestValidationError)  # noqa: S101 - registered for this class alone
    # the rejected value stays out: it may be a secret, or a number that JSON cannot carry back
    # and an unknown key is named only as far as a reader needs to find it
    found = [
        {"where": ".".join(str(part)[:60] for part in e["loc"]), "what": e["msg"]} for e in error.errors()
    ]
    for one in found:
        one["where"] = one["where"].encode("utf-8", "replace").decode()
    first = found[0] if found else {"where": "", "what": ""}
    return _told(
        request,
        422,
        "request",
        "The request is not valid",
        detail=first["what"],
        where=first["where"],
        errors=_listed(found),
    )


def _listed(found: Sequence[dict[str, str]]) -> list[dict[str, str]]:
    """Return the first few errors, and of a batch of records at least one of each record that is wrong.

    A tablet puts those records aside and sends the rest.
    """
    listed: list[dict[str, str]] = []
    named: set[tuple[str, ...]] = set()
    for one in found:
        part = tuple(one["where"].split(".")[1:3])
        is_first_of_record = len(part) == 2 and part[0] in RECORD_KINDS and part not in named
        named.add(part)
        if is_first_of_record or len(listed) < _FEW:
            listed.append(one)
    return listed


def _http(request: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException)  # noqa: S101 - registered for this class alone
    detail = "Nothing here goes by this address." if error.status_code == 404 else ""
    return _told(request, error.status_code, "http", str(error.detail), headers=error.headers, detail=detail)


class Unforeseen:
    """Answer an error that nobody foresaw as a problem document, inside the guards, so that it too gets their headers."""

    def __init__(self, app: ASGIApp, log: logging.Logger) -> None:
        self.app = app
        self.log = log

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on; answer 500 where that fails before an answer has begun."""
        begun = False

        async def send_noted(message: Message) -> None:
            nonlocal begun
            begun = True
            await send(message)

        try:
            await self.app(scope, receive, send_noted)
        except Exception as error:
            if scope["type"] != "http" or begun:
                raise
            number = str(uuid.uuid4())
            self.log.exception("unforeseen error %s", number, exc_info=error)
            answer = problem(
                500,
                "unforeseen",
                "Something went wrong here",
                detail="It was written to the log.",
                where=number,
            )
            await answer(scope, receive, send)


def install_problem_handlers(app: FastAPI) -> None:
    """Answer every foreseen error of an app with a problem document."""
    for kind in PROBLEMS:
        app.add_exception_handler(kind, _ours)
    app.add_exception_handler(RequestValidationError, _not_valid)
    app.add_exception_handler(HTTPException, _http)
