"""The own password given again: for what weighs most, a session left open must not be enough."""

from datetime import datetime

from orchardmap.errors import NoPasswordError, SignInError, UnconfirmedError
from orchardmap.model.access import Caller
from orchardmap.model.tries import LOGIN_TRIES
from orchardmap.store import access, audit, tries
from orchardmap.store.session import Connection, Store
from orchardmap.usecases.credentials import matches, token_hash
from orchardmap.usecases.signing_in import refuse_locked, wrong_try

__all__ = ["confirm", "own_tries", "refuse_unconfirmed", "refuse_wrong"]


def refuse_unconfirmed(store: Store, caller: Caller, now: datetime) -> None:
    """Stop here unless the caller's password was given within the last ten minutes.

    Parameters
    ----------
    store : Store
        Open for reading.
    caller : Caller
        Who asks.
    now : datetime with time zone
        The server's clock.

    Raises
    ------
    UnconfirmedError
        If it was given longer ago.
    NoPasswordError
        If so, and the account has none that it could give again.
    """
    if caller.is_confirmed(now):
        return
    with store.read() as conn:
        _refuse_without(conn, caller)
    raise UnconfirmedError("your password was given more than ten minutes ago", todo="Give it once more.")


def _refuse_without(conn: Connection, caller: Caller) -> str:
    """Return the hash of the caller's password; raise where there is none."""
    kept = None if caller.account is None else access.password_hash(conn, caller.account.id)
    if kept is None:
        raise NoPasswordError(
            "this needs a password given in the last ten minutes, and this account has none",
            todo="Come in by a new one-time link, and then set a password under your own name.",
        )
    return kept


def own_tries(account_id: str) -> str:
    """Name what wrong tries at an account's own password count for."""
    return f"password:{account_id}"


def refuse_wrong(store: Store, caller: Caller, *, password: str, kept: str, now: datetime) -> None:
    """Stop here unless that is the caller's own password; a wrong one is counted.

    Parameters
    ----------
    store : Store
        Open for writing.
    caller : Caller
        An account.
    password : str
        As typed.
    kept : str
        The hash of the right one.
    now : datetime with time zone
        The server's clock.

    Raises
    ------
    SignInError
        If it is another one.
    """
    assert caller.account is not None  # noqa: S101 - the route lets accounts in alone
    if matches(password, kept):
        return
    subject = own_tries(caller.account.id)
    with store.write() as conn:
        # looked at again: many tries at once must not all slip through before the first is counted
        refuse_locked(conn, subject, now, hold=True)
        wrong_try(conn, subject, LOGIN_TRIES, now=now)
        audit.note(conn, "password_failed", at=now, actor=caller.actor, subject=caller.account.id)
    raise SignInError("that is not your password", todo="Look for typing errors.")


def confirm(store: Store, caller: Caller, *, session: str, password: str, now: datetime) -> None:
    """Take the caller's own password once more: for ten minutes nothing asks for it.

    Parameters
    ----------
    store : Store
        Open for writing.
    caller : Caller
        An account.
    session : str
        The token of the session that asks; no other session of the account is confirmed.
    password : str
        As typed.
    now : datetime with time zone
        The server's clock.

    Raises
    ------
    SignInError
        If it is another one.
    NoPasswordError
        If the account has none.
    LockedError
        After too many wrong tries, also for the right one.
    """
    assert caller.account is not None  # noqa: S101 - the route lets accounts in alone
    subject = own_tries(caller.account.id)
    with store.read() as conn:
        refuse_locked(conn, subject, now)
        kept = _refuse_without(conn, caller)
    refuse_wrong(store, caller, password=password, kept=kept, now=now)
    with store.write() as conn:
        refuse_locked(conn, subject, now, hold=True)
        tries.forget_tries(conn, subject)
        access.confirm_session(conn, token_hash(session), now)
        audit.note(conn, "password_given", at=now, actor=caller.actor, subject=caller.account.id)
