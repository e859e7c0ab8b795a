"""Calendar, people of crews and forecast over the service: who says them, what comes back, what is refused in which words."""

from datetime import timedelta

import pytest

from orchardmap.usecases.planting import new_id
from service_routes import BODIES
from small_farm import NOW, TODAY

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
    stays = span | {"last": None}
    assert service.client.put(address, json={"strengths": [stays]}).json() == {"strengths": [stays]}
    later = span | {"first": "2027-01-01", "last": None}
    assert "the work is done" in service.client.put(address, json={"strengths": [stays, later]}).text
    service.client.put(address, json={"strengths": [span]})
    foreign = span | {"crew_id": other.crews[0].id}
    is_problem(service.client.put(address, json={"strengths": [span, foreign]}), 404)
    meets = span | {"first": "2026-02-06", "last": "2026-02-09"}
    assert (
        is_problem(service.client.put(address, json={"strengths": [meets, span]}), 422)["where"]
        == "2026-02-06"
    )
    assert service.client.get(address).json() == {"strengths": [span]}


def hand_in(service, kind, client=None, **record):
    own = {"id": new_id(), "season_id": service.farm.season.id, "device_at": NOW.isoformat()}
    work = {"crew_id": service.farm.crews[0].id, "method": "ladder"}
    body = {"sent_at": NOW.isoformat(), kind: [own | work | record]}
    said = (client or service.client).post(service.at_farm("/" + kind.replace("_", "-")), json=body)
    assert said.json()["outcomes"][0]["outcome"] == "taken", said.text
    return own["id"]


DAYS = [TODAY - timedelta(n) for n in (6, 5, 4)]


def worked(service):
    """Three days of a crew, marked and typed, with a calendar that expects a pace; the ids of the crew-days."""
    service.client.put(service.at_farm("/calendar"), json=calendar_of(service))
    block_id = service.farm.blocks[0].id
    for row, day in enumerate(DAYS, 1):
        hand_in(service, "marks", block_id=block_id, row=row, first=1, last=105, day=day.isoformat())
    return [hand_in(service, "crew_days", day=day.isoformat(), people=4, hours=7.5) for day in DAYS]


def test_manager_types_and_corrects_crew_days_and_the_forecast_follows(service):
    """From nothing said to a forecast: what is missing is named, then each word counts at once."""
    address = service.at_farm("/forecast")
    assert service.client.get(address).json()["missing"] == ["expected_pace", "crews"]
    typed = worked(service)
    first = service.client.get(address).json()
    assert first["missing"] == []
    assert set(first["finish"]) == {"p10", "p50", "p90"}
    hand_in(service, "crew_days", day=DAYS[0].isoformat(), people=2, hours=7.5, replaces_id=typed[0])
    second = service.client.get(address).json()
    faster, slower = (one["paces"][0]["trees_per_h"] for one in (second, first))
    assert faster > slower, "the same trees in fewer hours"
    for role in ("adviser", "auditor", "foreman"):
        assert service.account(role).get(address).json() == second
    earlier = service.client.get(address, params={"day": DAYS[1].isoformat()}).json()
    assert (earlier["day"], earlier["pruned"]) == (DAYS[1].isoformat(), 210)


def test_what_if_is_asked_by_managers_and_advisers_and_stores_nothing(service):
    worked(service)
    adviser, crew = service.account("adviser"), service.farm.crews[0].id
    before = service.contents()
    asked = {
        "cases": [
            {},
            {"people": {crew: 4}},
            {"crews": [{"people": 5, "method": "platform"}], "ratios": {"platform": 1.587}},
        ]
    }
    told = adviser.post(service.at_farm("/what-if"), json=asked).json()
    forecast = service.client.get(service.at_farm("/forecast")).json()
    same = {name: forecast[name] for name in ("finish", "chance", "short_people")}
    same |= {"sure_by": same["finish"]["p90"]}
    assert told["now"] == told["cases"][0] == same
    assert all(one["finish"]["p50"] < same["finish"]["p50"] for one in told["cases"][1:])
    assert service.contents() == before


@pytest.mark.parametrize(
    ("body", "where"),
    [
        ({"cases": [{}] * 9}, "body.cases"),
        ({"cases": [{"weekdays": "x"}]}, "case 1, weekdays"),
        ({"cases": [{}, {"hours_per_day": 30}]}, "case 2, hours_per_day"),
        ({"cases": [{"methods": {"nobody": "ladder"}}]}, "body.cases"),
        ({"cases": [{"crews": [{"people": 0}]}]}, "body.cases"),
        ({"cases": [], "certainty": 1.0}, "body.certainty"),
        ({"cases": [{"ratios": {"platform": 11}}]}, "case 1, ratios"),
        ({"cases": [{"ratios": {"wings": 2}}]}, "body.cases"),
        ({"cases": [{"moon": 1}]}, "body.cases"),
    ],
)
def test_a_case_that_cannot_be_is_a_problem_that_names_it(shared, is_problem, body, where):
    problem = is_problem(shared.client.post(shared.at_farm("/what-if"), json=body), 422)
    assert problem["where"].startswith(where)
