"""Settings, varieties and slopes over the service: what a form sends, and what it is told where that cannot be."""

import pytest

from orchardmap.pruning.farm_settings import SETTINGS
from orchardmap.store import audit


def told(answer):
    assert answer.status_code == 200, answer.text
    return {one["name"]: one for one in answer.json()["settings"]}


def test_adviser_reads_and_saves_settings(service):
    adviser, address = service.account("adviser"), service.at_farm("/settings")
    first = told(adviser.get(address))
    assert list(first) == list(SETTINGS)
    everything = {name: one["value"] for name, one in first.items()} | {"slope_caution_percent": 20}
    saved = told(adviser.put(address, json=everything))
    assert saved == first | {"slope_caution_percent": first["slope_caution_percent"] | {"value": 20.0}}
    assert told(service.client.put(address, json={"line_reach_m": 2})) == told(adviser.get(address))
    assert told(adviser.get(address))["slope_caution_percent"]["value"] == 20.0


def test_adviser_chooses_how_lots_are_checked_among_what_there_is(service):
    adviser, address = service.account("adviser"), service.at_farm("/settings")
    said = {"check_kind": "two_points", "check_level": "II", "check_aql": 6.5, "check_extra_trees": 5}
    saved = told(adviser.put(address, json=said))
    assert {name: saved[name]["value"] for name in said} == said
    assert saved["check_level"]["choices"] == ["S-1", "S-2", "S-3", "S-4", "I", "II", "III"]
    assert told(adviser.get(address)) == saved


@pytest.mark.parametrize(
    ("body", "where"),
    [
        ({"line_reach_m": -1}, "line_reach_m"),
        ({"frost_high_risk_days": 1.5}, "frost_high_risk_days"),
        ({"frost_falling_risk_days": 1}, "frost_falling_risk_days"),
        ({"moon": 1}, "moon"),
        ({"line_reach_m": "3"}, "line_reach_m"),
        ({"check_level": "IV"}, "check_level"),
        ({"check_aql": 3.9}, "check_aql"),
        ({"check_kind": ["attributes"]}, "body.check_kind"),
        ({"line_reach_m": True}, "body.line_reach_m"),
        ({"line_reach_m": None}, "body.line_reach_m"),
    ],
)
def test_setting_that_cannot_be_is_refused_by_name(shared, is_problem, body, where):
    address = shared.at_farm("/settings")
    before = shared.client.get(address).json()
    problem = is_problem(shared.client.put(address, json=body), 422)
    assert problem["where"].startswith(where)
    assert shared.client.get(address).json() == before


def test_adviser_adds_a_variety_and_says_what_it_leans_to(service, is_problem):
    adviser = service.account("adviser")
    made = adviser.post(service.at_farm("/varieties"), json={"name": "Ashmead", "is_biennial": True}).json()
    address = service.at_farm(f"/varieties/{made['id']}")
    edited = adviser.patch(address, json={"habit": "spur", "is_canker_prone": True})
    assert edited.status_code == 200
    listed = {v["name"]: v for v in adviser.get(service.at_farm()).json()["varieties"]}
    assert listed["Ashmead"] == {
        "id": made["id"],
        "name": "Ashmead",
        "habit": "spur",
        "habit_source": "",
        "is_biennial": True,
        "is_canker_prone": True,
    }
    assert listed["Irish Peach"]["is_biennial"] is False
    is_problem(adviser.patch(address, json={"habit": "weeping"}), 422)
    is_problem(adviser.patch(address, json={"colour": "russet"}), 422)
    is_problem(adviser.patch(address, json={"name": "Irish Peach"}), 409)
    assert adviser.patch(address, json={"name": "Ashmead's Kernel"}).json()["name"] == "Ashmead's Kernel"


def test_manager_says_slope_and_variety_of_a_block(service, is_problem):
    address = service.at_block()
    assert service.client.patch(address, json={"slope_percent": 18}).status_code == 204
    first = service.client.get(service.at_farm("/blocks")).json()["features"][0]["properties"]
    assert first["slope_percent"] == 18.0
    for wrong in (-1, 201, "steep"):
        is_problem(service.client.patch(address, json={"slope_percent": wrong}), 422)
    foreign = service.another_farm().blocks[0].variety_id
    is_problem(service.client.patch(address, json={"variety_id": foreign}), 404)


def test_whatever_is_named_on_a_farm_is_in_the_audit_log_with_who_added_it(service):
    adviser, client = service.account("adviser"), service.client
    span = {"opens_on": "2030-11-01", "must_finish_on": "2031-03-01"}
    added = [
        (client, "/seasons", {"name": "Audited"} | span),
        (client, "/crews", {"name": "Audited"}),
        (client, "/people", {"name": "Audited", "role": "worker"}),
        (adviser, "/varieties", {"name": "Audited"}),
    ]
    made = [by.post(service.at_farm(path), json=body).json()["id"] for by, path, body in added]
    ids = {one["name"]: one["id"] for one in client.get(service.at_farm("/accounts")).json()["accounts"]}
    actors = [f"account:{ids[by.get('/api/who').json()['name']]}" for by, _, _ in added]
    with service.store.read() as conn:
        noted = {one.subject: one for one in audit.entries(conn) if one.subject in made}
    assert [noted[one].what for one in made] == [
        "season_added",
        "crew_added",
        "person_added",
        "variety_added",
    ]
    assert [noted[one].actor for one in made] == actors
    assert {one.farm_id for one in noted.values()} == {service.farm.farm.id}
    assert "Audited" not in repr(noted.values())
