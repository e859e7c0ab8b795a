"""The demo's ways in: they work more than once, those of an earlier start do not, and only the manager has a password."""

import re
from datetime import date, timedelta

import pytest
from sqlalchemy import select

from orchardmap.demo import people, visitors
from orchardmap.errors import GoneError, SignInError, UnknownError
from orchardmap.store import access_tables
from orchardmap.store.session import open_store, sqlite_url
from orchardmap.usecases import confirming, planting, signing_in, tablets
from small_farm import NOW


@pytest.fixture
def store(tmp_path):
    made = open_store(sqlite_url(tmp_path / "demo.sqlite"))
    farm = planting.create_farm(made, name=people.FARM_NAME, time_zone=people.TIME_ZONE, now=NOW)
    opens, closes = date(2025, 12, 1), date(2026, 3, 1)
    planting.add_season(made, farm_id=farm.id, name="2025/26", opens_on=opens, must_finish_on=closes)
    crew = planting.add_crew(made, farm_id=farm.id, name=visitors.GANG.name)
    planting.add_person(made, farm_id=farm.id, name=visitors.GANG.foreman, role="foreman", crew_id=crew.id)
    yield made
    made.close()


def roles(store, ways):
    found = []
    for way in ways:
        code = way.path.partition("link=")[2]
        if code:
            token = signing_in.sign_in_by_link(store, code=code, now=NOW)
            caller = signing_in.caller_of(store, session=token, device=None, now=NOW)
        else:
            token = tablets.pair(store, code=way.path.partition("#")[2], place="here", now=NOW)
            caller = signing_in.caller_of(store, session=None, device=token, now=NOW)
        found += [grant.role for grant in caller.grants.values()]
    return found


def test_ways_in_work_more_than_once_and_until_the_next_start(store):
    first = visitors.ways_in(store, now=NOW)
    for _ in range(2):
        assert roles(store, first) == ["manager", "auditor", "adviser", "foreman"]
    second = visitors.ways_in(store, now=NOW)
    assert roles(store, second) == ["manager", "auditor", "adviser", "foreman"]
    for way in first:
        with pytest.raises(GoneError):
            roles(store, [way])
    with store.read() as conn:
        a = access_tables.accounts.c
        having = conn.execute(select(a.login).where(a.password_hash.is_not(None))).scalars().all()
    assert having == ["gwenllian"]


def test_password_that_is_printed_confirms_and_the_one_of_an_earlier_start_does_not(store):
    """Else the demo's manager could settle for ten minutes and then no more."""
    first, second = (visitors.ways_in(store, now=NOW)[0] for _ in range(2))
    token = signing_in.sign_in_by_link(store, code=second.path.partition("link=")[2], now=NOW)
    later = NOW + timedelta(minutes=11)
    caller = signing_in.caller_of(store, session=token, device=None, now=later)
    assert not caller.is_confirmed(later)
    old, password = (way.words.rpartition(": ")[2].rstrip(")") for way in (first, second))
    assert re.fullmatch(r"[a-z2-7]{4}(-[a-z2-7]{4}){2}", password)
    with pytest.raises(SignInError):
        confirming.confirm(store, caller, session=token, password=old, now=later)
    confirming.confirm(store, caller, session=token, password=password, now=later)
    assert signing_in.caller_of(store, session=token, device=None, now=later).is_confirmed(later)


def test_pin_that_is_printed_takes_the_tablet(store):
    way = visitors.ways_in(store, now=NOW)[-1]
    assert visitors.PIN in way.words
    token = tablets.pair(store, code=way.path.partition("#")[2], place="here", now=NOW)
    device = signing_in.caller_of(store, session=None, device=token, now=NOW).device
    assert device is not None
    ((person, has_pin),) = tablets.people(store, device)
    assert (person.name, has_pin) == (visitors.GANG.foreman, True)
    assert tablets.take(store, device, person_id=person.id, pin=visitors.PIN, now=NOW).holder_id == person.id


def test_other_database_gets_no_ways_in(tmp_path):
    made = open_store(sqlite_url(tmp_path / "other.sqlite"))
    try:
        with pytest.raises(UnknownError):
            visitors.ways_in(made, now=NOW)
    finally:
        made.close()
