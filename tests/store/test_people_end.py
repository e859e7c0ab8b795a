"""A forecast that runs out of people says where, on both engines; people without a last day stay until the work is done."""

from datetime import timedelta

import pytest

from orchardmap.model.calendar import OPEN_END, CrewStrength, SeasonCalendar
from orchardmap.usecases import working_time
from orchardmap.usecases.forecasting import forecast
from orchardmap.usecases.planting import new_id
from small_farm import NOW, POSITIONS, ROWS, TODAY, small_farm

TREES = 2 * ROWS * POSITIONS
SHORT = TODAY + timedelta(9)
"""A Thursday: eight working days with today."""


@pytest.fixture
def farm(shared_store):
    made = small_farm(shared_store, new_id())
    calendar = SeasonCalendar(expected_pace=6.0, respects_daylight=False)
    working_time.save_calendar(
        shared_store, farm_id=made.farm.id, season_id=made.season.id, calendar=calendar, now=NOW
    )
    return made


def told(store, farm, *spans):
    made = [CrewStrength(farm.crews[0].id, first, last, people) for first, last, people in spans]
    working_time.save_strengths(store, farm_id=farm.farm.id, strengths=made, now=NOW)
    return forecast(store, farm.farm.id, day=None, now=NOW)


def test_it_says_after_which_day_nobody_is_there_and_how_many_trees_stay(shared_store, farm):
    found = told(shared_store, farm, (TODAY, SHORT, 4))
    assert found["finish"]["p90"] is None
    end = found["people_end"]
    assert end["day"] == SHORT.isoformat()
    likely = {day: pruned for day, _, pruned, _ in found["fan"]}
    assert end["trees"] == TREES - likely[end["day"]]
    # eight days of four people at six trees an hour are 1,536, less what weather and absence take
    assert TREES - 1_536 < end["trees"] < TREES


def test_people_without_a_last_day_finish_it_and_no_end_is_told(shared_store, farm):
    found = told(shared_store, farm, (TODAY, OPEN_END, 4))
    assert found["finish"]["p90"] is not None
    assert found["people_end"] is None
    assert working_time.read_strengths(shared_store, farm.farm.id)[0]["last"] is None


def test_who_is_done_before_the_people_leave_is_told_no_end(shared_store, farm):
    assert told(shared_store, farm, (TODAY, SHORT, 60))["people_end"] is None


def test_a_crew_that_goes_and_one_that_never_comes(shared_store, farm):
    away = (TODAY + timedelta(20), TODAY + timedelta(30), 4)
    later = told(shared_store, farm, (TODAY, TODAY + timedelta(2), 4), away)
    assert later["people_end"]["day"] == (TODAY + timedelta(30)).isoformat()
    weekend = TODAY + timedelta(4)
    nobody = told(shared_store, farm, (weekend, weekend + timedelta(1), 4))
    assert nobody["people_end"] == {"day": None, "trees": TREES}
