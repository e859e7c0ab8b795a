"""Matters and settlements over the wire."""

from small_farm import NOW, TODAY


def settlement(service, marks, **changes):
    farm = service.farm
    stretch = {
        "season_id": farm.season.id,
        "block_id": farm.blocks[0].id,
        "row": 1,
        "first": 1,
        "last": 105,
        "credited_crew_id": farm.crews[1].id,
    }
    return {
        "id": farm.mark().id,
        "stretch": stretch | changes,
        "seen": [mark["id"] for mark in marks],
        "note": "both foremen agree",
    }


def two_crews(service, mark_json):
    marks = [
        mark_json(service.farm, id=service.farm.mark().id, crew_id=crew.id) for crew in service.farm.crews[:2]
    ]
    answer = service.client.post(service.at_farm("/marks"), json={"sent_at": NOW.isoformat(), "marks": marks})
    assert [o["outcome"] for o in answer.json()["outcomes"]] == ["taken", "taken"]
    return marks


def test_overlap_is_listed_settled_and_gone_from_state_log_and_pack(service, mark_json):
    marks = two_crews(service, mark_json)
    (held,) = service.client.get(service.at_farm("/matters")).json()["overlaps"]
    assert {m["id"] for m in held["marks"]} == {m["id"] for m in marks}
    hashes = sorted(m["content_hash"] for m in held["marks"])
    assert service.client.get(service.at_block("/state")).json()["runs"] == [[1, 1, 105, 2, -1]]
    body = settlement(service, marks) | {"seen": hashes}
    made = service.client.post(service.at_farm("/settlements"), json=body)
    assert made.status_code == 201, made.text
    assert made.json()["number"] == 1
    assert made.json()["cursor"] == service.client.get(service.at_farm("/overview")).json()["cursor"]
    told = service.client.get(service.at_farm("/matters")).json()
    assert (told["overlaps"], told["set_aside"], told["crew_days"]) == ([], [], [])
    assert service.client.get(service.at_block("/state")).json()["runs"] == [[1, 1, 105, 1, 1]]
    log = service.client.get(service.at_block("/log")).json()
    assert log["settlements"] == [[1, body["id"], 1, 1, 105, 1, sorted(m["id"] for m in marks)]]
    assert len(log["marks"]) == 2


def test_same_again_is_200_and_the_id_used_for_another_is_409(service, mark_json, is_problem):
    marks = two_crews(service, mark_json)
    body = settlement(service, marks)
    first = service.client.post(service.at_farm("/settlements"), json=body)
    again = service.client.post(service.at_farm("/settlements"), json=body | {"seen": body["seen"][::-1] * 2})
    assert (first.status_code, again.status_code) == (201, 200)
    assert first.json() == again.json()
    before = service.contents()
    other = {**body, "stretch": {**body["stretch"], "credited_crew_id": None}}
    is_problem(service.client.post(service.at_farm("/settlements"), json=other), 409)
    assert service.contents() == before


def test_record_set_aside_is_told_with_what_to_do_and_let_count(service, mark_json, is_problem):
    before_season = mark_json(service.farm, day="2025-01-01")
    nowhere = mark_json(service.farm, id=service.farm.mark().id, row=99)
    sent = {"sent_at": NOW.isoformat(), "marks": [before_season, nowhere]}
    service.client.post(service.at_farm("/marks"), json=sent)
    by_id = {m["id"]: m for m in service.client.get(service.at_farm("/matters")).json()["set_aside"]}
    (can,), (cannot,) = by_id[before_season["id"]]["versions"], by_id[nowhere["id"]]["versions"]
    assert (can["can_count"], cannot["can_count"]) == (True, False)

    def word(mark, version):
        return {
            "id": service.farm.mark().id,
            "record": {"kind": "mark", "id": mark["id"], "content_hash": version["content_hash"]},
            "seen": [version["content_hash"]],
        }

    refused = is_problem(
        service.client.post(service.at_farm("/settlements"), json=word(nowhere, cannot)), 422
    )
    assert "leave this one out" in refused["todo"]
    assert (
        service.client.post(service.at_farm("/settlements"), json=word(before_season, can)).status_code == 201
    )
    assert service.client.get(service.at_block("/state")).json()["runs"] == [[1, 1, 105, 1, 0]]


def test_crew_days_entered_twice_are_a_matter(service):
    farm = service.farm
    both = [
        {
            "id": farm.mark().id, "season_id": farm.season.id, "crew_id": farm.crews[0].id, "day": TODAY.isoformat(),
            "people": people, "hours": 8.0, "method": "ladder", "device_at": NOW.isoformat(),
        }
        for people in (5, 6)
    ]  # fmt: skip
    sent = {"sent_at": NOW.isoformat(), "crew_days": both}
    assert service.client.post(service.at_farm("/crew-days"), json=sent).status_code == 200
    (found,) = service.client.get(service.at_farm("/matters")).json()["crew_days"]
    assert (found["crew_id"], found["day"], found["method"]) == (
        farm.crews[0].id,
        TODAY.isoformat(),
        "ladder",
    )
    assert sorted(entry["people"] for entry in found["entries"]) == [5, 6]


def test_malformed_settlement_is_refused_and_changes_nothing(service, mark_json, is_problem):
    marks = two_crews(service, mark_json)
    body = settlement(service, marks)
    record = {"kind": "mark", "id": marks[0]["id"], "content_hash": None}
    before = service.contents()
    for wrong in (
        body | {"record": record},
        {key: value for key, value in body.items() if key != "stretch"},
        body | {"seen": []},
        body | {"seen": ["x' OR 1"]},
        body | {"seen": ["abc-"]},
        body | {"number": 7},
        settlement(service, marks, first="1"),
        settlement(service, marks, last=106),
        settlement(service, marks, row=3),
    ):
        is_problem(service.client.post(service.at_farm("/settlements"), json=wrong), 422)
    for unknown in (
        {"row": 77},
        {"block_id": marks[0]["id"]},
        {"season_id": marks[0]["id"]},
        {"credited_crew_id": marks[0]["id"]},
    ):
        wrong = settlement(service, marks, **unknown)
        is_problem(service.client.post(service.at_farm("/settlements"), json=wrong), 404)
    nobody = marks[0]["id"]
    is_problem(service.client.get(f"/api/farms/{nobody}/matters"), 404)
    is_problem(service.client.post(f"/api/farms/{nobody}/settlements", json=body), 404)
    assert service.contents() == before
