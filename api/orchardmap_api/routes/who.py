"""Who is here: first start, signing in and out, one's own password."""

from typing import Any

from fastapi import APIRouter, Request, Response

from orchardmap.usecases import accounts, confirming, new_password, signing_in, whoami
from orchardmap_api.access import OPEN, AnyCaller, FarmCaller, account_only
from orchardmap_api.access_schemas import CodeBody, ConfirmBody, FirstStartBody, PasswordBody, SignInBody
from orchardmap_api.cookies import drop_session, give_session, session_token
from orchardmap_api.dependencies import Now, ServiceStore, address_of

router = APIRouter(prefix="/api", tags=["who"])
Json = dict[str, Any]


@router.get("/who", dependencies=[OPEN])
def read_who(store: ServiceStore, caller: AnyCaller, now: Now) -> Json:
    """Return who asks: nobody, an account or a tablet, and on which farms it is what."""
    return whoami.who_json(store, caller, now=now)


def _signed_in(request: Request, response: Response, store: ServiceStore, token: str, now: Now) -> Json:
    give_session(request, response, token)
    caller = signing_in.caller_of(store, session=token, device=None, now=now)
    return whoami.who_json(store, caller, now=now)


@router.post("/first-start", status_code=201, dependencies=[OPEN])
def begin(body: FirstStartBody, request: Request, response: Response, store: ServiceStore, now: Now) -> Json:
    """Make the first account, by the token that the service printed when it started."""
    token = accounts.first_start(store, **body.model_dump(), now=now)
    return _signed_in(request, response, store, token, now)


@router.post("/sign-in", dependencies=[OPEN])
def sign_in(body: SignInBody, request: Request, response: Response, store: ServiceStore, now: Now) -> Json:
    """Sign in by login and password."""
    token = signing_in.sign_in(
        store, **body.model_dump(), address=address_of(request), known=session_token(request), now=now
    )
    return _signed_in(request, response, store, token, now)


@router.post("/sign-in/link", dependencies=[OPEN])
def sign_in_by_link(
    body: CodeBody, request: Request, response: Response, store: ServiceStore, now: Now
) -> Json:
    """Sign in by a one-time link."""
    token = signing_in.sign_in_by_link(store, code=body.code, now=now)
    return _signed_in(request, response, store, token, now)


@router.post("/sign-out", status_code=204, dependencies=[OPEN])
def sign_out(request: Request, response: Response, store: ServiceStore, caller: AnyCaller, now: Now) -> None:
    """End the session; who is signed out already is, too."""
    signing_in.sign_out(store, caller, session=session_token(request) or "", now=now)
    drop_session(request, response)


@router.post("/confirm", status_code=204, dependencies=[account_only])
def confirm(body: ConfirmBody, request: Request, store: ServiceStore, caller: FarmCaller, now: Now) -> None:
    """Give one's own password once more: what weighs most is then done for ten minutes."""
    session = session_token(request) or ""
    confirming.confirm(store, caller, session=session, password=body.password, now=now)


@router.post("/password", status_code=204, dependencies=[account_only])
def set_password(
    body: PasswordBody, request: Request, store: ServiceStore, caller: FarmCaller, now: Now
) -> None:
    """Set one's own password; all other sessions of the account end. A fresh one-time link stands for the old one, once."""
    session = session_token(request) or ""
    new_password.change_password(store, caller=caller, session=session, **body.model_dump(), now=now)
