"""The two cookies, and the token that a script sends instead."""

from base64 import b64decode

from fastapi import Request, Response

from orchardmap.model.access import DEVICE_IDLE, SESSION_LIFE
from orchardmap.usecases.reading_keys import is_reading_key
from orchardmap_api.settings import Settings

__all__ = [
    "device_token",
    "drop_session",
    "give_device",
    "give_session",
    "is_secure",
    "own_address",
    "reading_key",
    "reads_features",
    "session_token",
]

SESSION, DEVICE = "orchardmap_session", "orchardmap_device"


def own_address(request: Request) -> str:
    """Return the address that browsers use for this service: the setting, else what was asked for (a known host)."""
    settings: Settings = request.app.state.settings
    return settings.public_address.rstrip("/") or str(request.base_url).rstrip("/")


def is_secure(request: Request) -> bool:
    """Tell whether browsers come by https: then a cookie must never travel otherwise."""
    return own_address(request).startswith("https://")


def _name(request: Request, plain: str) -> str:
    # a browser takes __Host- cookies from this very host over https alone: nobody beside it can plant one
    return f"__Host-{plain}" if is_secure(request) else plain


def session_token(request: Request) -> str | None:
    """Return the session's token: of the Authorization header where there is one, else of the cookie."""
    scheme, _, said = request.headers.get("authorization", "").partition(" ")
    if scheme.lower() == "bearer":
        return said.strip()
    if scheme.lower() == "basic" and reads_features(request):
        return _basic_password(said)
    return None if scheme else request.cookies.get(_name(request, SESSION))


def reading_key(request: Request) -> str | None:
    """Return the reading key that a request carries: in its Authorization header alone, for a key is no browser's."""
    said = session_token(request) if "authorization" in request.headers else None
    return said if said is not None and is_reading_key(said) else None


def reads_features(request: Request) -> bool:
    """Tell whether a request only reads below ``/ogc``.

    There alone a reading key opens anything, and a token may be the password of HTTP Basic (RFC 7617): desktop programs
    know nothing else.
    """
    return request.method in {"GET", "HEAD"} and f"{request.url.path}/".startswith("/ogc/")


def _basic_password(said: str) -> str | None:
    try:
        _, sign, password = b64decode(said.strip(), validate=True).decode("ascii").partition(":")
    except ValueError:
        return None
    return password if sign else None


def device_token(request: Request) -> str | None:
    """Return the tablet's token; a script that sends a session's token is no tablet."""
    return None if "authorization" in request.headers else request.cookies.get(_name(request, DEVICE))


def give_session(request: Request, response: Response, token: str) -> None:
    """Set the session's cookie."""
    _give(request, response, SESSION, token, int(SESSION_LIFE.total_seconds()))


def give_device(request: Request, response: Response, token: str) -> None:
    """Set the tablet's cookie."""
    # browsers keep no cookie longer than 400 days; each pairing sets a new one
    _give(request, response, DEVICE, token, 2 * int(DEVICE_IDLE.total_seconds()))


def drop_session(request: Request, response: Response) -> None:
    """Take the session's cookie away."""
    _give(request, response, SESSION, "", 0)


def _give(request: Request, response: Response, plain: str, token: str, max_age: int) -> None:
    response.set_cookie(
        _name(request, plain),
        token,
        max_age=max_age,
        path="/",
        secure=is_secure(request),
        httponly=True,
        samesite="strict",
    )
