"""The first day of a season: a crew-day that is said counts wherever people and hours are told, whatever else is missing."""

import pytest

from orchardmap.cli.season_report import report_lines
from orchardmap.model.access import Caller, Grant
from orchardmap.model.calendar import SeasonCalendar
from orchardmap.model.work import CrewDay
from orchardmap.store.session import open_store, sqlite_url
from orchardmap.usecases import recording, working_time
from orchardmap.usecases.crew_days import record_crew_days
from orchardmap.usecases.forecasting import forecast
from orchardmap.usecases.planting import new_id
from orchardmap.usecases.queue_board import read_queues
from orchardmap.usecases.season_report import season_report
from orchardmap.usecases.side_by_side import side_by_side
from small_farm import NOW, TODAY, small_farm


@pytest.fixture
def farm(tmp_path):
    """Crew A pruned 210 trees today, and said at knock-off: three people, eight hours each."""
    store = open_store(sqlite_url(tmp_path / "farm.sqlite"))
    made = small_farm(store)
    prune(store, made, crew=0, rows=(1, 2))
    said = CrewDay(new_id(), made.season.id, made.crews[0].id, TODAY, 3, 8.0, "ladder", None, None, NOW)
    record_crew_days(store, farm_id=made.farm.id, crew_days=[said], sent_at=NOW, now=NOW)
    yield store, made
    store.close()


def prune(store, made, *, crew, rows):
    marks = [made.mark(row, crew=crew) for row in rows]
    recording.record_marks(store, farm_id=made.farm.id, marks=marks, sent_at=NOW, now=NOW)


def expect_a_pace(store, made):
    calendar = SeasonCalendar(expected_pace=6.0, respects_daylight=False)
    working_time.save_calendar(
        store, farm_id=made.farm.id, season_id=made.season.id, calendar=calendar, now=NOW
    )


@pytest.mark.parametrize("others_are_out", [False, True])
@pytest.mark.parametrize("pace_is_expected", [False, True])
def test_people_and_hours_of_today_are_told_everywhere(farm, pace_is_expected, others_are_out):
    """Whether or not the expected pace is entered, and whether or not another crew is still out."""
    store, made = farm
    if pace_is_expected:
        expect_a_pace(store, made)
    if others_are_out:
        prune(store, made, crew=1, rows=(3,))
    crew = made.crews[0].id
    told = forecast(store, made.farm.id, day=None, now=NOW)
    assert [(one["crew_id"], one["people"]) for one in told["crews"]] == [(crew, 3)]
    assert told["unsaid_today"] == ([made.crews[1].id] if others_are_out else [])
    assert ("crews" in told["missing"]) is False
    board = {one["crew_id"]: one for one in read_queues(store, made.farm.id, now=NOW)["crews"]}
    assert (board[crew]["people"], board[crew]["people_known"]) == (3, True)
    assert not board[made.crews[2].id]["people_known"], (
        "as many as the others have is a guess, and told as one"
    )
    caller = Caller(grants={made.farm.id: Grant("adviser")})
    (beside,) = side_by_side(store, caller, now=NOW)["farms"]
    assert (beside["work"]["person_hours"], beside["work"]["trees_per_h"]) == (24.0, 210 / 24)
    lines = report_lines(season_report(store, made.farm.id, day=None, now=NOW))
    assert [line.split() for line in lines if line.startswith("  Crew A  210")] == [
        ["Crew", "A", "210", "trees", "3", "people", "24", "person-hours"]
    ]
    waits = [line for line in lines if "crew-day of Crew B is said, at midnight at the latest" in line]
    assert bool(waits) is others_are_out


def test_a_crew_that_is_out_keeps_today_out_of_the_forecast_and_out_of_no_other_word(farm):
    """Until Crew B says its day the forecast begins on the evening before; with its word today is in it."""
    store, made = farm
    expect_a_pace(store, made)
    prune(store, made, crew=1, rows=(3,))
    before = forecast(store, made.farm.id, day=None, now=NOW)
    assert before["paces"] == []
    assert before["finish"] is not None, "people are known, and a pace is expected"
    assert before["fan"][0][0] < TODAY.isoformat()
    said = CrewDay(new_id(), made.season.id, made.crews[1].id, TODAY, 2, 8.0, "ladder", None, None, NOW)
    record_crew_days(store, farm_id=made.farm.id, crew_days=[said], sent_at=NOW, now=NOW)
    after = forecast(store, made.farm.id, day=None, now=NOW)
    assert {one["crew_id"] for one in after["paces"]} == {one.id for one in made.crews[:2]}
    assert (after["unsaid_today"], after["fan"][0][0]) == ([], TODAY.isoformat())
