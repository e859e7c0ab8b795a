"""The working calendar of a season and the people of crews, on both engines: what is said is kept, told and noted, or refused whole."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from orchardmap.errors import InputError, UnknownError
from orchardmap.model.calendar import CrewStrength, DayOff, SeasonCalendar
from orchardmap.store import audit, log
from orchardmap.usecases import planting, working_time
from orchardmap.usecases.planting import new_id
from small_farm import NOW, TODAY, small_farm

SAID = SeasonCalendar(
    "1111110",
    7.5,
    (DayOff(date(2026, 2, 2), "Candlemas"), DayOff(date(2026, 1, 26), "")),
    (20.0, 15.0, *[5.0] * 10),
    12.5,
    respects_daylight=False,
)


@pytest.fixture
def farm(shared_store):
    return small_farm(shared_store, new_id())


def save(store, farm, calendar):
    return working_time.save_calendar(
        store, farm_id=farm.farm.id, season_id=farm.season.id, calendar=calendar, now=NOW
    )


def noted(store, farm, what):
    with store.read() as conn:
        found = list(audit.entries(conn))
    return [dict(one.detail) for one in found if one.what == what and one.farm_id == farm.farm.id]


def told(store, farm, kind):
    with store.read() as conn:
        return [one for one in log.changes_after(conn, farm.farm.id, 0, limit=1000) if one.kind == kind]


def test_before_anybody_saved_one_there_are_first_guesses_and_no_pace(shared_store, farm):
    found = working_time.read_calendar(shared_store, farm.farm.id, now=NOW)
    assert found == {
        "season_id": farm.season.id,
        "is_set": False,
        "weekdays": "1111100",
        "hours_per_day": 8.0,
        "days_off": [],
        "lost_percent": [10.0] * 12,
        "expected_pace": None,
        "respects_daylight": True,
    }


def test_a_calendar_is_kept_whole_told_once_and_noted(shared_store, farm):
    other = small_farm(shared_store, new_id())
    for _ in range(2):
        saved = save(shared_store, farm, SAID)
    assert saved == working_time.read_calendar(shared_store, farm.farm.id, now=NOW)
    assert saved["is_set"] is True
    assert saved["days_off"] == [
        {"day": "2026-01-26", "name": ""},
        {"day": "2026-02-02", "name": "Candlemas"},
    ]
    assert (saved["weekdays"], saved["hours_per_day"], saved["expected_pace"]) == ("1111110", 7.5, 12.5)
    assert saved["lost_percent"] == list(SAID.lost_percent)
    assert saved["respects_daylight"] is False
    assert working_time.read_calendar(shared_store, other.farm.id, now=NOW)["is_set"] is False
    assert [one.subject_id for one in told(shared_store, farm, "calendar")] == [farm.season.id]
    assert noted(shared_store, farm, "calendar_saved") == [
        {"weekdays": "1111110", "hours_per_day": "7.5", "days_off": 2, "expected_pace": "12.5"}
    ]
    fewer = save(shared_store, farm, replace(SAID, days_off=(), expected_pace=None))
    assert (fewer["days_off"], fewer["expected_pace"]) == ([], None)
    assert working_time.read_calendar(shared_store, farm.farm.id, now=NOW) == fewer


def test_each_season_has_a_calendar_of_its_own(shared_store, farm):
    later = TODAY + timedelta(days=300)
    next_season = planting.add_season(
        shared_store,
        farm_id=farm.farm.id,
        name="2026/27",
        opens_on=later,
        must_finish_on=later + timedelta(days=90),
    )
    save(shared_store, farm, SAID)
    found = working_time.read_calendar(shared_store, farm.farm.id, day=later, now=NOW)
    assert (found["season_id"], found["is_set"]) == (next_season.id, False)


@pytest.mark.parametrize(
    ("changes", "where", "says"),
    [
        ({"weekdays": "0000000"}, "weekdays", "no day of the week"),
        ({"weekdays": "11111"}, "weekdays", "Monday first"),
        ({"weekdays": "111112x"}, "weekdays", "Monday first"),
        ({"hours_per_day": 0.0}, "hours_per_day", "at most 24"),
        ({"hours_per_day": 24.5}, "hours_per_day", "at most 24"),
        ({"lost_percent": (10.0,) * 11}, "lost_percent", "twelve"),
        ({"lost_percent": (10.0, 96.0, *[10.0] * 10)}, "lost_percent", "month 2 loses 96 %"),
        ({"lost_percent": (-1.0, *[10.0] * 11)}, "lost_percent", "month 1 loses -1 %"),
        ({"expected_pace": 0.0}, "expected_pace", "above 0"),
        ({"expected_pace": 1001.0}, "expected_pace", "1000 trees per person-hour"),
        ({"days_off": (DayOff(date(2025, 1, 1), "New Year"),)}, "days_off", "2025-01-01 lies outside"),
        ({"days_off": (DayOff(date(2028, 1, 1), "New Year"),)}, "days_off", "2028-01-01 lies outside"),
        ({"days_off": (DayOff(TODAY, "a"), DayOff(TODAY, "b"))}, "days_off", f"{TODAY} stands there twice"),
    ],
)
def test_what_nobody_can_work_by_is_refused_and_changes_nothing(shared_store, farm, changes, where, says):
    save(shared_store, farm, SAID)
    with pytest.raises(InputError, match=says) as refused:
        save(shared_store, farm, replace(SAID, **changes))
    assert refused.value.where == where
    kept = working_time.read_calendar(shared_store, farm.farm.id, now=NOW)
    assert (kept["weekdays"], kept["expected_pace"], len(kept["days_off"])) == ("1111110", 12.5, 2)
    assert len(told(shared_store, farm, "calendar")) == 1


def test_another_farms_season_is_not_there(shared_store, farm):
    other = small_farm(shared_store, new_id())
    with pytest.raises(UnknownError, match="no such season"):
        working_time.save_calendar(
            shared_store, farm_id=farm.farm.id, season_id=other.season.id, calendar=SAID, now=NOW
        )
    empty = planting.create_farm(shared_store, name=new_id(), time_zone="UTC", now=NOW)
    with pytest.raises(UnknownError, match="no season yet"):
        working_time.read_calendar(shared_store, empty.id, now=NOW)


def days(n):
    return TODAY + timedelta(days=n)


def strengthen(store, farm, *spans):
    strengths = [CrewStrength(farm.crews[crew].id, days(a), days(b), people) for crew, a, b, people in spans]
    return working_time.save_strengths(store, farm_id=farm.farm.id, strengths=strengths, now=NOW)


def test_people_of_crews_are_kept_by_spans_told_once_and_noted(shared_store, farm):
    other = small_farm(shared_store, new_id())
    strengthen(shared_store, other, (0, 0, 9, 3))
    for _ in range(2):
        saved = strengthen(shared_store, farm, (1, 0, 5, 4), (0, 7, 9, 0), (0, 0, 6, 8))
    assert [(one["crew_id"], one["first"], one["people"]) for one in saved] == [
        (farm.crews[0].id, "2026-01-20", 8),
        (farm.crews[0].id, "2026-01-27", 0),
        (farm.crews[1].id, "2026-01-20", 4),
    ]
    assert saved == working_time.read_strengths(shared_store, farm.farm.id)
    assert len(told(shared_store, farm, "strengths")) == 1
    assert noted(shared_store, farm, "strengths_saved") == [{"spans": 3}]
    assert strengthen(shared_store, farm) == []
    assert len(working_time.read_strengths(shared_store, other.farm.id)) == 1


@pytest.mark.parametrize(
    ("spans", "where", "says"),
    [
        ([(0, 5, 4, 8)], "2026-01-25", "before it starts"),
        ([(0, 0, 5, 8), (0, 5, 9, 4)], "2026-01-25", "lasts until 2026-01-25"),
        ([(0, 0, 9, 8), (0, 2, 3, 4)], "2026-01-22", "two spans of one crew meet"),
        ([(0, 0, 5, -1)], "2026-01-20", "-1 people"),
        ([(0, 0, 5, 1001)], "2026-01-20", "Give 0 to 1000"),
    ],
)
def test_spans_that_cannot_be_are_refused_by_their_first_day(shared_store, farm, spans, where, says):
    strengthen(shared_store, farm, (2, 0, 9, 5))
    with pytest.raises(InputError, match=says) as refused:
        strengthen(shared_store, farm, *spans)
    assert refused.value.where == where
    assert [one["people"] for one in working_time.read_strengths(shared_store, farm.farm.id)] == [5]


def test_another_farms_crew_is_not_there(shared_store, farm):
    other = small_farm(shared_store, new_id())
    strengths = [CrewStrength(other.crews[0].id, TODAY, TODAY, 4)]
    with pytest.raises(UnknownError, match="no such crew"):
        working_time.save_strengths(shared_store, farm_id=farm.farm.id, strengths=strengths, now=NOW)
