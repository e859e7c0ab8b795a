"""Accounts: the first one, new ones, their roles, links and passwords, and their end."""

from dataclasses import dataclass
from datetime import datetime

from orchardmap.errors import ConflictError, GoneError, InputError, NotAllowedError, UnknownError
from orchardmap.model.access import LINK_LIFE, AccessRole, Account, Caller, Membership
from orchardmap.model.tries import password_fault
from orchardmap.store import access, audit, log
from orchardmap.store import farm as farm_store
from orchardmap.store.session import Connection, Store
from orchardmap.usecases.credentials import hashed, new_token, token_hash
from orchardmap.usecases.planting import new_id
from orchardmap.usecases.signing_in import open_session

__all__ = [
    "SET_UP", "AccountWish", "end_membership", "first_start", "hashed_password", "invite", "is_first_start", "listed",
    "made_account", "prepare_first_start", "refuse_foreign_crew", "renew_link",
]  # fmt: skip

SET_UP = "set_up_token"


def prepare_first_start(store: Store) -> str | None:
    """Return a new set-up token where there is no account yet; older ones stop working. None where there is one."""
    token = new_token()
    with store.write() as conn:
        if access.any_account(conn):
            return None
        farm_store.set_setting(conn, SET_UP, token_hash(token))
    return token


def is_first_start(store: Store) -> bool:
    """Tell whether there is no account yet."""
    with store.read() as conn:
        return not access.any_account(conn)


def first_start(store: Store, *, token: str, login: str, name: str, password: str, now: datetime) -> str:
    """Make the first account and sign it in: it makes farms, and manages those that nobody manages.

    Parameters
    ----------
    store : Store
        Open for writing.
    token : str
        The set-up token that the service printed when it started.
    login, name, password : str
        Of the account.
    now : datetime with time zone
        The server's clock.

    Returns
    -------
    str
        The token of its session.

    Raises
    ------
    GoneError
        If the token is not the last one printed, or there is an account already.
    """
    made = made_account(login, name, makes_farms=True)
    kept, session = hashed_password(password, made), new_token()
    with store.write() as conn:
        # taking the token away is what decides between two that come at once
        if not farm_store.take_setting(conn, SET_UP, token_hash(token)) or access.any_account(conn):
            raise GoneError(
                "this set-up token is not the one printed last",
                todo="Start the service again and use the token that it prints, or sign in.",
            )
        access.add_account(conn, made, hashed=kept, now=now)
        for farm_id in access.farms_without_manager(conn):
            access.set_membership(conn, Membership(made.id, farm_id, "manager"))
        open_session(conn, made, token=session, by="password", now=now)
        audit.note(conn, "first_start", at=now, actor=f"account:{made.id}", subject=made.id)
    return session


def made_account(login: str, name: str, *, makes_farms: bool = False) -> Account:
    """Return a new account, not kept yet.

    Raises
    ------
    InputError
        If login or name cannot be used.
    """
    plain, tidy = login.strip().casefold(), " ".join(name.split())
    if not plain or len(plain) > 100 or any(sign.isspace() for sign in plain):
        raise InputError("a login has 1 to 100 characters and no blanks", where="login")
    if not tidy or len(tidy) > 200:
        raise InputError("an account needs a name of 1 to 200 characters", where="name")
    return Account(new_id(), plain, tidy, makes_farms)


def hashed_password(password: str, account: Account) -> str:
    """Return how a good password is kept.

    Raises
    ------
    InputError
        If it is too easy.
    """
    fault = password_fault(password, login=account.login, name=account.name)
    if fault:
        raise InputError(
            f"the password {fault}", where="password", todo="Take a sentence of four or five words."
        )
    return hashed(password)


def refuse_foreign_crew(conn: Connection, farm_id: str, role: str, crew_id: str | None) -> None:
    """Raise where a role and a crew do not go together, or the crew is another farm's.

    Raises
    ------
    InputError
        If a foreman has no crew, or another role has one.
    UnknownError
        If the crew is not one of the farm.
    """
    if role == "foreman" and crew_id is None:
        raise InputError("a foreman needs a crew", where="crew_id")
    if role != "foreman" and crew_id is not None:
        raise InputError("only a foreman belongs to a crew", where="crew_id")
    if crew_id is not None and crew_id not in {crew.id for crew in farm_store.crews(conn, farm_id)}:
        raise UnknownError("no such crew on this farm", where=crew_id)


def listed(store: Store, farm_id: str) -> list[tuple[Account, Membership]]:
    """Return the farm's accounts by login, each with what it is there."""
    with store.read() as conn:
        return access.accounts_of_farm(conn, farm_id)


@dataclass(frozen=True, slots=True)
class AccountWish:
    """An account as a manager wants it."""

    login: str
    name: str
    role: AccessRole
    crew_id: str | None = None


def invite(
    store: Store, *, caller: Caller, farm_id: str, wish: AccountWish, now: datetime
) -> tuple[Account, Membership, str]:
    """Make an account on a manager's own farm, and a one-time link for it.

    Returns
    -------
    (Account, Membership, str)
        The last is the link's code; it is not kept.

    Raises
    ------
    ConflictError
        If the login is taken, on whichever farm: a manager must not get hold of another farm's account.
    """
    made, code = made_account(wish.login, wish.name), new_token()
    member = Membership(made.id, farm_id, wish.role, wish.crew_id)
    with store.write() as conn:
        log.lock_farm(conn, farm_id)
        refuse_foreign_crew(conn, farm_id, wish.role, wish.crew_id)
        access.add_account(conn, made, hashed=None, now=now)
        access.set_membership(conn, member)
        access.add_link(conn, token_hash(code), made.id, now=now, expires_at=now + LINK_LIFE, once=True)
        audit.note(
            conn, "account_made", at=now, actor=caller.actor, subject=made.id, farm_id=farm_id, role=wish.role
        )
    return made, member, code


def renew_link(store: Store, *, caller: Caller, farm_id: str, account_id: str, now: datetime) -> str:
    """Make a new one-time link for an account of a manager's farm; its earlier links stop working.

    Raises
    ------
    UnknownError
        If the account is nothing on this farm.
    NotAllowedError
        If it may do more than the manager: then whoever has the link would, too.
    """
    code = new_token()
    with store.write() as conn:
        account = _member(conn, farm_id, account_id)
        mine = {farm for farm, grant in caller.grants.items() if grant.role == "manager"}
        beyond = {m.farm_id for m in access.memberships(conn, account_id)} - mine
        may_all = caller.account is not None and caller.account.makes_farms
        if beyond or (account.makes_farms and not may_all):
            raise NotAllowedError(
                "this account reaches further than you do",
                todo="Have its link made by the shell: orchardmap user link LOGIN.",
            )
        access.add_link(conn, token_hash(code), account_id, now=now, expires_at=now + LINK_LIFE, once=True)
        audit.note(conn, "link_made", at=now, actor=caller.actor, subject=account_id, farm_id=farm_id)
    return code


def _member(conn: Connection, farm_id: str, account_id: str) -> Account:
    for account, _ in access.accounts_of_farm(conn, farm_id):
        if account.id == account_id:
            return account
    raise UnknownError("no such account on this farm", where=account_id)


def end_membership(store: Store, *, caller: Caller, farm_id: str, account_id: str, now: datetime) -> None:
    """End what an account is on a farm; its sessions lose the farm with their next request.

    Raises
    ------
    UnknownError
        If the account is nothing on this farm.
    ConflictError
        If nobody would manage the farm any more.
    """
    with store.write() as conn:
        log.lock_farm(conn, farm_id)
        _member(conn, farm_id, account_id)
        access.drop_membership(conn, account_id, farm_id)
        if not access.managers(conn, farm_id):
            raise ConflictError(
                "nobody would manage this farm any more", where=account_id, todo="Make another manager first."
            )
        audit.note(conn, "role_ended", at=now, actor=caller.actor, subject=account_id, farm_id=farm_id)
