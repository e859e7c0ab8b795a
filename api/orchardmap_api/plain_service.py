"""What answers on plain http beside the https service: the page for trusting its certificate, and the way to https."""

import logging

from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from orchardmap.paper.trust_page import CERTIFICATE_PATH, TRUST_PATH
from orchardmap_api.errors import Unforeseen, problem
from orchardmap_api.guards import KnownHost, SecurityHeaders
from orchardmap_api.routes.network import read_authority_of, read_trust_page_of
from orchardmap_api.settings import Settings

__all__ = ["create_plain_app"]


def create_plain_app(settings: Settings) -> Starlette:
    """Return the plain-http service: no data, no sign-in, no database.

    Strict-Transport-Security is never sent by either service: it holds for a host on all its ports,
    and would lock out the page that a new tablet needs first.
    """

    def trust(request: Request) -> Response:
        return read_trust_page_of(request, settings)

    def authority(_request: Request) -> Response:
        return read_authority_of(settings)

    def elsewhere(request: Request) -> Response:
        if request.method not in {"GET", "HEAD"}:
            return problem(403, "https-only", "Changes are taken over https only")
        if request.url.path == "/":
            return RedirectResponse(TRUST_PATH)
        return RedirectResponse(str(request.url.replace(scheme="https", port=settings.port)))

    every_method = ["GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS"]
    app = Starlette(
        routes=[
            Route(TRUST_PATH, trust),
            Route(CERTIFICATE_PATH, authority),
            Route("/{rest:path}", elsewhere, methods=every_method),
        ]
    )
    app.add_middleware(Unforeseen, log=logging.getLogger("orchardmap"))
    app.add_middleware(KnownHost, allowed=settings.allowed_hosts)
    app.add_middleware(SecurityHeaders)
    return app
