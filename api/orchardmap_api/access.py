"""Who asks, and may they: every route names a dependency of this module, and the service does not start where one does not."""

from collections.abc import Callable
from datetime import datetime
from typing import Annotated, Any
from uuid import UUID

from fastapi import BackgroundTasks, Depends, FastAPI, Request
from fastapi.exceptions import RequestValidationError

from orchardmap.errors import NotAllowedError, OrchardmapError, RevokedError, SignInError, UnknownError
from orchardmap.model.access import ACCOUNT_ROLES, NOBODY, AccessRole, Caller, Grant
from orchardmap.model.people import Sender
from orchardmap.store.session import Store
from orchardmap.usecases import audit, confirming, places, reading_keys, signing_in, whoami
from orchardmap_api.cookies import device_token, reading_key, reads_features, session_token
from orchardmap_api.denials import Denials
from orchardmap_api.dependencies import Now, ServiceStore

__all__ = [
    "OPEN", "READERS", "AnswersForFarm", "AnyCaller", "Confirmed", "FarmCaller", "FarmSender", "NamedRoles", "account_only", "device_only", "every_route",
    "known", "makes_farms", "needs", "refuse_unguarded",
]  # fmt: skip

READERS: tuple[AccessRole, ...] = ACCOUNT_ROLES
"""What is no secret of a farm to those who work for it."""
_MARK = "orchardmap_access"


def _caller(request: Request, store: ServiceStore, now: Now, later: BackgroundTasks) -> Caller:
    key = reading_key(request)
    if key is not None:
        return _by_key(request, store, key, now, later)
    session = session_token(request)
    found = signing_in.caller_of(store, session=session, device=device_token(request), now=now)
    if found.is_seen_long_ago(now):
        later.add_task(signing_in.touch, store, found, session=session, now=now)
    return found


def _by_key(request: Request, store: Store, key: str, now: datetime, later: BackgroundTasks) -> Caller:
    """Return who asks by a reading key; elsewhere than below /ogc it is not even looked for."""
    found = reading_keys.caller_of_key(store, key, now) if reads_features(request) else NOBODY
    if found.key is not None and found.is_seen_long_ago(now):
        later.add_task(reading_keys.touch, store, found.key, now)
    return found


AnyCaller = Annotated[Caller, Depends(_caller)]


def _rule(check: Callable[..., Any]) -> Any:  # noqa: ANN401 - FastAPI's own marker
    setattr(check, _MARK, True)
    return Depends(check)


async def _open() -> None:
    """Let anybody in: nothing of a farm is here."""


OPEN = _rule(_open)


def needs(
    *roles: AccessRole,
    confirmed: bool = False,
    also: Callable[[Request, Grant], bool] | None = None,
) -> Any:  # noqa: ANN401 - FastAPI's own marker
    """Let in who has one of these roles on the farm that the address names.

    Parameters
    ----------
    *roles : str
        The farm is that of the address: by ``farm_id``, ``block_id``, ``lot_id``, ``photo_id``, ``return_id``, an import's ``token``, or
        ``?farm=`` of a page.
    confirmed : bool
        The password must have been given within the last ten minutes.
    also : callable, optional
        Whether what the address names is for that grant besides.

    Notes
    -----
    Nobody known: 401. Nothing on that farm: 404, as for an id that is not there. Another role, or a
    password given too long ago: 403.
    """

    def check(request: Request, store: ServiceStore, now: Now, later: BackgroundTasks) -> None:
        caller = _caller(request, store, now, later)
        try:
            _refuse_nobody(request, caller)
            kind, value = _named(request)
            farm_id = places.farm_of(store, kind, value, caller.grants)
            grant = caller.grants[farm_id]
            if grant.role not in roles or (also is not None and not also(request, grant)):
                asker = grant.role if caller.key is None else "reading key of the work alone"
                raise NotAllowedError(f"that is not for a {asker} to do", todo="Ask a manager of the farm.")
            if confirmed:
                confirming.refuse_unconfirmed(store, caller, now)
        except OrchardmapError as error:
            _note(request, store, caller, error, now=now)
            raise
        request.state.caller, request.state.farm_id = caller, farm_id

    return _rule(check)


def _named(request: Request) -> tuple[str, str]:
    """Return what the address names and its id.

    Raises
    ------
    RequestValidationError
        If that is no id: the route would say so too, but nothing of ours is asked about it before.
    """
    for kind in ("farm_id", "block_id", "lot_id", "photo_id", "return_id", "token"):
        if kind in request.path_params:
            place, value = "path", str(request.path_params[kind])
            break
    else:
        kind, place, value = "farm_id", "query", request.query_params.get("farm", "")
    if kind == "token":
        # only what a token can be is looked up; anything else is unknown, on every engine alike
        return kind, value if value.isascii() and value.replace("-", "").replace("_", "").isalnum() else ""
    try:
        return kind, str(UUID(value))
    except ValueError as error:
        named = {"loc": (place, "farm" if place == "query" else kind), "msg": "is not an id", "type": "uuid"}
        raise RequestValidationError([named]) from error


def _refuse_nobody(request: Request, caller: Caller) -> None:
    if caller.lapsed == "device":
        raise RevokedError("this tablet was revoked", todo="Pair it again: what is on it is kept.")
    if caller.is_nobody and reading_key(request) is not None:
        raise _key_refused(is_elsewhere=not reads_features(request), has_ended=caller.lapsed == "key")
    if caller.is_nobody:
        raise SignInError("nobody is signed in here", todo="Sign in, or pair the tablet.")


def _key_refused(*, is_elsewhere: bool, has_ended: bool) -> SignInError:
    """Return what the owner of a program is told in whose settings the key stands."""
    if is_elsewhere:
        return SignInError(
            "a reading key reads the farm's features below /ogc, and opens nothing else",
            todo="Give your program the address that was shown with the key.",
        )
    if has_ended:
        return SignInError(
            "this reading key has ended",
            todo="Have a manager of the farm make a new one (People, Reading keys), and put it where this one stands.",
        )
    return SignInError(
        "this reading key is not known here",
        todo="Copy it again, whole; if it is lost, a manager of the farm makes a new one (People, Reading keys).",
    )


def _note(request: Request, store: Store, caller: Caller, error: OrchardmapError, *, now: datetime) -> None:
    """Keep a denial of somebody known, within bounds."""
    if caller.is_nobody and not caller.lapsed:
        return  # anybody could fill the log
    route = f"{request.method} {getattr(request.scope.get('route'), 'path', '')}"
    where = error.where
    status = 403 if isinstance(error, NotAllowedError) else 404 if isinstance(error, UnknownError) else 401
    denials: Denials = request.app.state.denials
    left_out = denials.to_tell(f"{caller.actor} {caller.lapsed}", (route, where), now)
    if left_out is None:
        return
    farm_id = request.path_params.get("farm_id")
    mine = farm_id if farm_id in caller.grants else None
    asked = (route, where, status)
    audit.note_denied(store, caller, asked=asked, left_out=left_out, farm_id=mine, now=now)


def _known(request: Request, store: ServiceStore, now: Now, caller: AnyCaller) -> None:
    try:
        _refuse_nobody(request, caller)
    except OrchardmapError as error:
        _note(request, store, caller, error, now=now)
        raise
    request.state.caller = caller


def _account(request: Request, store: ServiceStore, now: Now, caller: AnyCaller) -> None:
    _only(request, store, caller, may=caller.account is not None, now=now)


def _device(request: Request, store: ServiceStore, now: Now, caller: AnyCaller) -> None:
    _only(request, store, caller, may=caller.device is not None, now=now)


def _makes_farms(request: Request, store: ServiceStore, now: Now, caller: AnyCaller) -> None:
    _only(request, store, caller, may=caller.account is not None and caller.account.makes_farms, now=now)


def _only(request: Request, store: Store, caller: Caller, *, may: bool, now: datetime) -> None:
    try:
        _refuse_nobody(request, caller)
        if not may:
            raise NotAllowedError("that is not for you to do", todo="Ask a manager of the farm.")
    except OrchardmapError as error:
        _note(request, store, caller, error, now=now)
        raise
    request.state.caller = caller


known = _rule(_known)
"""Let in anybody known, whatever the farm: the answer holds only what is theirs."""
account_only = _rule(_account)
device_only = _rule(_device)
makes_farms = _rule(_makes_farms)


def _let_in(request: Request) -> Caller:
    # unset where no rule of this module ran: an error then, never somebody let in by mistake
    caller: Caller = request.state.caller
    return caller


# those below wait for nothing: a thread of the pool for each would cost a request more than they do
async def _told_caller(request: Request) -> Caller:
    return _let_in(request)


async def _confirmed(request: Request, store: ServiceStore, now: Now) -> Callable[[], None]:
    def refuse() -> None:
        caller = _let_in(request)
        try:
            confirming.refuse_unconfirmed(store, caller, now)
        except OrchardmapError as error:
            _note(request, store, caller, error, now=now)
            raise

    return refuse


async def _sender(request: Request) -> Sender:
    caller = _let_in(request)
    grant: Grant = caller.grants[request.state.farm_id]
    crew_id = grant.crew_id if grant.role == "foreman" else None
    return Sender(caller.id, crew_id, is_tablet=caller.device is not None)


async def _answers_for_farm(request: Request) -> bool:
    return _let_in(request).grants[request.state.farm_id].role == "manager"


async def _named_roles(request: Request) -> tuple[str, ...] | None:
    return whoami.named_roles(_let_in(request), request.state.farm_id)


FarmCaller = Annotated[Caller, Depends(_told_caller)]
"""Who was let in by the route's rule."""
Confirmed = Annotated[Callable[[], None], Depends(_confirmed)]
"""Called by a route that needs a password given lately for some of what may be asked: it refuses where it was not."""
FarmSender = Annotated[Sender, Depends(_sender)]
"""Who hands records in; only with ``needs(...)``."""
AnswersForFarm = Annotated[bool, Depends(_answers_for_farm)]
"""Whether who was let in is a manager there, for what an auditor may do as well but not always; only with ``needs(...)``."""
NamedRoles = Annotated[tuple[str, ...] | None, Depends(_named_roles)]
"""Roles of the people whose names the caller may know, None for all; only with ``needs(...)``."""


def every_route(found: Any) -> list[Any]:  # noqa: ANN401 - Starlette's routes
    """Return all routes of an app; included routers keep theirs inside."""
    listed = []
    for route in found:
        inner = getattr(route, "original_router", None)
        listed += [route] if inner is None else every_route(inner.routes)
    return listed


def refuse_unguarded(app: FastAPI) -> None:
    """Stop the service from being made with a route that names no rule of this module.

    Raises
    ------
    RuntimeError
        With the routes.
    """
    bare = [
        route.path
        for route in every_route(app.routes)
        if hasattr(route, "dependant")
        and not any(hasattr(one.call, _MARK) for one in route.dependant.dependencies)
    ]
    if bare:
        raise RuntimeError(f"these routes let anybody in without saying so: {', '.join(bare)}")
