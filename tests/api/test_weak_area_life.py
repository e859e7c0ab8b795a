"""What becomes of a weak area: sent back, gone over again, checked anew; or looked at once more before anybody is sent."""

from datetime import timedelta

import pytest

from checked_season import hand_in, patchy_checks, prune
from drawn_lots import add_lot
from orchardmap.usecases import glance, recording
from orchardmap.usecases.map_content import map_content
from orchardmap.usecases.planting import new_id
from small_farm import NOW, TODAY, withdrawal

DUE = TODAY + timedelta(days=3)
NEXT_DAY = TODAY + timedelta(days=1)


@pytest.fixture
def sent_back(service):
    """A weak area of which a manager made a return: the service, the area as it was listed, the return."""
    prune(service.store, service.farm)
    hand_in(service.store, service.farm, patchy_checks(service.farm))
    (area,) = weak_areas(service)
    body = {
        "id": new_id(),
        "block_id": area["block_id"],
        "crew_id": area["crews"][0]["crew_id"],
        "due_on": DUE.isoformat(),
        "lot_id": None,
        "area": area,
        "points": [],
        "note": "",
        "stretches": None,
    }
    made = service.client.post(service.at_farm("/returns"), json=body)
    assert made.status_code == 201, made.text
    return service, area, made.json()


def read(service, address, **params):
    # signed in by the clock as it stands: days go by here
    answer = service.account("manager").get(address, params=params)
    assert answer.status_code == 200, answer.text
    return answer.json()


def weak_areas(service, **params):
    return read(service, service.at_farm("/weak-areas"), **params)["areas"]


def hatched(service, **params):
    return read(service, service.at_block("/state"), **params)["weak"]


def figures(service, **params):
    told = read(service, service.at_farm("/overview"), **params)["figures"]
    return tuple(told[name] for name in ("weak_areas", "returns_open", "returns_late"))


def go_over_again(service, asked, *, day=NEXT_DAY):
    """The crew marks every stretch of the return as gone over again, and a day goes by."""
    service.clock.now = NOW + (day - TODAY) + timedelta(hours=1)
    marks = [
        service.farm.mark(row, first, last, day=day, return_id=asked["id"], device_at=service.clock.now)
        for row, first, last in asked["stretches"]
    ]
    now = service.clock.now
    recording.record_marks(service.store, farm_id=service.farm.farm.id, marks=marks, sent_at=now, now=now)
    return marks


def check_again(service, asked, *, faulty_share, day=NEXT_DAY, trees=40, until=None):
    """A lot of so many trees is drawn over the return, and the auditor finds this share of them faulty; or of the first ones until then."""
    farm = service.farm
    places = [(row, at) for row, first, last in asked["stretches"] for at in range(first, last + 1)]
    drawn = places[:: len(places) // trees][:trees]
    lot_id, of = new_id(), (farm.farm.id, farm.season.id, asked["block_id"])
    now = NOW + (day - TODAY) + timedelta(hours=2)
    with service.store.write() as conn:
        add_lot(conn, lot_id, of, [(*tree, False) for tree in drawn], return_id=asked["id"], opened_on=day)
    hand_in(
        service.store,
        farm,
        [
            farm.check(*tree, lot_id=lot_id, day=day, verdict=verdict, device_at=now)
            for nth, tree in enumerate(drawn[:until])
            for verdict in ["faulty" if nth < faulty_share * trees else "meets"]
        ],
        now=now,
    )
    service.clock.now = now


def on_paper(service, block_id):
    """Whether a block's ground is hatched on paper, and whether its ring says that no return is made."""
    store, farm_id, now = service.store, service.farm.farm.id, service.clock.now
    told = glance.overview(store, farm_id, day=None, now=now)
    content = map_content(store, farm_id, told, now=now)
    (block,) = (one for one in content.blocks if one.id == block_id)
    return len(block.patches) == 1, block.has_weak


def test_paper_says_no_return_yet_until_there_is_one_and_stays_hatched(service):
    prune(service.store, service.farm)
    hand_in(service.store, service.farm, patchy_checks(service.farm))
    (area,) = weak_areas(service)
    assert on_paper(service, area["block_id"]) == (True, True)
    assert figures(service)[0] == 1


def test_while_a_return_is_under_way_the_area_stays_on_the_map_and_waits_for_nobody(sent_back):
    service, area, asked = sent_back
    (told,) = hatched(service)
    assert (told["id"], told["returns"]) == (area["id"], [asked["id"]])
    assert figures(service) == (0, 1, 0)
    assert on_paper(service, area["block_id"]) == (True, False)
    assert figures(service, day=(TODAY - timedelta(days=1)).isoformat()) == (0, 0, 0)
    service.clock.now = NOW + timedelta(days=4)
    assert figures(service) == (0, 1, 1), "its day is over"


def test_gone_over_again_and_found_in_order_the_area_is_gone(sent_back):
    service, _, asked = sent_back
    go_over_again(service, asked)
    assert hatched(service) == [], "what was found there describes the trees as they were"
    assert figures(service) == (0, 0, 0)
    check_again(service, asked, faulty_share=0.0)
    assert (weak_areas(service), hatched(service)) == ([], [])
    (told,) = read(service, service.at_farm("/returns"))["returns"]
    assert told["state"] == "confirmed"
    yesterday = TODAY.isoformat()
    assert hatched(service, day=yesterday), "as of the day before it is still there"
    assert figures(service, day=yesterday) == (0, 1, 0)


def test_gone_over_again_and_found_bad_once_more_it_waits_for_the_manager_again(sent_back):
    service, area, asked = sent_back
    go_over_again(service, asked)
    check_again(service, asked, faulty_share=0.6)
    (told,) = hatched(service)
    assert told["state"] == "suspect"
    assert told["rows"][0] >= area["rows"][0]
    assert told["rows"][1] <= area["rows"][1]
    assert figures(service) == (1, 0, 0), "the return is done, and failed"


def test_marks_taken_back_bring_the_area_back(sent_back):
    service, area, asked = sent_back
    marks = go_over_again(service, asked)
    now = service.clock.now
    recording.record_withdrawals(
        service.store,
        farm_id=service.farm.farm.id,
        withdrawals=[withdrawal(mark) for mark in marks],
        sent_at=now,
        now=now,
    )
    assert [one["id"] for one in hatched(service)] == [area["id"]]


@pytest.mark.parametrize(("faulty_share", "state"), [(0.0, "none"), (0.5, "confirmed")])
def test_new_trees_looked_at_before_anybody_was_sent_clear_the_area_or_confirm_it(
    sent_back, faulty_share, state
):
    service, area, asked = sent_back
    check_again(service, asked, faulty_share=faulty_share, day=TODAY)
    (told,) = weak_areas(service)
    assert (told["id"], told["state"]) == (area["id"], state)
    assert (told["checked"], told["faulty"]) == (area["checked"], area["faulty"]), (
        "the first look stays as it was"
    )
    assert told["recheck"]["checked"] >= 30
    assert f"of {told['recheck']['checked']} new trees" in told["odds_words"]
    assert [one["state"] for one in hatched(service)] == ([] if state == "none" else [state])


def test_new_trees_tell_of_an_area_once_their_lot_is_decided(sent_back):
    """Asked after each tree, one clean area in ten would read "confirmed" at some moment of the walk."""
    service, area, asked = sent_back
    check_again(service, asked, faulty_share=0.0, day=TODAY, until=12)
    (told,) = weak_areas(service)
    assert (told["id"], told["state"], told["recheck"]) == (area["id"], "suspect", None)
    assert (told["checked"], told["faulty"]) == (area["checked"], area["faulty"])
