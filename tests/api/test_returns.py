"""Returns over the wire: made, answered by a crew's tablet, told in words, refused where what is sent cannot be one."""

import json

import pytest

from orchardmap.usecases import brief_publishing, briefing, recording
from orchardmap.usecases.briefing import BriefSubject, ReadyMade
from orchardmap.usecases.planting import new_id
from small_farm import NOW


@pytest.fixture
def pruned(service):
    farm = service.farm
    recording.record_marks(
        service.store, farm_id=farm.farm.id, marks=[farm.mark(1), farm.mark(2)], sent_at=NOW, now=NOW
    )
    return service


def body(service, **changes):
    farm = service.farm
    own = {"id": new_id(), "block_id": farm.blocks[0].id, "crew_id": farm.crews[0].id, "due_on": "2026-01-23"}
    return own | {"stretches": [[1, 2, 9]]} | changes


def published(service):
    """A block's own brief; return the key and the sentences of its first point."""
    farm = service.farm
    subject = BriefSubject(farm.season.id, block_id=farm.blocks[0].id)
    made = briefing.make_brief(
        service.store, farm_id=farm.farm.id, subject=subject, start=ReadyMade("tip_renewed"), by=None, now=NOW
    )
    done = brief_publishing.publish(
        service.store, farm_id=farm.farm.id, brief_id=made.id, revision=1, by=None, now=NOW
    )
    point = done.version.content.points[0]
    return point.key, point.sentences


def test_auditor_makes_one_a_crews_tablet_reads_and_answers_it_and_undo_opens_it_again(pruned, mark_json):
    key, sentences = published(pruned)
    auditor, tablet = pruned.account("auditor"), pruned.tablet(0)
    asked = body(pruned, points=[key, "gone"], note="Tops.")
    made = auditor.post(pruned.at_farm("/returns?lang=es"), json=asked)
    assert made.status_code == 201
    own = made.json()
    assert own["points"] == [{"key": key, "sentence": sentences["es"]}, {"key": "gone", "sentence": "gone"}]
    assert (own["state"], own["trees"], own["trees_open"], own["block_code"], own["crew"]) == (
        "open", 8, 8, "K1", "Crew A",
    )  # fmt: skip
    assert own["history"][0]["words"] == "Para repasar hasta el 23 de enero de 2026: 8 árboles."
    assert auditor.post(pruned.at_farm("/returns?lang=es"), json=asked).json() == own, "a lost answer"
    pack = tablet.get(pruned.at_farm("/packs"), params={"block": pruned.farm.blocks[0].id}).json()["blocks"][
        0
    ]
    (crews,) = pack["log"]["returns"]
    assert crews["points"][0] == {"key": key, "sentences": sentences}
    assert [run for run in pack["state"]["runs"] if run[0] == 1] == [
        [1, 1, 1, 1, 0], [1, 2, 9, 3, 0], [1, 10, 105, 1, 0],
    ]  # fmt: skip
    assert pack["summary"]["again"] == 8
    mark = mark_json(pruned.farm, first=2, last=9, return_id=crews["id"])
    sent = {"sent_at": NOW.isoformat(), "marks": [mark]}
    assert tablet.post(pruned.at_farm("/marks"), json=sent).json()["outcomes"][0]["outcome"] == "taken"
    (told,) = auditor.get(pruned.at_farm("/returns")).json()["returns"]
    assert (told["state"], told["history"][-1]["words"]) == ("redone", "Gone over again by Crew A: 8 trees.")
    (listed,) = [
        one for one in tablet.get(pruned.at_block("/marks")).json()["marks"] if one["id"] == mark["id"]
    ]
    assert (listed["return_number"], listed["set_aside"]) == (1, None)
    back = {"id": new_id(), "mark_id": mark["id"], "device_at": NOW.isoformat()}
    tablet.post(pruned.at_farm("/withdrawals"), json={"sent_at": NOW.isoformat(), "withdrawals": [back]})
    assert auditor.get(pruned.at_farm("/returns")).json()["returns"][0]["state"] == "open"


@pytest.mark.parametrize(
    "changes",
    [
        {"stretches": []}, {"stretches": [[1, 0, 5]]}, {"stretches": [[1, 2]]}, {"due_on": "yesterday"}, {"points": [""]},
        {"points": ["x" * 61]}, {"due_on": "2026-01-19"}, {"area": {"rows": [1, 2]}}, {"unknown": 1}, {"note": "x" * 2001},
        {"area": {"rows": [1, 2], "positions": [1, 2], "more": "x" * 20_000}}, {"area": {"rows": [1, 2], "positions": [1, 2], "x": "\x00"}},
        {"area": {"rows": [1, 2], "positions": [1, 2], "x": "\ud800"}}, {"stretches": [[7, 1, 5]]},
    ],
)  # fmt: skip
def test_what_cannot_be_a_return_is_refused_and_nothing_is_kept(pruned, is_problem, changes):
    before = pruned.contents()
    sent = json.dumps(body(pruned, **changes))  # in ASCII, for no client of ours would send what is not text
    is_problem(pruned.client.post(pruned.at_farm("/returns"), content=sent), 422)
    assert pruned.contents() == before


def test_cancelled_over_the_wire_it_keeps_its_history(pruned, is_problem):
    own = pruned.client.post(pruned.at_farm("/returns"), json=body(pruned)).json()
    at = f"/api/returns/{own['id']}/cancel"
    is_problem(pruned.client.post(at, json={"reason": " "}), 422)
    told = pruned.client.post(at, json={"reason": "Wrong row"}).json()
    assert (told["state"], told["history"][-1]["words"]) == ("cancelled", "Taken back: Wrong row")
    assert pruned.client.get(pruned.at_farm("/returns")).json()["returns"] == [told]
    is_problem(pruned.client.get(pruned.at_farm("/returns?lang=xx")), 422)
