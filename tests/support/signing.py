"""Accounts for tests, signed in without a password: hashing one takes time, and has tests of its own.

Nobody signed in so is asked for a password later on either, until `forget_confirmation`.
"""

from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import Any, TypeVar

from orchardmap.model.access import AccessRole
from orchardmap.store import access
from orchardmap.store.session import Store
from orchardmap.usecases import account_keeping
from orchardmap.usecases.credentials import new_token, token_hash
from orchardmap.usecases.planting import new_id
from orchardmap.usecases.signing_in import open_session

Client = TypeVar("Client")


def signed_in(
    store: Store,
    roles: Mapping[str, tuple[AccessRole, str | None]],
    *,
    login: str = "",
    token: str | None = None,
    makes_farms: bool = False,
    now: datetime,
) -> str:
    """Make an account with a role (and crew) on each farm, and return the token of a session of it."""
    login = login or new_id()
    made = account_keeping.add_account(
        store, login=login, name=f"Account {login[-4:]}", password=None, makes_farms=makes_farms, now=now
    )
    for farm_id, (role, crew_id) in roles.items():
        account_keeping.give_role(store, made, farm_id=farm_id, role=role, crew_id=crew_id, now=now)
    token = token or new_token()
    with store.write() as conn:
        open_session(conn, made, token=token, by="shell", now=now)
        access.confirm_session(conn, token_hash(token), now + timedelta(days=365))
    return token


def forget_confirmation(store: Store, token: str, *, now: datetime) -> None:
    """Let a session's password have been given eleven minutes ago."""
    with store.write() as conn:
        access.confirm_session(conn, token_hash(token), now - timedelta(minutes=11))


def manages_too(store: Store, login: str, farm_id: str, *, now: datetime) -> None:
    """Make the account of a login manager of one more farm."""
    with store.read() as conn:
        found = access.account_by_login(conn, login)
    assert found is not None
    account_keeping.give_role(store, found, farm_id=farm_id, role="manager", now=now)


def give_password(store: Store, token: str, hashed: str) -> None:
    """Give the account of a session a password, by the hash of it."""
    with store.write() as conn:
        found = access.account_of_session(conn, token_hash(token))
        assert found is not None
        access.change_account(conn, found[0].id, password_hash=hashed)


def bearer_token(client: Any) -> str:
    """Return the token that a client sends with each request."""
    return str(client.headers["Authorization"]).removeprefix("Bearer ")


def bearer(client: Client, token: str) -> Client:
    """Let a client send a session's token with each request, and return it."""
    client.headers["Authorization"] = f"Bearer {token}"  # type: ignore[attr-defined]  # of httpx
    return client
