"""A new password: by the old one, by a one-time link that is fresh, as the first one, or by the shell."""

from datetime import datetime
from typing import NoReturn

from orchardmap.errors import SignInError
from orchardmap.model.access import Account, Caller
from orchardmap.store import access, audit, tries
from orchardmap.store.session import Connection, Store
from orchardmap.usecases.accounts import hashed_password
from orchardmap.usecases.confirming import forget_wrong, own_tries, refuse_unconfirmed, take_own_password
from orchardmap.usecases.credentials import token_hash

__all__ = ["change_password", "set_password"]


def change_password(
    store: Store, *, caller: Caller, session: str, old: str | None, new: str, now: datetime
) -> None:
    """Set an account's own password; all its other sessions end, and a one-time link that is still on its way.

    Parameters
    ----------
    store : Store
        Open for writing.
    caller : Caller
        An account.
    session : str
        The token of the session that asks.
    old : str or None
        The password so far. None where there is none yet, or it is forgotten: then a one-time link must have
        opened this session within the last ten minutes, and stands for it once.
    new : str
        The password from now on.
    now : datetime with time zone
        The server's clock.

    Raises
    ------
    InputError
        If the new one is too easy.
    SignInError
        If the old one is not it, or is needed and was not given.
    NoPasswordError
        If there is none yet, and the session began more than ten minutes ago: whoever finds it open
        must not get an account for good.
    LockedError
        After too many wrong tries.
    """
    assert caller.account is not None  # noqa: S101 - the route lets accounts in alone
    with store.read() as conn:
        kept = access.password_hash(conn, caller.account.id)
    subjects = None
    if kept is None:
        refuse_unconfirmed(store, caller, now)
    elif old is not None:
        subjects = take_own_password(store, caller, session=session, password=old, kept=kept, now=now)
    elif not caller.has_fresh_link(now):
        _ask_for_old()
    made, key = hashed_password(new, caller.account), token_hash(session)
    with store.write() as conn:
        # one after the other: each ends the other's session, and the first is the one that sets it
        tries.hold_tries(conn, own_tries(caller.account.id))
        if subjects is not None:
            forget_wrong(conn, subjects, now)
        if kept is not None and subjects is None and not access.use_fresh_link(conn, key, now):
            _ask_for_old()
        _set(conn, caller.account, made, but=key, now=now)
        access.confirm_session(conn, key, now)
        by = "first" if kept is None else "link" if subjects is None else "password"
        audit.note(conn, "password_set", at=now, actor=caller.actor, subject=caller.account.id, by=by)


def _ask_for_old() -> NoReturn:
    raise SignInError(
        "your password so far is needed here",
        where="old",
        todo="Type it. If it is forgotten, come in by a new one-time link: for ten minutes, and once, it lets you set another one.",
    )


def set_password(store: Store, account: Account, *, password: str, now: datetime) -> None:
    """Set an account's password by the shell; all its sessions end, and a one-time link that is still on its way.

    Raises
    ------
    InputError
        If it is too easy.
    """
    made = hashed_password(password, account)
    with store.write() as conn:
        tries.hold_tries(conn, own_tries(account.id))
        _set(conn, account, made, but=None, now=now)
        audit.note(conn, "password_set", at=now, actor="shell", subject=account.id, by="shell")


def _set(conn: Connection, account: Account, made: str, *, but: str | None, now: datetime) -> None:
    access.change_account(conn, account.id, password_hash=made)
    access.end_sessions(conn, now=now, account_id=account.id, but=but)
    # whoever finds it in an old message must not come in beside the password
    access.end_links(conn, account.id, now)
