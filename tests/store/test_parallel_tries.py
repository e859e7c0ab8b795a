"""Tries at once, on both engines: each is counted or used up before the next is judged."""

from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import pytest

from orchardmap.errors import LockedError, SignInError
from orchardmap.store import access
from orchardmap.store.session import Store
from orchardmap.usecases import account_keeping, new_password
from orchardmap.usecases.signing_in import caller_of, sign_in, sign_in_by_link
from small_farm import NOW

GUESSES = 16


def test_no_more_than_five_of_many_guesses_at_once_are_judged(store: Store) -> None:
    def guess(number: int) -> str:
        with pytest.raises((SignInError, LockedError)) as told:
            sign_in(store, login="gwen", password=f"guess number {number}", address="192.0.2.1", now=NOW)
        return type(told.value).__name__

    with ThreadPoolExecutor(GUESSES) as many:
        answers = Counter(many.map(guess, range(GUESSES)))
    assert answers == {"SignInError": 5, "LockedError": GUESSES - 5}


def test_of_new_passwords_by_many_links_at_once_the_first_one_ends_all_other_sessions(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    """None of them waits for another in a ring. Without the hashing, which would keep them apart."""
    monkeypatch.setattr(new_password, "hashed_password", lambda password, _account: password)
    gwen = account_keeping.add_account(
        store, login="gwen", name="Gwen", password="a ladder in the rain", now=NOW
    )
    sessions = [
        sign_in_by_link(store, code=account_keeping.make_link(store, gwen, now=NOW), now=NOW)
        for _ in range(GUESSES)
    ]
    callers = [caller_of(store, session=one, device=None, now=NOW) for one in sessions]

    def set_new(number: int) -> int | None:
        said: dict[str, Any] = {"caller": callers[number], "session": sessions[number]}
        try:
            new_password.change_password(store, **said, old=None, new=str(number), now=NOW)
        except SignInError:
            return None
        return number

    with ThreadPoolExecutor(GUESSES) as many:
        (first,) = set(many.map(set_new, range(GUESSES))) - {None}
    running = [caller_of(store, session=one, device=None, now=NOW).account for one in sessions]
    assert [number for number, account in enumerate(running) if account] == [first]
    with store.read() as conn:
        assert access.password_hash(conn, gwen.id) == str(first)
