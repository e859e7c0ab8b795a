"""A flood of wrong tries: the tables stay small, and nobody is locked out by it elsewhere. On both engines."""

from collections import Counter
from datetime import timedelta

import pytest
from sqlalchemy import func, select

from orchardmap.errors import GoneError, LockedError, SignInError
from orchardmap.model.access import Caller
from orchardmap.store import audit, tries
from orchardmap.store.access_tables import audit_log, failed_tries
from orchardmap.usecases import account_keeping, confirming, signing_in, tablets
from orchardmap.usecases.audit import verify
from small_farm import NOW

PASSWORD = "a ladder in the rain"
STRANGER, HERS = "192.0.2.1", "198.51.100.7"


@pytest.fixture
def gwen(store):
    return account_keeping.add_account(store, login="gwen", name="Gwen", password=PASSWORD, now=NOW)


@pytest.fixture
def quick(monkeypatch):
    """Without the hashing, which takes its time for each try: what is counted is the point here."""
    monkeypatch.setattr(signing_in, "matches", lambda secret, kept: secret == PASSWORD and kept is not None)


def tried(store, login, *, address=STRANGER, now=NOW, password="a ladder in the snow", known=None):
    try:
        return signing_in.sign_in(
            store, login=login, password=password, address=address, known=known, now=now
        )
    except (SignInError, LockedError) as error:
        return type(error).__name__


def rows(store):
    with store.read() as conn:
        return {
            table.name: conn.execute(select(func.count()).select_from(table)).scalar_one()
            for table in (failed_tries, audit_log)
        }


def noted(store, what):
    with store.read() as conn:
        return [entry for entry in audit.entries(conn) if entry.what == what]


def test_a_thousand_logins_from_one_address_leave_a_few_rows_and_keep_nobody_else_out(store, gwen):
    answers = Counter(tried(store, f"login-{number}") for number in range(1_000))
    assert answers == {"SignInError": 20, "LockedError": 980}
    assert rows(store)["failed_tries"] <= 2 * 20 + 2
    assert len(noted(store, "sign_in_failed")) == 1, "an entry an hour, not one for each try"
    assert tried(store, "gwen", password=PASSWORD) == "LockedError", "the address itself must wait"
    assert tried(store, "gwen", password=PASSWORD, address=HERS) not in answers
    later = NOW + timedelta(hours=1)
    assert tried(store, "login-1", now=later) == "SignInError"
    assert [entry.detail for entry in noted(store, "sign_in_failed")] == [{"tries": 1}, {"tries": 20}]
    assert verify(store).fault == ""


def test_flood_from_ever_new_addresses_is_kept_within_bounds(store, gwen, quick, monkeypatch):
    """A smaller bound stands in for the real one; who was counted last is the one still counted."""
    monkeypatch.setattr(tries, "MOST_KEPT", 40)
    for _ in range(5):
        assert tried(store, "gwen") == "SignInError"
    for number in range(10):
        assert tried(store, f"x{number}", address=f"203.0.113.{number}") == "SignInError"
        assert rows(store)["failed_tries"] <= 40 + 1, "and one for what the log is still to be told"
    assert tried(store, "gwen") == "LockedError", "few others came: it is still counted"
    for number in range(60):
        at = NOW + timedelta(seconds=number)
        assert tried(store, f"y{number}", address=f"2001:db8:{number}::", now=at) == "SignInError"
    assert rows(store) == {"failed_tries": 40 + 1, "audit_log": 3}
    assert {entry.what for entry in noted(store, "sign_in_locked")} == {"sign_in_locked"}
    assert tried(store, "gwen", password=PASSWORD, address=HERS) not in {"SignInError", "LockedError"}


def test_wrong_pairing_codes_from_many_places_fill_nothing_either(store, monkeypatch):
    monkeypatch.setattr(tries, "MOST_KEPT", 5)
    for number in range(8):
        for status in (GoneError, GoneError, GoneError, GoneError, GoneError, LockedError):
            with pytest.raises(status):
                tablets.pair(store, code="AAAABBBB", place=f"address:203.0.113.{number}", now=NOW)
    assert rows(store) == {"failed_tries": 5 + 1, "audit_log": 1}


def test_what_was_quiet_for_a_day_is_forgotten_with_the_next_try_but_no_lock_that_holds(store, gwen, quick):
    for number in range(19):
        tried(store, f"login-{number}")
    for hour in range(0, 32, 4):  # the sixth lock of a login holds for eight hours, the seventh for sixteen
        for _ in range(5):
            tried(store, "gwen", address=HERS, now=NOW + timedelta(hours=hour))
    later = NOW + timedelta(hours=32)
    assert tried(store, "new", address="203.0.113.9", now=later) == "SignInError"
    with store.read() as conn:
        left = set(conn.execute(select(failed_tries.c.subject)).scalars())
    assert len(left) <= 3 + 3 + 1, left
    assert tried(store, "gwen", password=PASSWORD, address=HERS, now=later) == "LockedError"


def test_stranger_at_one_address_or_two_locks_nobody_out_elsewhere(store, gwen, quick):
    """However long: only the first five wrong tries of an address count beyond it. Three addresses reach everywhere."""
    token = tried(store, "gwen", password=PASSWORD, address=HERS)
    for shift in range(3):
        now = NOW + timedelta(hours=8 * shift)
        for address in (STRANGER, "192.0.2.2"):
            answers = [tried(store, "gwen", address=address, now=now) for _ in range(6)]
            assert answers == ["SignInError"] * 5 + ["LockedError"]
            assert tried(store, "gwen", password=PASSWORD, address=address, now=now) == "LockedError"
    assert tried(store, "gwen", password=PASSWORD, address="203.0.113.9", now=now) not in {
        "SignInError",
        "LockedError",
    }
    for number in range(3):
        for _ in range(5):
            tried(store, "gwen", address=f"203.0.113.{number}", now=now)
    assert tried(store, "gwen", password=PASSWORD, address=HERS, now=now) == "LockedError"
    assert tried(store, "gwen", password=PASSWORD, address=HERS, known=token, now=now) not in {
        "SignInError",
        "LockedError",
    }, "nor out of the browser where she was signed in before"
    assert {entry.subject for entry in noted(store, "sign_in_locked")} == {gwen.id}


def test_a_day_of_guesses_at_ones_own_password_stays_bounded_however_many_sessions(store, gwen, monkeypatch):
    """Each try comes from a session of its own that nothing was tried in before: more than anybody could find open."""
    monkeypatch.setattr(confirming, "matches", lambda *_: False)
    account = Caller(gwen)
    guesses: Counter[str] = Counter()
    for minute in range(0, 24 * 60, 15):
        for number in range(16):
            with pytest.raises((SignInError, LockedError)) as refused:
                confirming.take_own_password(
                    store,
                    account,
                    session=f"{minute} {number}",
                    password="",
                    kept="",
                    now=NOW + timedelta(minutes=minute),
                )
            guesses[refused.type.__name__] += 1
            if refused.type is LockedError:
                break
    assert guesses["SignInError"] == 7 * 15


def test_a_session_in_which_the_password_was_just_given_is_held_to_its_own_tries(store, gwen, monkeypatch):
    monkeypatch.setattr(confirming, "matches", lambda *_: False)
    fresh = Caller(gwen, confirmed_at=NOW, confirmed_by="password")
    answers = []
    for _ in range(7):
        with pytest.raises((SignInError, LockedError)) as refused:
            confirming.take_own_password(store, fresh, session="hers", password="", kept="", now=NOW)
        answers.append(refused.type)
    assert answers == [SignInError] * 5 + [LockedError] * 2
