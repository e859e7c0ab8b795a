"""Wrong tries at once, on both engines: the lock counts each of them before the next is judged."""

from collections import Counter
from concurrent.futures import ThreadPoolExecutor

import pytest

from orchardmap.errors import LockedError, SignInError
from orchardmap.store.session import Store
from orchardmap.usecases.signing_in import sign_in
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
