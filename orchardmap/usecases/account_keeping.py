"""Accounts by whoever has the shell: made, let in, given a role on any farm, ended."""

from datetime import datetime
from typing import get_args

from orchardmap.errors import InputError, UnknownError
from orchardmap.model.access import LINK_LIFE, AccessRole, Account, Membership
from orchardmap.store import access, audit, log
from orchardmap.store import farm as farm_store
from orchardmap.store.session import Store
from orchardmap.usecases.accounts import hashed_password, made_account, refuse_foreign_crew
from orchardmap.usecases.credentials import new_token, token_hash
from orchardmap.usecases.signing_in import open_session

__all__ = [
    "add_account",
    "by_login",
    "disable",
    "everybody",
    "give_role",
    "logins_to_manage",
    "make_link",
    "make_token",
    "say_role",
]


def by_login(store: Store, login: str) -> Account:
    """Return the account of a login.

    Raises
    ------
    UnknownError
        If there is none.
    """
    with store.read() as conn:
        found = access.account_by_login(conn, login.strip().casefold())
    if found is None:
        raise UnknownError("no account has that login", where=login, todo="See orchardmap user list.")
    return found


def everybody(store: Store) -> list[tuple[Account, list[tuple[str, str]]]]:
    """Return all accounts by login, each with (farm's name, role)."""
    with store.read() as conn:
        names = {farm.id: farm.name for farm in farm_store.farms(conn)}
        return [
            (one, sorted((names[m.farm_id], m.role) for m in access.memberships(conn, one.id)))
            for one in access.accounts(conn)
        ]


def logins_to_manage(store: Store) -> list[str]:
    """Return the logins of those who make farms, else of everybody; of ended accounts none."""
    with store.read() as conn:
        here = [one for one in access.accounts(conn) if one.disabled_at is None]
    return [one.login for one in here if one.makes_farms] or [one.login for one in here]


def add_account(
    store: Store, *, login: str, name: str, password: str | None, makes_farms: bool = False, now: datetime
) -> Account:
    """Make an account by the shell; one without a password comes in by a link."""
    made = made_account(login, name, makes_farms=makes_farms)
    kept = None if password is None else hashed_password(password, made)
    with store.write() as conn:
        access.add_account(conn, made, hashed=kept, now=now)
        audit.note(conn, "account_made", at=now, actor="shell", subject=made.id, makes_farms=makes_farms)
    return made


def give_role(
    store: Store,
    account: Account,
    *,
    farm_id: str,
    role: AccessRole,
    crew_id: str | None = None,
    now: datetime,
) -> Membership:
    """Say by the shell what an account is on a farm.

    Raises
    ------
    InputError
        If a foreman has no crew, or another role has one.
    UnknownError
        If the crew is not one of the farm.
    """
    made = Membership(account.id, farm_id, role, crew_id)
    with store.write() as conn:
        log.lock_farm(conn, farm_id)
        refuse_foreign_crew(conn, farm_id, role, crew_id)
        access.set_membership(conn, made)
        audit.note(conn, "role_given", at=now, actor="shell", subject=account.id, farm_id=farm_id, role=role)
    return made


def make_link(store: Store, account: Account, *, once: bool = True, now: datetime) -> str:
    """Make a link for signing in by the shell, and return its code."""
    code = new_token()
    with store.write() as conn:
        access.add_link(conn, token_hash(code), account.id, now=now, expires_at=now + LINK_LIFE, once=once)
        audit.note(conn, "link_made", at=now, actor="shell", subject=account.id, once=once)
    return code


def disable(store: Store, account: Account, *, now: datetime) -> None:
    """End an account by the shell: no way in is left, and its sessions end with their next request."""
    with store.write() as conn:
        access.change_account(conn, account.id, disabled_at=now)
        access.end_sessions(conn, now=now, account_id=account.id)
        access.end_links(conn, account.id, now)
        audit.note(conn, "account_disabled", at=now, actor="shell", subject=account.id)


def make_token(store: Store, account: Account, *, now: datetime) -> str:
    """Make a session for a script, and return its token."""
    token = new_token()
    with store.write() as conn:
        open_session(conn, account, token=token, by="shell", now=now)
        audit.note(conn, "token_made", at=now, actor="shell", subject=account.id)
    return token


def say_role(
    store: Store, account: Account, *, farm_id: str, role: str, crew: str = "", now: datetime
) -> None:
    """Say what an account is on a farm, by the crew's name; ``none`` ends it.

    Raises
    ------
    InputError
        If there is no such role, or it does not go together with the crew.
    UnknownError
        If the farm has no crew of that name.
    """
    roles = {one: one for one in get_args(AccessRole)}
    if role == "none":
        with store.write() as conn:
            access.drop_membership(conn, account.id, farm_id)
            audit.note(conn, "role_ended", at=now, actor="shell", subject=account.id, farm_id=farm_id)
        return
    if role not in roles:
        raise InputError(f"there is no role {role!r}", where="role", todo=f"Give {', '.join(roles)} or none.")
    with store.read() as conn:
        crew_id = next((one.id for one in farm_store.crews(conn, farm_id) if one.name == crew), None)
    if crew and crew_id is None:
        raise UnknownError("no such crew on this farm", where=crew)
    give_role(store, account, farm_id=farm_id, role=roles[role], crew_id=crew_id, now=now)
