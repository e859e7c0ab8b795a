"""The page for trusting the farm's own certificates, on the service itself."""

from pathlib import Path

from fastapi import APIRouter, Request, Response
from fastapi.responses import HTMLResponse
from starlette.exceptions import HTTPException

from orchardmap.paper.screen_page import POLICY
from orchardmap.paper.trust_page import CERTIFICATE_PATH, TRUST_PATH
from orchardmap.usecases import network
from orchardmap_api.access import OPEN
from orchardmap_api.dependencies import ServiceSettings
from orchardmap_api.settings import Settings

__all__ = ["read_authority_of", "read_trust_page_of", "router"]

router = APIRouter(tags=["network"])
_AUTHORITY_TYPE = "application/x-x509-ca-cert"


@router.get(TRUST_PATH, response_class=HTMLResponse, dependencies=[OPEN])
def read_trust_page(request: Request, settings: ServiceSettings) -> Response:
    """Return the page that takes a tablet through trusting this farm's certificate."""
    return read_trust_page_of(request, settings)


@router.get(CERTIFICATE_PATH, response_class=Response, dependencies=[OPEN])
def read_authority(settings: ServiceSettings) -> Response:
    """Return the certificate of the farm's own authority (never its key)."""
    return read_authority_of(settings)


def read_trust_page_of(request: Request, settings: Settings) -> Response:
    """Answer with the page, for the host name that the visitor used."""
    host = request.url.hostname or settings.host
    host = f"[{host}]" if ":" in host else host
    page = network.trust_document(
        _folder(settings),
        trust_address=f"http://{host}{_port(settings.plain_port, 80)}{TRUST_PATH}",
        app_address=f"https://{host}{_port(settings.port, 443)}/",
    )
    return HTMLResponse(page, headers={"Content-Security-Policy": POLICY})


def read_authority_of(settings: Settings) -> Response:
    """Answer with the certificate; not as an attachment, which iPadOS would file away instead of installing."""
    return Response(network.trust_certificate(_folder(settings)), media_type=_AUTHORITY_TYPE)


def _folder(settings: Settings) -> Path:
    if not settings.certificates:
        raise HTTPException(404, "This service has no certificate of the farm's own")
    return Path(settings.certificates)


def _port(port: int, usual: int) -> str:
    return "" if port == usual else f":{port}"
