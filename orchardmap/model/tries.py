"""Guessing is made hopeless: when wrong tries lock, for how long, and which passwords are too easy."""

from dataclasses import dataclass, replace
from datetime import datetime, timedelta

__all__ = [
    "ADDRESS_TRIES", "CODE_TRIES", "EVERYWHERE_TRIES", "LOGIN_TRIES", "PERSON_TRIES", "PIN_TRIES", "Bound", "Tries",
    "after_failure", "locked_for", "password_fault",
]  # fmt: skip

LEAST_PASSWORD, MOST_PASSWORD = 12, 1_000


@dataclass(frozen=True, slots=True)
class Bound:
    """How many wrong tries lock, and for how long at first."""

    tries: int
    lock: timedelta
    longest: timedelta = timedelta(hours=24)
    forgotten_after: timedelta = timedelta(hours=24)
    """Without a wrong try for so long, counting begins anew."""
    doubles: bool = True


LOGIN_TRIES = Bound(5, timedelta(minutes=15))
"""Of one login from one place: an address, or a browser where that account was signed in before."""
EVERYWHERE_TRIES = Bound(15, timedelta(minutes=15))
"""Of one login from all addresses, where each adds its first five: a stranger at one or two locks nobody out elsewhere."""
ADDRESS_TRIES = Bound(20, timedelta(minutes=15), forgotten_after=timedelta(hours=1), doubles=False)
"""Of any logins from one address. It does not double: behind a router many people have one address."""
PIN_TRIES = Bound(5, timedelta(minutes=15))
"""Of one person's PIN on one tablet."""
PERSON_TRIES = Bound(20, timedelta(minutes=15))
"""Of one person's PIN over all tablets: one tablet alone never reaches it (see `usecases.tablets`)."""
CODE_TRIES = Bound(5, timedelta(minutes=10), forgotten_after=timedelta(minutes=10), doubles=False)


@dataclass(frozen=True, slots=True)
class Tries:
    """Wrong tries at one thing so far."""

    failures: int
    last_at: datetime
    locked_until: datetime | None = None


def locked_for(tries: Tries | None, now: datetime) -> timedelta:
    """Return how long to wait before the next try; zero where none is needed."""
    if tries is None or tries.locked_until is None:
        return timedelta(0)
    return max(tries.locked_until - now, timedelta(0))


def after_failure(tries: Tries | None, bound: Bound, now: datetime) -> Tries:
    """Return the tries with one more failure.

    Parameters
    ----------
    tries : Tries or None
        So far.
    bound : Bound
        Every ``bound.tries``-th failure locks, each time twice as long as before up to the longest.
    now : datetime with time zone
        The moment of the failure.

    Returns
    -------
    Tries

    Examples
    --------
    >>> from datetime import UTC
    >>> at = datetime(2026, 1, 20, 12, tzinfo=UTC)
    >>> tries = None
    >>> for _ in range(10):
    ...     tries = after_failure(tries, LOGIN_TRIES, at)
    >>> locked_for(tries, at)
    datetime.timedelta(seconds=1800)
    """
    if tries is None or _quiet_since(tries) + bound.forgotten_after <= now:
        tries = Tries(0, now)
    failures = tries.failures + 1
    made = replace(tries, failures=failures, last_at=now)
    if failures % bound.tries:
        return made
    # far below what a timedelta can carry, whatever the number of failures
    times = 2 ** min(failures // bound.tries - 1, 20) if bound.doubles else 1
    return replace(made, locked_until=now + min(bound.lock * times, bound.longest))


def _quiet_since(tries: Tries) -> datetime:
    return max(tries.last_at, tries.locked_until or tries.last_at)


def password_fault(password: str, *, login: str, name: str = "") -> str:
    """Return what is wrong with a password as a sentence's end, or nothing: long, and not the first to be guessed.

    Parameters
    ----------
    password : str
        As typed.
    login, name : str
        Of the account: easy to guess.

    Returns
    -------
    str
        Empty where nothing is wrong.

    Examples
    --------
    >>> password_fault("a ladder in the rain", login="gwen")
    ''
    >>> password_fault("123456789012", login="gwen")
    'is digits only'
    """
    plain = password.strip().casefold()
    if len(password) < LEAST_PASSWORD:
        return f"is shorter than {LEAST_PASSWORD} characters"
    if len(password) > MOST_PASSWORD:
        return f"is longer than {MOST_PASSWORD} characters"
    if len(set(plain)) < 4:
        return "has fewer than four different characters"
    if plain.isdigit():
        return "is digits only"
    if _is_run(plain):
        return "is the alphabet or the keyboard in order"
    if _repeats(plain):
        return "is one short piece again and again"
    known = {login.casefold(), name.casefold(), "".join(name.casefold().split())} - {""}
    return "is the login or the name" if any(_without(plain, one) < 6 for one in known) else ""


def _without(plain: str, known: str) -> int:
    """Count the characters that are left when the login is taken out."""
    return len(plain.replace(known, "")) if known in plain else len(plain)


def _is_run(plain: str) -> bool:
    ways = (
        "abcdefghijklmnopqrstuvwxyz",
        "qwertyuiopasdfghjklzxcvbnm",
        "1234567890qwertyuiopasdfghjklzxcvbnm",
    )
    return any(plain in way * 3 or plain[::-1] in way * 3 for way in ways)


def _repeats(plain: str) -> bool:
    return any(
        len(plain) > size and plain == (plain[:size] * len(plain))[: len(plain)] for size in range(1, 6)
    )
