"""Farms side by side: what each tells is what its own screens tell, and nothing of a farm that one does not read."""

from datetime import timedelta

import pytest

from orchardmap.model.calendar import SeasonCalendar
from orchardmap.model.work import CrewDay
from orchardmap.quality.intervals import wilson_interval
from orchardmap.usecases import planting, recording, working_time
from orchardmap.usecases.crew_days import record_crew_days
from orchardmap.usecases.planting import new_id
from signing import bearer, signed_in
from small_farm import NOW, POSITIONS, TODAY, small_farm

LAST_WEEK = TODAY - timedelta(days=7)


@pytest.fixture
def neighbour(service):
    """A second farm in the same service."""
    return small_farm(service.store, new_id())


def client_of(service, **roles):
    """Return a client of an account that has these roles, by the farm's id."""
    return bearer(
        service.stranger(), signed_in(service.store, {k: (v, None) for k, v in roles.items()}, now=NOW)
    )


def work(service, farm, *, rows, day, hours, faulty=0):
    """Crew A prunes whole rows of the first block, three people so many hours each; two trees a row are looked at that day."""
    marks = [farm.mark(row, 1, POSITIONS, day=day) for row in rows]
    recording.record_marks(service.store, farm_id=farm.farm.id, marks=marks, sent_at=NOW, now=NOW)
    said = CrewDay(new_id(), farm.season.id, farm.crews[0].id, day, 3, hours, "ladder", None, None, NOW)
    record_crew_days(service.store, farm_id=farm.farm.id, crew_days=[said], sent_at=NOW, now=NOW)
    checks = [
        farm.check(row, at, day=day, verdict="faulty" if row in rows[:faulty] and at == 9 else "meets")
        for row in rows
        for at in (9, 40)
    ]
    recording.record_checks(service.store, farm_id=farm.farm.id, checks=checks, sent_at=NOW, now=NOW)


def told_of(client, farm):
    (told,) = [
        one for one in client.get("/api/farms/side-by-side").json()["farms"] if one["id"] == farm.farm.id
    ]
    return told


def test_only_farms_that_one_manages_or_advises_are_told(service, neighbour):
    """An auditor, a foreman and a tablet have nothing to lay side by side; who advises one farm of two sees that one alone."""
    first, second = service.farm.farm, neighbour.farm
    both = client_of(service, **{first.id: "manager", second.id: "adviser"})
    told = both.get("/api/farms/side-by-side").json()["farms"]
    assert {(one["id"], one["role"]) for one in told} == {(first.id, "manager"), (second.id, "adviser")}
    one = client_of(service, **{second.id: "adviser"}).get("/api/farms/side-by-side")
    assert [farm["id"] for farm in one.json()["farms"]] == [second.id]
    assert first.id not in one.text
    assert first.name not in one.text
    checks = client_of(service, **{first.id: "auditor", second.id: "auditor"})
    assert checks.get("/api/farms/side-by-side").json() == {"farms": []}


def test_weeks_and_varieties_add_up_to_what_overview_and_forecast_tell(service):
    farm = service.farm
    calendar = SeasonCalendar(hours_per_day=7.0, expected_pace=10.0)
    working_time.save_calendar(
        service.store, farm_id=farm.farm.id, season_id=farm.season.id, calendar=calendar, now=NOW
    )
    work(service, farm, rows=[1, 2, 3], day=LAST_WEEK, hours=7.0, faulty=1)
    work(service, farm, rows=[4, 5], day=TODAY, hours=5.0, faulty=2)
    told = told_of(service.client, farm)
    overview = service.client.get(service.at_farm("/overview")).json()
    assert told["figures"] == overview["figures"]
    assert told["finish"] == service.client.get(service.at_farm("/forecast")).json()["finish"]
    weeks = {one["monday"]: one for one in told["weeks"] if one["key"] is None}
    assert {monday: one["trees"] for monday, one in weeks.items()} == {
        "2026-01-12": 3 * POSITIONS,
        "2026-01-19": 2 * POSITIONS,
    }
    before, now = weeks["2026-01-12"], weeks["2026-01-19"]
    assert before["trees_per_h"] == pytest.approx(3 * POSITIONS / 21.0)
    assert now["trees_per_h"] == pytest.approx(2 * POSITIONS / 15.0)
    assert (before["faulty"], before["checked"]) == (1, 6)
    assert (now["faulty"], now["checked"]) == (2, 4)
    assert told["work"]["trees"] == overview["figures"]["pruned"] == 5 * POSITIONS
    assert told["work"]["wilson"] == list(wilson_interval(3, 10))
    assert sum(one["trees"] for one in told["varieties"]) == told["work"]["trees"]
    assert sum(one["trees_in_all"] for one in told["varieties"]) == overview["figures"]["trees"]


def test_a_variety_is_one_however_its_name_is_written(service, neighbour):
    names = {service.farm: "D’Arcy  Spice", neighbour: "d'arcy spice"}
    keys = []
    for farm, name in names.items():  # the other block keeps its variety
        variety = planting.add_variety(service.store, farm_id=farm.farm.id, name=name, habit="tip")
        path = f"/api/blocks/{farm.blocks[0].id}"
        client = client_of(service, **{farm.farm.id: "manager"})
        assert client.patch(path, json={"variety_id": variety.id}).status_code == 204
        keys.append({one["key"] for one in told_of(client, farm)["varieties"]})
    assert keys == [{"d'arcy spice", "irish peach"}] * 2


def test_a_farm_without_a_season_is_told_with_nothing_done(service):
    bare = planting.create_farm(service.store, name=new_id(), time_zone="UTC", now=NOW)
    (told,) = client_of(service, **{bare.id: "adviser"}).get("/api/farms/side-by-side").json()["farms"]
    assert (told["season"], told["finish"], told["varieties"], told["weeks"]) == (None, None, [], [])
    assert told["work"] == {
        "trees": 0, "person_hours": 0.0, "trees_per_h": None, "checked": 0, "faulty": 0, "wilson": None
    }  # fmt: skip
