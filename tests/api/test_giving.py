"""Giving blocks out over the service: what a manager sends, what everybody reads, and what is said where it cannot be."""

import pytest


def body_of(told, **changes):
    return {name: told[name] for name in ("queues", "open", "own_first", "revision")} | changes


def test_a_manager_takes_the_proposal_and_every_role_reads_whose_block_is_next(service):
    address, crews = service.at_farm("/queues"), service.farm.crews
    before = service.client.get(address).json()
    proposal = service.client.post(service.at_farm("/queue-proposals")).json()
    assert set(proposal["words"]) == set(proposal["reasons"]) == set(before["blocks"])
    saved = service.client.put(address, json=body_of(proposal))
    assert saved.status_code == 200, saved.text
    assert saved.json()["revision"] == 1
    assert saved.json()["queues"] == proposal["queues"]
    for role in ("adviser", "auditor", "foreman"):
        assert service.account(role).get(address).json() == saved.json()
    tablet = service.tablet(0)
    assert tablet.get(address).json() == saved.json()
    given_out = {b: one["crew_id"] for one in proposal["queues"] for b in one["blocks"]}
    overview = tablet.get(service.at_farm("/overview")).json()["blocks"]
    assert {one["id"]: one["queue"]["crew_id"] for one in overview} == given_out
    block = overview[0]["id"]
    (pack,) = tablet.get(service.at_farm("/packs"), params={"block": block}).json()["blocks"]
    assert pack["summary"]["queue"] == overview[0]["queue"]
    assert set(given_out.values()) <= {crew.id for crew in crews}


def test_two_managers_at_once_the_slower_one_is_told_and_overwrites_nothing(service, is_problem):
    address = service.at_farm("/queues")
    read = service.client.get(address).json()
    crew = service.farm.crews[0].id
    first = body_of(read, queues=[{"crew_id": crew, "blocks": read["open"]}], open=[])
    assert service.client.put(address, json=first).status_code == 200
    problem = is_problem(service.client.put(address, json=body_of(read)), 409)
    assert problem["type"] == "urn:orchardmap:problem:conflict"
    assert "Read the queues again" in problem["todo"]
    assert service.client.get(address).json()["queues"][0] == first["queues"][0]


def test_the_words_come_in_the_language_that_is_asked_for(service):
    address = service.at_farm("/queue-proposals")
    said = {
        lang: service.client.post(address, params={"lang": lang}).json()["words"] for lang in ("en", "es")
    }
    assert set(said["en"]) == set(said["es"])
    assert all(said["en"][block] != said["es"][block] for block in said["en"])


@pytest.mark.parametrize(
    ("changes", "status", "where"),
    [
        ({"queues": [{"crew_id": "x", "blocks": []}]}, 422, "body.queues.0.crew_id"),
        ({"revision": -1}, 422, "body.revision"),
        ({"revision": "0"}, 422, "body.revision"),
        ({"own_first": "yes"}, 422, "body.own_first"),
        ({"moon": 1}, 422, "body.moon"),
        ({"open": ["00000000-0000-7000-8000-000000000000"]}, 404, "00000000"),
        ({"queues": [{"crew_id": "00000000-0000-7000-8000-000000000000", "blocks": []}]}, 404, "00000000"),
    ],
)
def test_queues_that_cannot_be_are_refused_by_the_name_of_what_is_wrong(
    shared, is_problem, changes, status, where
):
    address = shared.at_farm("/queues")
    before = shared.client.get(address).json()
    problem = is_problem(shared.client.put(address, json=body_of(before, **changes)), status)
    assert problem["where"].startswith(where)
    assert shared.client.get(address).json() == before


def test_a_block_s_own_day_is_set_and_taken_back(service, is_problem):
    address, terms = service.at_farm("/queues"), service.at_block("/terms")
    block = service.farm.blocks[0].id
    answer = service.client.put(terms, json={"must_finish_on": "2026-02-09", "platform_fits": None})
    assert answer.json() == {"must_finish_on": "2026-02-09", "platform_fits": None}
    assert service.client.get(address).json()["blocks"][block]["must_finish_on"] == "2026-02-09"
    is_problem(service.client.put(terms, json={"must_finish_on": "2026-05-01", "platform_fits": None}), 422)
    nothing = {"must_finish_on": None, "platform_fits": None}
    assert service.client.put(terms, json=nothing).json() == nothing
    assert service.client.get(address).json()["blocks"][block]["own_must_finish_on"] is None


def test_a_foreman_may_mark_in_a_block_that_another_crew_was_given_and_the_manager_sees_who_did(
    service, mark_json
):
    address = service.at_farm("/queues")
    read = service.client.get(address).json()
    one, other = (crew.id for crew in service.farm.crews[:2])
    given_out = body_of(read, queues=[{"crew_id": other, "blocks": read["open"]}], open=[])
    service.client.put(address, json=given_out)
    mark = mark_json(service.farm)
    sent = {"sent_at": mark["device_at"], "marks": [mark]}
    taken = service.tablet(0).post(service.at_farm("/marks"), json=sent).json()
    assert [record["outcome"] for record in taken["outcomes"]] == ["taken"]
    block = service.client.get(address).json()["blocks"][mark["block_id"]]
    assert block["worked"] == {"crew_id": one, "day": mark["day"]}
