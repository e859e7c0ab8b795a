"""The own password given again: for what weighs most, a session left open must not be enough."""

from datetime import datetime

from orchardmap.errors import NoPasswordError, SignInError, UnconfirmedError
from orchardmap.model.access import Caller
from orchardmap.store import access, audit, tries
from orchardmap.store.session import Connection, Store
from orchardmap.usecases.credentials import matches, token_hash
from orchardmap.usecases.signing_in import Subjects, count_wrong, refuse_locked

__all__ = ["confirm", "forget_wrong", "own_tries", "refuse_unconfirmed", "take_own_password"]


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
    """Name what wrong tries at an account's own password count for over all its sessions."""
    return f"password:{account_id}"


def _subjects(caller: Caller, session: str, now: datetime) -> Subjects:
    """Return what a try at one's own password is counted by.

    Whoever has found a session open must not lock the owner out of ending it: who has just signed in by the
    password is held to the tries of that session alone.
    """
    assert caller.account is not None  # noqa: S101 - the route lets accounts in alone
    everywhere = own_tries(caller.account.id)
    here = f"{everywhere}:{token_hash(session)}"
    return Subjects(here, "" if caller.has_just_given_password(now) else everywhere)


def take_own_password(
    store: Store, caller: Caller, *, session: str, password: str, kept: str, now: datetime
) -> Subjects:
    """Stop here unless that is the caller's own password; a wrong one is counted.

    Parameters
    ----------
    store : Store
        Open for writing.
    caller : Caller
        An account.
    session : str
        The token of the session that asks.
    password : str
        As typed.
    kept : str
        The hash of the right one.
    now : datetime with time zone
        The server's clock.

    Returns
    -------
    Subjects
        What tries are counted by: to be looked at again where the right password has its effect (`forget_wrong`).

    Raises
    ------
    SignInError
        If it is another one.
    LockedError
        After too many wrong tries, also for the right one.
    """
    subjects = _subjects(caller, session, now)
    with store.read() as conn:
        for one in subjects.all():
            refuse_locked(conn, one, now)
    if matches(password, kept):
        return subjects
    with store.write() as conn:
        # looked at again: many tries at once must not all slip through before the first is counted
        for one in subjects.all():
            refuse_locked(conn, one, now, hold=True)
        count_wrong(conn, subjects, now)
        audit.note(conn, "password_failed", at=now, actor=caller.actor, subject=caller.id or "")
    raise SignInError("that is not your password", todo="Look for typing errors.")


def forget_wrong(conn: Connection, subjects: Subjects, now: datetime) -> None:
    """Begin to count anew after the right password; stop here where others at the same moment have locked it.

    Raises
    ------
    LockedError
        With the seconds to wait.
    """
    for one in subjects.all():
        refuse_locked(conn, one, now, hold=True)
    for one in subjects.all():
        tries.forget_tries(conn, one)


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
    with store.read() as conn:
        kept = _refuse_without(conn, caller)
    subjects = take_own_password(store, caller, session=session, password=password, kept=kept, now=now)
    with store.write() as conn:
        forget_wrong(conn, subjects, now)
        access.confirm_session(conn, token_hash(session), now)
        audit.note(conn, "password_given", at=now, actor=caller.actor, subject=caller.id or "")
