"""From a secret to who asks: sessions, signing in and out, one-time links."""

from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from orchardmap.errors import GoneError, LockedError, SignInError, StoreError
from orchardmap.model.access import (
    DEVICE_IDLE,
    NOBODY,
    SEEN_STEP,
    SESSION_IDLE,
    SESSION_LIFE,
    Account,
    Caller,
    ConfirmedBy,
    Device,
    Grant,
)
from orchardmap.model.tries import ADDRESS_TRIES, EVERYWHERE_TRIES, LOGIN_TRIES, Bound, locked_for
from orchardmap.store import access, audit, tablets, tries
from orchardmap.store.session import Connection, Store
from orchardmap.usecases.credentials import matches, new_token, token_hash

__all__ = [
    "Subjects",
    "caller_of",
    "count_wrong",
    "note_wrong_tries",
    "open_session",
    "refuse_locked",
    "sign_in",
    "sign_in_by_link",
    "sign_out",
    "touch",
    "wrong_try",
]

WRONG = "login and password do not go together"
_TOLD_EVERY = timedelta(hours=1)


def caller_of(store: Store, *, session: str | None, device: str | None, now: datetime) -> Caller:
    """Return who asks, by the secrets that a request carries; a session that runs goes before the tablet.

    Parameters
    ----------
    store : Store
        Open for reading.
    session, device : str or None
        The tokens.
    now : datetime with time zone
        The server's clock.

    Returns
    -------
    Caller
        Without grants where no token is worth anything (any more).
    """
    found = NOBODY
    with store.read() as conn:
        if session:
            found = _by_session(conn, token_hash(session), now)
        if found.is_nobody and device:
            tablet = tablets.device_by_token(conn, token_hash(device))
            found = _by_device(tablet, now) if tablet else found
    return found


def _by_session(conn: Connection, hashed: str, now: datetime) -> Caller:
    kept = access.account_of_session(conn, hashed)
    if kept is None:
        return NOBODY
    account, session = kept
    if not _runs(session, now) or account.disabled_at is not None:
        return Caller(lapsed="session")
    grants = {m.farm_id: Grant(m.role, m.crew_id) for m in access.memberships(conn, account.id)}
    return Caller(
        account=account,
        grants=grants,
        confirmed_at=session.confirmed_at,
        confirmed_by=session.confirmed_by,
        session_seen_at=session.last_seen_at,
    )


def _runs(session: Any, now: datetime) -> bool:  # noqa: ANN401 - a record of the sessions table
    used = session.last_seen_at + SESSION_IDLE > now
    return used and session.expires_at > now and session.ended_at is None


def _by_device(device: Device, now: datetime) -> Caller:
    if device.revoked_at is not None or device.last_seen_at + DEVICE_IDLE <= now:
        return Caller(lapsed="device")
    return Caller(device=device, grants={device.farm_id: Grant(device.role, device.crew_id)})


def touch(store: Store, caller: Caller, *, session: str | None, now: datetime) -> None:
    """Keep when a session or tablet was last heard of. Only now and then, and never in the way of what was asked."""
    if not caller.is_seen_long_ago(now):
        return
    # a full disk or a lock must not keep anybody from reading
    with suppress(StoreError):
        if caller.device is not None:
            with store.write() as conn:
                tablets.touch_device(conn, caller.device.id, now)
        elif caller.account is not None and session:
            hashed = token_hash(session)
            with store.read() as conn:
                kept = access.account_of_session(conn, hashed)
            if kept is not None and kept[1].last_seen_at + SEEN_STEP <= now:
                with store.write() as conn:
                    access.touch_session(conn, hashed, now)


def open_session(conn: Connection, account: Account, *, token: str, by: ConfirmedBy, now: datetime) -> None:
    """Begin a session of an account under a token."""
    access.add_session(conn, token_hash(token), account.id, by=by, now=now, expires_at=now + SESSION_LIFE)


@dataclass(frozen=True, slots=True)
class Subjects:
    """What a try is counted by. The login itself is not kept: people type passwords into the wrong field."""

    here: str
    """Login and place; or the session, for one's own password."""
    everywhere: str = ""
    """Login or account alone; empty where nobody elsewhere can lock its owner out: in a browser where that account was
    signed in before, and in a session in which the password was just given."""
    address: str = ""

    def all(self) -> list[str]:
        """Those that are counted, always in the same order."""
        return [one for one in (self.address, self.everywhere, self.here) if one]


def sign_in(
    store: Store, *, login: str, password: str, address: str, known: str | None = None, now: datetime
) -> str:
    """Sign an account in by its password.

    Parameters
    ----------
    store : Store
        Open for writing.
    login, password : str
        As typed.
    address : str
        Where the try comes from. Wrong ones are counted there for each login and for all logins
        together, and of each login's the first five from each address over all addresses.
    known : str, optional
        The session token that the browser still carries. A browser where this account was signed in
        before counts its wrong tries apart, so that nobody elsewhere can lock its owner out of it.
    now : datetime with time zone
        The server's clock.

    Returns
    -------
    str
        The token of a new session.

    Raises
    ------
    SignInError
        If they do not go together: nobody is told whether the login is known.
    LockedError
        After too many wrong tries, also for the right password and for a login that is not known.
    """
    plain = login.strip().casefold()
    with store.read() as conn:
        account = access.account_by_login(conn, plain)
        subjects = _subjects(conn, plain, account, address=address, known=known)
        for one in subjects.all():
            refuse_locked(conn, one, now)
        kept = access.password_hash(conn, account.id) if account else None
    right = matches(password, kept) and account is not None and account.disabled_at is None
    token = new_token()
    with store.write() as conn:
        # looked at again: many tries at once must not all slip through before the first is counted
        for one in subjects.all():
            refuse_locked(conn, one, now, hold=True)
        if right and account is not None:
            for one in (subjects.here, subjects.everywhere):
                tries.forget_tries(conn, one)
            open_session(conn, account, token=token, by="password", now=now)
            audit.note(conn, "signed_in", at=now, actor=f"account:{account.id}", by="password")
        else:
            is_locked = count_wrong(conn, subjects, now)
            note_wrong_tries(conn, "sign_in_failed", now=now)
            if is_locked and account is not None:
                audit.note(conn, "sign_in_locked", at=now, actor="nobody", subject=account.id)
    if not right:
        raise SignInError(WRONG, todo="Look for typing errors, or ask a manager for a one-time link.")
    return token


def _subjects(
    conn: Connection, login: str, account: Account | None, *, address: str, known: str | None
) -> Subjects:
    everywhere = f"login:{token_hash(login)}"
    if known and account:
        kept = access.account_of_session(conn, token_hash(known))
        if kept is not None and kept[0].id == account.id:
            return Subjects(f"{everywhere}:{token_hash(known)}")
    return Subjects(f"{everywhere}:{token_hash(address)}", everywhere, f"address:{token_hash(address)}")


def count_wrong(conn: Connection, subjects: Subjects, now: datetime) -> bool:
    """Count a wrong try wherever it counts; tell whether the next one here must wait, by what was tried here or everywhere."""
    so_far = tries.add_failure(conn, subjects.here, LOGIN_TRIES, now)
    is_locked = bool(locked_for(so_far, now))
    if subjects.address:
        wrong_try(conn, subjects.address, ADDRESS_TRIES, now=now)
    if subjects.everywhere and so_far.failures <= LOGIN_TRIES.tries:
        is_locked |= wrong_try(conn, subjects.everywhere, EVERYWHERE_TRIES, now=now)
    return is_locked


def note_wrong_tries(conn: Connection, what: str, *, now: datetime) -> None:
    """Keep that nobody known tried in vain: one entry an hour that says how many, for anybody could fill the log.

    The first try is told at once; those of the hour after it with the first one of a later hour.
    """
    told = tries.count_untold(conn, what, now, step=_TOLD_EVERY)
    if told:
        audit.note(conn, what, at=now, actor="nobody", tries=told)


def refuse_locked(conn: Connection, subject: str, now: datetime, *, hold: bool = False) -> None:
    """Stop here while something is locked; with ``hold`` no other try at it is judged before this transaction ends.

    Raises
    ------
    LockedError
        With the seconds to wait.
    """
    if hold:
        tries.hold_tries(conn, subject)
    wait = locked_for(tries.tries_at(conn, subject), now)
    if wait:
        seconds = int(wait.total_seconds()) + 1
        raise LockedError(
            "there were too many wrong tries",
            todo=f"Try again in {_in_words(wait)}.",
            retry_after_s=seconds,
        )


def _in_words(wait: timedelta) -> str:
    minutes = int(wait.total_seconds() // 60) + 1
    return f"{minutes} minutes" if minutes > 1 else "a minute"


def wrong_try(conn: Connection, subject: str, bound: Bound, *, now: datetime) -> bool:
    """Count a wrong try; tell whether the next one must wait."""
    return bool(locked_for(tries.add_failure(conn, subject, bound, now), now))


def sign_in_by_link(store: Store, *, code: str, now: datetime) -> str:
    """Sign an account in by a link, and return the token of a new session.

    Raises
    ------
    GoneError
        If the link is unknown, used or too old.
    """
    token = new_token()
    with store.write() as conn:
        used = access.use_link(conn, token_hash(code), now)
        if used is None or used[0].disabled_at is not None:
            raise GoneError("this link was used already, or is too old", todo="Ask a manager for a new one.")
        account, is_once = used
        open_session(conn, account, token=token, by="one_time_link" if is_once else "lasting_link", now=now)
        audit.note(conn, "signed_in", at=now, actor=f"account:{account.id}", by="link")
    return token


def sign_out(store: Store, caller: Caller, *, session: str, now: datetime) -> None:
    """End a session; the next request with its token comes from nobody."""
    with store.write() as conn:
        if access.end_sessions(conn, now=now, token_hash=token_hash(session)):
            audit.note(conn, "signed_out", at=now, actor=caller.actor)
