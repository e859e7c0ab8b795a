"""The day in progress does not move the forecast to and fro, on both engines: it enters once every crew with people has knocked off."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from orchardmap.model.calendar import CrewStrength, SeasonCalendar
from orchardmap.model.work import CrewDay
from orchardmap.usecases import recording, working_time
from orchardmap.usecases.crew_days import record_crew_days
from orchardmap.usecases.forecasting import forecast
from orchardmap.usecases.planting import new_id
from small_farm import NOW, TODAY, small_farm

BEFORE = [date(2026, 1, 15), date(2026, 1, 16), date(2026, 1, 19)]
ASKED = ("finish", "chance", "short_people", "fan", "blocks", "paces", "earlier")


@pytest.fixture
def farm(shared_store):
    """Two crews that have pruned a row each on three days, a pace expected."""
    made = small_farm(shared_store, new_id())
    calendar = SeasonCalendar(expected_pace=6.0, respects_daylight=False)
    working_time.save_calendar(
        shared_store, farm_id=made.farm.id, season_id=made.season.id, calendar=calendar, now=NOW
    )
    for at, day in enumerate(BEFORE):
        for crew in (0, 1):
            mark(shared_store, made, 1 + 2 * at + crew, crew, day=day)
            knock_off(shared_store, made, crew, day=day)
    return made


def mark(store, farm, row, crew, *, day=TODAY, now=NOW):
    marks = [replace(farm.mark(row, crew=crew), day=day)]
    recording.record_marks(store, farm_id=farm.farm.id, marks=marks, sent_at=now, now=now)


def knock_off(store, farm, crew, *, day=TODAY, now=NOW):
    made = CrewDay(new_id(), farm.season.id, farm.crews[crew].id, day, 3, 8.0, "ladder", None, None, NOW)
    record_crew_days(store, farm_id=farm.farm.id, crew_days=[made], sent_at=now, now=now)


def told(store, farm, now=NOW):
    return forecast(store, farm.farm.id, day=None, now=now)


def asked(store, farm, now=NOW):
    found = told(store, farm, now)
    return {name: found[name] for name in ASKED}


def test_marks_and_crew_days_as_they_come_move_nothing_until_the_last_crew_has_knocked_off(
    shared_store, farm
):
    morning = asked(shared_store, farm)
    assert told(shared_store, farm)["unsaid_today"] == [], "before anybody works nothing is waited for"
    mark(shared_store, farm, 11, 0)
    assert asked(shared_store, farm) == morning
    knock_off(shared_store, farm, 0)
    assert asked(shared_store, farm) == morning
    assert told(shared_store, farm)["unsaid_today"] == [farm.crews[1].id], "it has marked nothing yet"
    mark(shared_store, farm, 12, 1)
    assert asked(shared_store, farm) == morning, "the first mark of the other crew"
    knock_off(shared_store, farm, 1)
    evening = told(shared_store, farm)
    assert evening["unsaid_today"] == []
    assert evening["fan"][0][0] == TODAY.isoformat() > morning["fan"][0][0]


def test_a_crew_that_is_said_to_be_away_is_not_waited_for(shared_store, farm):
    mark(shared_store, farm, 11, 0)
    knock_off(shared_store, farm, 0)
    away = CrewStrength(farm.crews[1].id, TODAY, TODAY, 0)
    working_time.save_strengths(shared_store, farm_id=farm.farm.id, strengths=[away], now=NOW)
    assert told(shared_store, farm)["fan"][0][0] == TODAY.isoformat()


def test_a_crew_that_comes_today_by_a_span_is_waited_for(shared_store, farm):
    comes = CrewStrength(farm.crews[2].id, TODAY, TODAY + timedelta(9), 4)
    working_time.save_strengths(shared_store, farm_id=farm.farm.id, strengths=[comes], now=NOW)
    for crew in (0, 1):
        mark(shared_store, farm, 11 + crew, crew)
        knock_off(shared_store, farm, crew)
    assert told(shared_store, farm)["unsaid_today"] == [farm.crews[2].id]


def test_on_a_day_off_only_those_who_work_are_waited_for_and_at_midnight_nobody(shared_store, farm):
    saturday, now = date(2026, 1, 24), NOW + timedelta(4)
    mark(shared_store, farm, 11, 0, day=saturday, now=now)
    assert told(shared_store, farm, now)["unsaid_today"] == [farm.crews[0].id]
    knock_off(shared_store, farm, 0, day=saturday, now=now)
    assert told(shared_store, farm, now)["fan"][0][0] == saturday.isoformat()
    mark(shared_store, farm, 12, 1, day=saturday, now=now)
    assert told(shared_store, farm, now + timedelta(1))["fan"][0][0] == saturday.isoformat()
