"""Lots over the service: planned, drawn, checked and taken back by auditors and managers, and refused by name where that cannot be."""

import pytest

from orchardmap.usecases.planting import new_id
from small_farm import NOW


@pytest.fixture
def pruned(service, mark_json):
    """The service, with two rows of the first block pruned by the first crew."""
    marks = [mark_json(service.farm, id=new_id(), row=row) for row in (1, 2)]
    body = {"sent_at": NOW.isoformat(), "marks": marks}
    answer = service.client.post(service.at_farm("/marks"), json=body)
    assert {one["outcome"] for one in answer.json()["outcomes"]} == {"taken"}
    return service


def asked(service, **changes):
    farm = service.farm
    return {"block_id": farm.blocks[0].id, "crew_id": farm.crews[0].id} | changes


def checks_of(service, lot, faulty):
    farm = service.farm
    planned = [tree for tree in lot["trees"] if not tree["is_extra"]]
    return [
        {
            "id": new_id(),
            "season_id": farm.season.id,
            "block_id": farm.blocks[0].id,
            "row": tree["row"],
            "position": tree["position"],
            "auditor_id": farm.auditor.id,
            "day": NOW.date().isoformat(),
            "verdict": "faulty" if at < faulty else "meets",
            "drawn": True,
            "lot_id": lot["id"],
            "device_at": NOW.isoformat(),
        }
        for at, tree in enumerate(planned)
    ]


def test_auditor_plans_draws_checks_and_reads_the_verdict(pruned):
    auditor, lots = pruned.account("auditor"), pruned.at_farm("/lots")
    plan = auditor.post(lots + "/plan", json=asked(pruned)).json()
    body = asked(pruned, id=new_id(), extra=2)
    drawn = auditor.post(lots + "?lang=es", json=body)
    assert drawn.status_code == 201
    lot = drawn.json()
    assert (lot["n"], lot["lot_trees"]) == (plan["n"], plan["lot_trees"]) == (13, 210)
    assert lot["sentences"][0].startswith("Aún no se ha revisado ningún árbol.")
    # an answer that was lost is asked for again: another draw would be another lot
    assert auditor.post(lots + "?lang=es", json=body).json() == lot
    sent = {"sent_at": NOW.isoformat(), "checks": checks_of(pruned, lot, faulty=1)}
    answer = auditor.post(pruned.at_farm("/checks"), json=sent)
    assert {one["outcome"] for one in answer.json()["outcomes"]} == {"taken"}
    told = pruned.account("adviser").get(f"/api/lots/{lot['id']}").json()
    assert (told["verdict"], told["checked"], told["faulty"]) == ("accepted", 13, 1)
    assert told["sentences"][0] == "Accepted: 1 of 13 trees drawn was faulty, 1 may be."
    listed = auditor.get(lots).json()
    assert [one["id"] for one in listed["lots"]] == [lot["id"]]
    assert listed["memory"] == [
        {
            "crew_id": pruned.farm.crews[0].id,
            "crew": "Crew A",
            "inspection": "normal",
            "words": "Normal inspection.",
        }
    ]


def test_a_lot_sent_back_tells_which_of_its_trees_no_return_holds_and_takes_a_return_of_the_rest(pruned):
    auditor, farm = pruned.account("auditor"), pruned.farm
    lot = auditor.post(pruned.at_farm("/lots"), json=asked(pruned, id=new_id())).json()
    told = ("put_right", "not_sent_back", "rest")
    assert [lot[name] for name in told] == [False, 0, []]
    sent = {"sent_at": NOW.isoformat(), "checks": checks_of(pruned, lot, faulty=lot["reject"])}
    auditor.post(pruned.at_farm("/checks"), json=sent)

    def listed():
        (one,) = auditor.get(pruned.at_farm("/lots")).json()["lots"]
        assert [one[name] for name in told] == [
            auditor.get(f"/api/lots/{lot['id']}").json()[name] for name in told
        ]
        return [one[name] for name in told]

    def send_back(stretches):
        body = {
            "id": new_id(), "block_id": farm.blocks[0].id, "crew_id": farm.crews[0].id,
            "due_on": NOW.date().isoformat(), "lot_id": lot["id"], "stretches": stretches,
        }  # fmt: skip
        assert auditor.post(pruned.at_farm("/returns"), json=body).status_code == 201

    assert listed() == [False, 210, [[1, 1, 105], [2, 1, 105]]]
    send_back([[1, 1, 105], [2, 1, 5]])
    assert listed() == [False, 100, [[2, 6, 105]]]
    send_back(listed()[2])
    assert listed() == [False, 0, []]


def test_a_lot_is_taken_back_and_tablets_are_told_of_both(pruned):
    auditor = pruned.tablet(None)
    block, changes = pruned.at_block("/lots"), pruned.at_farm("/changes")
    before = auditor.get(changes).json()["cursor"]
    lot = pruned.client.post(pruned.at_farm("/lots"), json=asked(pruned, id=new_id())).json()
    assert [one["id"] for one in auditor.get(block).json()["lots"]] == [lot["id"]]
    address = f"/api/lots/{lot['id']}/cancel"
    assert pruned.client.post(address, json={"reason": "rain"}).status_code == 204
    assert auditor.get(block).json() == {
        "lots": [], "cancelled": [{"id": lot["id"], "number": lot["number"]}],
    }  # fmt: skip
    told = auditor.get(changes, params={"after": before}).json()["changes"]
    assert [(one["kind"], one["block_id"]) for one in told] == [("lot", pruned.farm.blocks[0].id)] * 2


def test_a_lot_that_was_looked_at_is_cancelled_by_a_manager_whose_name_is_told(pruned, is_problem):
    lot = pruned.client.post(pruned.at_farm("/lots"), json=asked(pruned, id=new_id())).json()
    sent = {"sent_at": NOW.isoformat(), "checks": checks_of(pruned, lot, faulty=0)[:1]}
    pruned.client.post(pruned.at_farm("/checks"), json=sent)
    address, why = f"/api/lots/{lot['id']}/cancel", {"reason": "rain"}
    for auditor in (pruned.account("auditor"), pruned.tablet(None)):
        assert "manager" in is_problem(auditor.post(address, json=why), 403)["todo"]
    assert pruned.account("manager").post(address, json=why).status_code == 204
    told = pruned.client.get(f"/api/lots/{lot['id']}").json()
    assert told["sentences"][0].startswith("Cancelled on 20 January 2026 by Account ")


def test_who_prunes_is_not_told_which_trees_are_drawn(pruned):
    """They could be gone over before anybody checks them."""
    made = pruned.client.post(pruned.at_farm("/lots"), json=asked(pruned, id=new_id()))
    assert made.status_code == 201
    of_block = {"block": pruned.farm.blocks[0].id}

    def packed(client):
        return client.get(pruned.at_farm("/packs"), params=of_block).json()["blocks"][0]["lots"]

    assert [one["id"] for one in packed(pruned.tablet(None))] == [made.json()["id"]]
    assert packed(pruned.tablet()) == packed(pruned.account("foreman")) == []
    assert pruned.tablet().get(pruned.at_block("/lots")).status_code == 403


@pytest.mark.parametrize(
    ("changes", "where"),
    [
        ({"crew_id": None, "until_day": "2031-01-01"}, "until_day"),
        ({"plan": {"kind": "attributes", "level": "IV", "aql": 4.0}}, "level"),
        ({"plan": {"kind": "attributes", "level": "I", "aql": 3.9}}, "aql"),
        ({"plan": {"kind": "attributes", "level": "I", "aql": 4.0, "severity": "reduced"}}, "plan.severity"),
        ({"plan": {"kind": "two_points", "p1": 0.2, "pa1": 0.95, "p2": 0.1, "pa2": 0.1}}, "p2"),
        ({"plan": {"kind": "guess"}}, "body.plan"),
        ({"extra": -1}, "body.extra"),
        ({"extra": True}, "body.extra"),
        ({"seed": 7}, "body.seed"),
    ],
)
def test_what_cannot_be_planned_is_refused_by_name_and_draws_nothing(pruned, is_problem, changes, where):
    before = pruned.contents()
    for path, more in (("/lots/plan", {}), ("/lots", {"id": new_id()})):
        answer = pruned.client.post(pruned.at_farm(path), json=asked(pruned, **changes, **more))
        assert is_problem(answer, 422)["where"].startswith(where)
    assert pruned.contents() == before


def test_a_crew_that_pruned_nothing_has_no_lot_and_is_told_what_to_do(pruned, is_problem):
    body = asked(pruned, crew_id=pruned.farm.crews[2].id)
    problem = is_problem(pruned.client.post(pruned.at_farm("/lots/plan"), json=body), 422)
    assert "trees count once they are marked" in problem["detail"] + problem.get("todo", "")
