"""Accounts, their roles on farms, their sessions and one-time links."""

from datetime import datetime
from typing import Any

from sqlalchemy import Connection, delete, exists, insert, select, update
from sqlalchemy.exc import IntegrityError

from orchardmap.errors import ConflictError, UnknownError
from orchardmap.model.access import Account, ConfirmedBy, Membership
from orchardmap.store import access_tables as t
from orchardmap.store import tables
from orchardmap.store.account_names import STAND_IN
from orchardmap.store.bell import name_changed

__all__ = [
    "account",
    "account_by_login",
    "account_of_session",
    "accounts",
    "accounts_of_farm",
    "add_account",
    "add_link",
    "add_session",
    "any_account",
    "change_account",
    "confirm_session",
    "drop_links",
    "drop_membership",
    "end_links",
    "end_sessions",
    "farms_without_manager",
    "managers",
    "memberships",
    "password_hash",
    "set_membership",
    "touch_session",
    "use_fresh_link",
    "use_link",
]

_ACCOUNT = (
    t.accounts.c.id,
    t.accounts.c.login,
    t.accounts.c.name,
    t.accounts.c.makes_farms,
    t.accounts.c.disabled_at,
)


def add_account(conn: Connection, made: Account, *, hashed: str | None, now: datetime) -> None:
    """Append an account.

    Raises
    ------
    ConflictError
        If the login is taken.
    """
    try:
        conn.execute(
            insert(t.accounts).values(
                id=made.id,
                login=made.login,
                name=made.name,
                password_hash=hashed,
                makes_farms=made.makes_farms,
                made_at=now,
            )
        )
    except IntegrityError as error:
        raise ConflictError("that login is taken", where="login", todo="Choose another one.") from error


def any_account(conn: Connection) -> bool:
    """Tell whether there is an account that somebody could sign in with."""
    asked = select(t.accounts.c.id).where(~t.accounts.c.login.startswith(STAND_IN)).limit(1)
    return conn.execute(asked).first() is not None


def account(conn: Connection, account_id: str) -> Account:
    """Return an account.

    Raises
    ------
    UnknownError
        If there is none of that id.
    """
    found = conn.execute(select(*_ACCOUNT).where(t.accounts.c.id == account_id)).one_or_none()
    if found is None:
        raise UnknownError("no such account", where=account_id)
    return Account(*found)


def accounts(conn: Connection) -> list[Account]:
    """Return all accounts by login; no stand-in is one."""
    asked = select(*_ACCOUNT).where(~t.accounts.c.login.startswith(STAND_IN)).order_by(t.accounts.c.login)
    return [Account(*one) for one in conn.execute(asked)]


def account_by_login(conn: Connection, login: str) -> Account | None:
    """Return the account of a login in lower case, or None."""
    found = conn.execute(select(*_ACCOUNT).where(t.accounts.c.login == login)).one_or_none()
    return None if found is None else Account(*found)


def password_hash(conn: Connection, account_id: str) -> str | None:
    """Return the hash of an account's password, None for one that has none."""
    return conn.execute(
        select(t.accounts.c.password_hash).where(t.accounts.c.id == account_id)
    ).scalar_one_or_none()


def change_account(conn: Connection, account_id: str, **values: Any) -> None:  # noqa: ANN401 - columns' values
    """Change columns of an account: ``password_hash``, ``disabled_at``, ``makes_farms``."""
    conn.execute(update(t.accounts).where(t.accounts.c.id == account_id).values(**values))


def memberships(conn: Connection, account_id: str) -> list[Membership]:
    """Return what an account is on each of its farms."""
    m = t.memberships.c
    found = conn.execute(select(m.account_id, m.farm_id, m.role, m.crew_id).where(m.account_id == account_id))
    return [Membership(*one) for one in found]


def accounts_of_farm(conn: Connection, farm_id: str) -> list[tuple[Account, Membership]]:
    """Return the farm's accounts by login, each with what it is there."""
    m = t.memberships.c
    asked = (
        select(*_ACCOUNT, m.account_id, m.farm_id, m.role, m.crew_id)
        .join(t.memberships, m.account_id == t.accounts.c.id)
        .where(m.farm_id == farm_id)
        .order_by(t.accounts.c.login)
    )
    return [(Account(*one[:5]), Membership(*one[5:])) for one in conn.execute(asked)]


def set_membership(conn: Connection, made: Membership) -> None:
    """Say what an account is on a farm from now on. Whoever follows the farm looks whether it may still."""
    drop_membership(conn, made.account_id, made.farm_id)
    conn.execute(
        insert(t.memberships).values(
            account_id=made.account_id, farm_id=made.farm_id, role=made.role, crew_id=made.crew_id
        )
    )


def drop_membership(conn: Connection, account_id: str, farm_id: str) -> bool:
    """End what an account is on a farm; tell whether it was anything there."""
    m = t.memberships.c
    gone = conn.execute(delete(t.memberships).where(m.account_id == account_id, m.farm_id == farm_id))
    if gone.rowcount:
        name_changed(conn, farm_id)
    return gone.rowcount > 0


def managers(conn: Connection, farm_id: str) -> int:
    """Count the accounts that manage a farm and are not disabled."""
    m = t.memberships.c
    asked = (
        select(m.account_id)
        .join(t.accounts, t.accounts.c.id == m.account_id)
        .where(m.farm_id == farm_id, m.role == "manager", t.accounts.c.disabled_at.is_(None))
    )
    return len(conn.execute(asked).all())


def farms_without_manager(conn: Connection) -> list[str]:
    """Return the ids of the farms that nobody manages."""
    m = t.memberships.c
    managed = exists().where(m.farm_id == tables.farms.c.id, m.role == "manager")
    return list(conn.execute(select(tables.farms.c.id).where(~managed)).scalars())


def add_session(
    conn: Connection,
    token_hash: str,
    account_id: str,
    *,
    by: ConfirmedBy,
    now: datetime,
    expires_at: datetime,
) -> None:
    """Append a session; what begins it confirms it."""
    conn.execute(
        insert(t.sessions).values(
            token_hash=token_hash,
            account_id=account_id,
            made_at=now,
            last_seen_at=now,
            expires_at=expires_at,
            confirmed_at=now,
            confirmed_by=by,
        )
    )


def account_of_session(conn: Connection, token_hash: str) -> tuple[Account, Any] | None:
    """Return account and session of a token's hash, ended ones too; None where no session has it."""
    s = t.sessions.c
    asked = (
        select(*_ACCOUNT, s.made_at, s.last_seen_at, s.expires_at, s.ended_at, s.confirmed_at, s.confirmed_by)
        .join(t.sessions, s.account_id == t.accounts.c.id)
        .where(s.token_hash == token_hash)
    )
    found = conn.execute(asked).one_or_none()
    return None if found is None else (Account(*found[:5]), found)


def touch_session(conn: Connection, token_hash: str, now: datetime) -> None:
    """Note that a session was used."""
    conn.execute(update(t.sessions).where(t.sessions.c.token_hash == token_hash).values(last_seen_at=now))


def confirm_session(conn: Connection, token_hash: str, now: datetime) -> None:
    """Note that the password was given in a session."""
    conn.execute(update(t.sessions).where(t.sessions.c.token_hash == token_hash).values(_given(now)))


def use_fresh_link(conn: Connection, token_hash: str, now: datetime) -> bool:
    """Let the link that opened a session stand for the password this once; False where it did before, or the session ended."""
    s = t.sessions.c
    fresh = update(t.sessions).where(
        s.token_hash == token_hash, s.confirmed_by == "one_time_link", s.ended_at.is_(None)
    )
    return conn.execute(fresh.values(_given(now))).rowcount == 1


def _given(now: datetime) -> dict[str, Any]:
    return {"confirmed_at": now, "confirmed_by": "password"}


def end_sessions(
    conn: Connection,
    *,
    now: datetime,
    token_hash: str | None = None,
    account_id: str | None = None,
    but: str | None = None,
) -> int:
    """End one session by its token's hash, or all of an account (but one); return how many were running.

    The bell of the account's farms is rung: what follows them by such a session ends at once.
    """
    s = t.sessions.c
    chosen = s.token_hash == token_hash if token_hash is not None else s.account_id == account_id
    asked = update(t.sessions).where(chosen, s.ended_at.is_(None))
    if but is not None:
        asked = asked.where(s.token_hash != but)
    ended = list(conn.execute(asked.values(ended_at=now).returning(s.account_id)).scalars())
    for one in set(ended):
        for membership in memberships(conn, one):
            name_changed(conn, membership.farm_id)
    return len(ended)


def add_link(
    conn: Connection, code_hash: str, account_id: str, *, now: datetime, expires_at: datetime, once: bool
) -> None:
    """Append a link for signing in; the account's earlier one-time links stop working."""
    if once:
        end_links(conn, account_id, now)
    conn.execute(
        insert(t.sign_in_links).values(
            code_hash=code_hash, account_id=account_id, made_at=now, expires_at=expires_at, once=once
        )
    )


def end_links(conn: Connection, account_id: str, now: datetime) -> None:
    """Let the account's one-time links that nobody used yet stop working."""
    link = t.sign_in_links.c
    conn.execute(
        update(t.sign_in_links)
        .where(link.account_id == account_id, link.used_at.is_(None), link.once)
        .values(used_at=now)
    )


def use_link(conn: Connection, code_hash: str, now: datetime) -> tuple[Account, bool] | None:
    """Use a link up; return its account and whether it worked once only. None where it is unknown, used or too old."""
    link = t.sign_in_links.c
    used = conn.execute(
        update(t.sign_in_links)
        .where(
            link.code_hash == code_hash,
            link.expires_at > now,
            (link.used_at.is_(None)) | ~link.once,
        )
        .values(used_at=now)
        .returning(link.account_id, link.once)
    ).one_or_none()
    return None if used is None else (account(conn, used.account_id), used.once)


def drop_links(conn: Connection, account_id: str) -> None:
    """Forget every link of an account."""
    conn.execute(delete(t.sign_in_links).where(t.sign_in_links.c.account_id == account_id))
