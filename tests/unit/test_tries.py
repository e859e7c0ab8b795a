"""How long wrong tries lock, and which passwords are too easy: the arithmetic, without a store."""

from datetime import UTC, datetime, timedelta

import pytest

from orchardmap.model.tries import (
    CODE_TRIES,
    EVERYWHERE_TRIES,
    LOGIN_TRIES,
    PIN_TRIES,
    Tries,
    after_failure,
    locked_for,
    password_fault,
)

START = datetime(2026, 1, 20, 12, tzinfo=UTC)


def tried(bound, hours):
    """Wrong tries of somebody who never rests: each as soon as it is looked at, for so long."""
    now, tries, count, locks = START, None, 0, []
    while now < START + timedelta(hours=hours):
        tries, count = after_failure(tries, bound, now), count + 1
        wait = locked_for(tries, now)
        if wait:
            locks.append(wait)
            now += wait
    return count, locks


def test_locks_after_five_and_doubles_up_to_a_day():
    _, locks = tried(LOGIN_TRIES, 24 * 4)
    minutes = [lock / timedelta(minutes=1) for lock in locks]
    assert minutes[:8] == [15, 30, 60, 120, 240, 480, 960, 1440]
    assert set(minutes[8:]) <= {1440}


def test_guesses_in_a_day_stay_far_below_what_the_design_allows():
    """Design 06b, section 4.3: at most 480 a day, 0.048 % of the six-digit PINs; doubling leaves 35."""
    assert tried(PIN_TRIES, 24)[0] == 35
    assert tried(PIN_TRIES, 24)[0] / 10**6 < 0.00048


def test_guesses_in_a_day_at_one_login_stay_below_that_from_however_many_addresses():
    """Whoever has all the addresses of the world, and takes new ones whenever the login can be tried at all."""
    now, everywhere, guesses = START, None, 0
    places: list[Tries | None] = [None]
    while now < START + timedelta(hours=24):
        for number, place in enumerate(places):
            while not locked_for(everywhere, now) and not locked_for(place, now):
                place = places[number] = after_failure(place, LOGIN_TRIES, now)
                guesses += 1
                if place.failures <= LOGIN_TRIES.tries:
                    everywhere = after_failure(everywhere, EVERYWHERE_TRIES, now)
        if locked_for(everywhere, now):
            now += locked_for(everywhere, now)
        else:
            places.append(None)
    assert len(places) > 20
    assert 300 < guesses <= 480


def test_a_quiet_day_is_forgotten_but_not_a_lock_that_still_holds():
    tries = None
    for _ in range(4):
        tries = after_failure(tries, LOGIN_TRIES, START)
    assert after_failure(tries, LOGIN_TRIES, START + timedelta(hours=24)).failures == 1
    assert after_failure(tries, LOGIN_TRIES, START + timedelta(hours=23, minutes=59)).failures == 5
    for _ in range(31):
        tries = after_failure(tries, LOGIN_TRIES, START)  # seven locks: 960 minutes
    assert locked_for(tries, START) == timedelta(minutes=960)
    assert after_failure(tries, LOGIN_TRIES, START + timedelta(hours=39)).failures == 36
    assert after_failure(tries, LOGIN_TRIES, START + timedelta(hours=40)).failures == 1


def test_wrong_codes_lock_for_ten_minutes_each_time():
    _, locks = tried(CODE_TRIES, 1)
    assert set(locks) == {timedelta(minutes=10)}


GOOD = [
    "a ladder in the rain",
    "correct-horse-9",
    "ÄÖÜ straße im Winter",
    "gwen is not a good one",
    "x1y2z3w4v5u6",
]
EASY = {
    "elevenchars": "shorter than 12",
    "x" * 1001: "longer than 1000",
    "aaaaaaaaaaaa": "fewer than four",
    "ababababababab": "fewer than four",
    "123456123456": "digits only",
    "927461830274": "digits only",
    "abcdefghijklm": "in order",
    "qwertyuiopasdf": "in order",
    "mnbvcxzlkjhgf": "in order",
    "gwen1gwen1gwen1": "again and again",
    "gwenllian2026": "login or the name",
    "Gwenllian.Pugh!": "",
    "GWENLLIAN----": "login or the name",
}


@pytest.mark.parametrize("password", GOOD)
def test_long_password_is_good_whatever_it_is_made_of(password):
    assert password_fault(password, login="gwen", name="Gwen Pugh") == ""


@pytest.mark.parametrize("password", EASY)
def test_easy_password_is_refused_with_the_reason(password):
    fault = password_fault(password, login="gwenllian", name="G P")
    assert (EASY[password] in fault) if EASY[password] else fault == ""
