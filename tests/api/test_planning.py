"""Calendar, people of crews and forecast over the service: who says them, what comes back, what is refused in which words."""

import pytest

from service_routes import BODIES

FARM = "/api/farms/{farm_id}"


def calendar_of(service, **changes):
    return BODIES[f"{FARM}/calendar"] | {"season_id": service.farm.season.id} | changes


def test_manager_saves_the_calendar_and_everybody_on_the_farm_reads_it(service):
    address = service.at_farm("/calendar")
    assert service.client.get(address).json()["is_set"] is False
    saved = service.client.put(address, json=calendar_of(service))
    assert saved.status_code == 200
    assert saved.json() == calendar_of(service) | {"is_set": True}
    for role in ("adviser", "auditor", "foreman"):
        assert service.account(role).get(address).json() == saved.json()
    changed = service.client.get(service.at_farm("/changes")).json()["changes"]
    assert {one["kind"] for one in changed} >= {"calendar"}


@pytest.mark.parametrize(
    ("changes", "where"),
    [
        ({"weekdays": "0000000"}, "weekdays"),
        ({"hours_per_day": 25}, "hours_per_day"),
        ({"lost_percent": [10] * 11}, "lost_percent"),
        ({"expected_pace": -1}, "expected_pace"),
        ({"days_off": [{"day": "2026-02-02"}, {"day": "2026-02-02"}]}, "days_off"),
        ({"hours_per_day": "8"}, "body.hours_per_day"),
        ({"respects_daylight": "yes"}, "body.respects_daylight"),
        ({"days_off": [{"day": "2026-02-30"}]}, "body.days_off"),
        ({"moon": 1}, "body.moon"),
    ],
)
def test_a_calendar_that_cannot_be_is_refused_by_the_name_of_its_field(shared, is_problem, changes, where):
    address = shared.at_farm("/calendar")
    before = shared.client.get(address).json()
    problem = is_problem(shared.client.put(address, json=calendar_of(shared, **changes)), 422)
    assert problem["where"].startswith(where)
    assert shared.client.get(address).json() == before


def test_people_of_crews_are_said_whole_and_another_farms_crew_is_not_there(service, is_problem):
    address, other = service.at_farm("/strengths"), service.another_farm()
    span = {"crew_id": service.farm.crews[0].id, "first": "2026-01-26", "last": "2026-02-06", "people": 9}
    assert service.client.put(address, json={"strengths": [span]}).json() == {"strengths": [span]}
    assert service.account("foreman").get(address).json() == {"strengths": [span]}
    foreign = span | {"crew_id": other.crews[0].id}
    is_problem(service.client.put(address, json={"strengths": [span, foreign]}), 404)
    meets = span | {"first": "2026-02-06", "last": "2026-02-09"}
    assert (
        is_problem(service.client.put(address, json={"strengths": [meets, span]}), 422)["where"]
        == "2026-02-06"
    )
    assert service.client.get(address).json() == {"strengths": [span]}
