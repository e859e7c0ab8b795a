"""Who made a record: a tablet's word counts for whoever held it then, and no record is lost or set aside for it."""

from datetime import timedelta

import pytest

from orchardmap.model.people import Role
from orchardmap.store import log, states
from orchardmap.usecases import folding, planting
from orchardmap.usecases.planting import new_id
from small_farm import NOW, TODAY

PIN = "274901"
KINDS = {"marks": "mark", "withdrawals": "withdrawal", "crew_days": "crew_day", "tree_counts": "tree_count"}


class Hands:
    """A tablet of the first crew that may be held by Ann or Ben, and what it hands in."""

    def __init__(self, service, mark_json):
        self.service, self.mark_json, self.tablet = service, mark_json, service.tablet()
        crew, self.people = service.farm.crews[0].id, {}
        who: tuple[tuple[str, Role], ...] = (("ann", "foreman"), ("ben", "worker"))
        for name, role in who:
            made = planting.add_person(
                service.store, farm_id=service.farm.farm.id, name=name, role=role, crew_id=crew
            )
            path = service.at_farm(f"/people/{made.id}/pin")
            assert service.client.put(path, json={"pin": PIN}).status_code == 204
            self.people[name] = made.id
        self.device = self.tablet.get("/api/who").json()["device"]["id"]
        self.row = 0

    def at(self, minute):
        """Let the service's clock stand so many minutes after the beginning."""
        self.service.clock.now = NOW + timedelta(minutes=minute)

    def take(self, who):
        said = {"person_id": self.people[who], "pin": PIN}
        assert self.tablet.post("/api/device/holder", json=said).status_code == 200

    def put_down(self):
        assert self.tablet.delete("/api/device/holder").status_code == 204

    def record(self, kind, who, minute, *, wrong_by=timedelta(0), **changes):
        """A record that names somebody, made at a minute by a clock that is wrong."""
        self.row += 1
        mark = self.mark_json(self.service.farm)
        device_at = NOW + timedelta(minutes=minute) + wrong_by
        common = {
            "id": new_id(),
            "device_id": self.device,
            "device_at": device_at.isoformat(),
            "recorder_id": self.people[who],
        }
        made = {
            "marks": mark | {"row": self.row, "day": device_at.date().isoformat()},
            "withdrawals": {"mark_id": mark["id"]},
            "crew_days": {
                "season_id": mark["season_id"], "crew_id": mark["crew_id"], "day": TODAY.isoformat(),
                "people": 3, "hours": 7.5, "method": "ladder",
            },
            "tree_counts": {
                "season_id": mark["season_id"], "block_id": mark["block_id"], "row": self.row, "position": 1,
                "what": "limbs", "number": 18, "day": device_at.date().isoformat(),
            },
        }  # fmt: skip
        return made[kind] | common | changes

    def hand_in(self, kind, *records, client=None, wrong_by=timedelta(0)):
        """Hand records in, twice; return who is kept as having made each, and what was said."""
        body = {"sent_at": (self.service.clock.now + wrong_by).isoformat(), kind: list(records)}
        path = self.service.at_farm("/" + kind.replace("_", "-"))
        told = [(client or self.tablet).post(path, json=body).json()["outcomes"] for _ in range(2)]
        assert {one["outcome"] for one in told[0]} == {"taken"}, told
        assert {one["outcome"] for one in told[1]} == {"already_there"}
        farm_id, ids = self.service.farm.farm.id, [one["id"] for one in records]
        with self.service.store.read() as conn:
            found = {one.id: one for one in log.records_by_id(conn, KINDS[kind], farm_id, ids)}
        names = {person: name for name, person in self.people.items()}
        kept = [found[one] for one in ids]
        return [
            names[one.recorder_id]
            if one.recorder_id
            else "not known: " + names[one.extra["said_recorder_id"]]
            for one in kept
        ]


@pytest.fixture
def hands(service, mark_json):
    return Hands(service, mark_json)


def test_who_held_the_tablet_then_is_kept_whoever_holds_it_when_it_sends(either, mark_json):
    """Ann marks without a signal, Ben takes the tablet, and the queue goes up with what both did."""
    hands = Hands(either, mark_json)
    hands.take("ann")
    hands.at(60)
    hands.take("ben")
    hands.at(120)
    said = [("ann", 30), ("ben", 90), ("ann", 90), ("ben", 30), ("ann", -30)]
    for kind in KINDS:
        records = [hands.record(kind, who, minute) for who, minute in said]
        kept = hands.hand_in(kind, *records)
        assert kept == ["ann", "ben", "not known: ann", "not known: ben", "not known: ann"], kind


def test_tablet_that_nobody_holds_names_nobody_and_its_marks_count_all_the_same(hands):
    records = [hands.record("marks", "ann", 0, extra_word={"as": "sent"}) for _ in range(2)]
    assert hands.hand_in("marks", *records) == ["not known: ann"] * 2
    hands.take("ann")
    hands.at(30)
    hands.put_down()
    hands.at(60)
    more = [hands.record("marks", "ann", 15), hands.record("marks", "ann", 50)]
    assert hands.hand_in("marks", *more) == ["ann", "not known: ann"]
    hands.take("ann")
    assert hands.hand_in("marks", hands.record("marks", "ann", 50)) == ["not known: ann"]
    store, farm = hands.service.store, hands.service.farm
    with store.read() as conn:
        assert [one.row for one in states.row_states(conn, farm.season.id)] == [1, 2, 3, 4, 5]
        (kept,) = log.records_by_id(conn, "mark", farm.farm.id, [records[0]["id"]])
    assert kept.extra == {"extra_word": {"as": "sent"}, "said_recorder_id": hands.people["ann"]}
    assert folding.rebuild(store, farm.farm.id, write=False) == []


def test_clock_that_is_wrong_names_nobody_else(hands):
    """What counts is when a record was made, by the service's clock."""
    hands.take("ann")
    hands.at(60)
    hands.take("ben")
    hands.at(120)
    for wrong_by in (timedelta(days=-9), timedelta(hours=5)):
        records = [hands.record("marks", who, 30, wrong_by=wrong_by) for who in ("ann", "ben")]
        assert hands.hand_in("marks", *records, wrong_by=wrong_by) == ["ann", "not known: ben"]
    # a record made while it changes hands
    edge = [
        hands.record("marks", "ann", 64),
        hands.record("marks", "ben", 56),
        hands.record("marks", "ann", 66),
    ]
    assert hands.hand_in("marks", *edge) == ["ann", "ben", "not known: ann"]


def test_tablet_does_not_vouch_for_what_it_says_another_one_made(hands):
    hands.take("ann")
    other = hands.service.tablet()
    hands.at(30)
    assert hands.hand_in("marks", hands.record("marks", "ann", 10), client=other) == ["not known: ann"]
    mine = other.get("/api/who").json()["device"]["id"]
    assert hands.hand_in("marks", hands.record("marks", "ann", 10, device_id=mine), client=other) == [
        "not known: ann"
    ]
    assert hands.hand_in("marks", hands.record("marks", "ann", 10, device_id=None)) == ["not known: ann"]


def test_account_is_taken_at_its_word_and_kept_beside_it(hands):
    """A manager enters slips of paper for whoever wrote them."""
    assert hands.hand_in("marks", hands.record("marks", "ben", 0), client=hands.service.client) == ["ben"]
