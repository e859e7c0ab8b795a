"""Tablets: paired once, held by a PIN, revoked at once; the clock is moved, nothing waits."""

from datetime import timedelta
from http.cookies import SimpleCookie
from xml.etree import ElementTree

import pytest

from orchardmap.usecases import planting
from orchardmap.usecases.planting import new_id
from orchardmap_api.codes import qr_svg
from small_farm import NOW, TODAY

PIN, WRONG = "274901", "274902"


def make_code(service, **changes):
    said = {"name": "Green one", "role": "foreman", "crew_id": service.farm.crews[0].id} | changes
    answer = service.client.post(service.at_farm("/devices/codes"), json=said)
    assert answer.status_code == 201, answer.text
    return answer.json()


def pair(service, code, client=None):
    return (client or service.stranger()).post("/api/pair", json={"code": code})


def test_code_pairs_one_tablet_to_its_farm_role_and_crew(service, is_problem):
    made = make_code(service)
    assert len(made["code"]) == 8
    assert made["address"] == f"http://localhost/pair#{made['code']}"
    client = service.stranger()
    answer = pair(service, f"{made['code'][:4]}-{made['code'][4:].lower()} ", client)
    assert answer.status_code == 201
    told = answer.json()
    assert (told["state"], told["device"]["role"], told["device"]["crew_id"]) == (
        "device",
        "foreman",
        service.farm.crews[0].id,
    )
    (cookie,) = SimpleCookie(answer.headers["set-cookie"]).values()
    assert (cookie.key, cookie["samesite"], cookie["path"]) == ("orchardmap_device", "strict", "/")
    assert cookie["httponly"]
    kept = repr(service.contents())
    assert made["code"] not in kept
    assert cookie.value not in kept
    is_problem(pair(service, made["code"]), 410)
    assert client.get(service.at_farm("/overview")).status_code == 200


def test_code_is_too_old_after_ten_minutes(service, is_problem):
    made = make_code(service)
    service.clock.now += timedelta(minutes=10)
    is_problem(pair(service, made["code"]), 410)


def test_codes_are_random_and_the_alphabet_is_base_32(service):
    codes = [make_code(service)["code"] for _ in range(40)]
    assert len(set(codes)) == 40
    assert set("".join(codes)) <= set("ABCDEFGHIJKLMNOPQRSTUVWXYZ234567")
    assert len(set("".join(codes))) > 24, (
        "320 characters out of 32: fewer than 25 different ones is no chance"
    )


def test_five_wrong_codes_make_the_sixth_wait_also_the_right_one(service):
    good = make_code(service)["code"]
    client = service.stranger()
    assert [pair(service, "AAAAAAA2", client).status_code for _ in range(5)] == [410] * 5
    locked = pair(service, good, client)
    assert locked.status_code == 429
    assert 0 < int(locked.headers["retry-after"]) <= 601
    forged = client.post("/api/pair", json={"code": good}, headers={"x-forwarded-for": "10.9.8.7"})
    assert forged.status_code == 429, "what a header claims is no other place"
    assert pair(service, good, service.client).status_code == 201, (
        "a signed-in manager tries from a place of her own"
    )


def test_qr_code_says_the_address_and_needs_no_style(service):
    """Read back by another library (zxing-cpp), from the SVG drawn as pixels by hand."""
    import numpy as np
    import zxingcpp

    made = make_code(service)
    root = ElementTree.fromstring(made["qr_svg"])
    assert "style" not in made["qr_svg"]
    assert "script" not in made["qr_svg"]
    assert {element.tag.rpartition("}")[2] for element in root.iter()} == {"svg", "path"}
    found = [
        zxingcpp.read_barcode(pixels(one, np)) for one in (root, ElementTree.fromstring(qr_svg("other")))
    ]
    assert [one.text if one else "" for one in found] == [made["address"], "other"]


def pixels(root, np):
    """The dark modules of a path of horizontal strokes, ten pixels each."""
    size = int(root.get("viewBox").split()[2])
    dark = np.full((size, size), 255, np.uint8)
    path = next(one for one in root if one.get("class") == "qr-modules").get("d")
    x = y = 0.0
    for part in path.replace("M", " M").replace("m", " m").replace("h", " h").split(" "):
        if part[:1] in {"M", "m"}:
            numbers, mode = [part[1:]], part[0]
        elif part[:1] == "h":
            length = int(part[1:])
            dark[int(y), int(x) : int(x) + length] = 0
            x += length
        elif part:
            numbers.append(part)
            move = [float(n) for n in numbers]
            x, y = (move[0], move[1]) if mode == "M" else (x + move[0], y + move[1])
    return np.kron(dark, np.ones((10, 10), np.uint8))


def test_revoked_tablet_is_out_with_its_next_request(service, is_problem):
    client = service.tablet()
    device = client.get("/api/who").json()["device"]["id"]
    assert service.client.post(service.at_farm(f"/devices/{device}/revoke")).status_code == 204
    told = is_problem(client.get(service.at_farm("/overview")), 401)
    assert told["type"] == "urn:orchardmap:problem:revoked-device"
    assert client.get("/api/who").json()["lapsed"] == "device"
    listed = service.client.get(service.at_farm("/devices")).json()["devices"]
    assert [one["revoked_at"] is not None for one in listed if one["id"] == device] == [True]
    assert service.client.post(service.at_farm(f"/devices/{device}/revoke")).status_code == 204, (
        "again does no harm"
    )
    # paired anew it goes on, as another device
    assert pair(service, make_code(service)["code"], client).status_code == 201
    assert client.get("/api/who").json()["device"]["id"] != device
    assert client.get(service.at_farm("/overview")).status_code == 200


@pytest.mark.parametrize(("idle", "status"), [(timedelta(days=179), 200), (timedelta(days=180), 401)])
def test_tablet_that_lay_in_a_drawer_for_half_a_year_must_be_paired_again(service, idle, status):
    client = service.tablet()
    service.clock.now += timedelta(days=90)
    assert client.get(service.at_farm("/overview")).status_code == 200
    service.clock.now += idle
    assert client.get(service.at_farm("/overview")).status_code == status


def test_account_goes_before_the_tablet_it_is_signed_in_on(service):
    client = service.tablet()
    token = service.client.headers["authorization"].partition(" ")[2]
    client.cookies.set("orchardmap_session", token)
    assert client.get("/api/who").json()["state"] == "account"
    client.cookies.set("orchardmap_session", "ended long ago")
    assert client.get("/api/who").json()["state"] == "device"


@pytest.fixture
def foremen(service):
    return [
        planting.add_person(
            service.store,
            farm_id=service.farm.farm.id,
            name=f"F{n}",
            role="foreman",
            crew_id=service.farm.crews[n].id,
        )
        for n in (0, 1)
    ]


def set_pin(service, person, pin=PIN):
    return service.client.put(service.at_farm(f"/people/{person.id}/pin"), json={"pin": pin})


def hold(client, person, pin=PIN):
    return client.post("/api/device/holder", json={"person_id": person.id, "pin": pin})


def test_holder_by_pin(service, foremen, is_problem):
    mine, other = foremen
    client = service.tablet()
    assert client.get("/api/device/people").json()["people"] == [
        {"id": mine.id, "name": "F0", "has_pin": False}
    ]
    is_problem(hold(client, mine), 401)
    assert set_pin(service, mine).status_code == 204
    assert set_pin(service, other).status_code == 204
    assert PIN not in repr(service.contents())
    told = hold(client, mine)
    assert told.status_code == 200
    assert told.json()["device"]["holder"] == {"id": mine.id, "name": "F0"}
    is_problem(hold(client, other), 401)  # of another crew, with her right PIN: said like a wrong one
    assert client.get("/api/who").json()["device"]["holder"]["name"] == "F0"
    assert client.delete("/api/device/holder").status_code == 204
    assert client.get("/api/who").json()["device"]["holder"] is None


def test_wrong_pin_and_whoever_may_not_hold_it_are_told_the_same_for_the_same_work(
    service, foremen, is_problem, compared
):
    """A PIN of somebody else, or of nobody, costs the one comparison that a wrong one costs."""
    mine, other = foremen
    worker = planting.add_person(
        service.store, farm_id=service.farm.farm.id, name="W", role="worker", crew_id=service.farm.crews[0].id
    )
    assert set_pin(service, mine).status_code == set_pin(service, other).status_code == 204
    client, stranger = service.tablet(), service.farm.farm  # an id that no person has
    compared.clear()
    told = []
    for person, pin in ((mine, WRONG), (other, PIN), (worker, PIN), (stranger, PIN)):
        answer = is_problem(hold(client, person, pin), 401)
        assert len(compared) == 1
        told.append((answer, compared.pop()))
    assert hold(client, mine).status_code == 200
    told.append((told[0][0], compared.pop()))
    assert told == [told[0]] * len(told)


@pytest.mark.parametrize(
    "pin", ["000000", "123456", "987654", "12345", "1234567", "12345x", "１２３４５６", ""]
)
def test_pin_that_anybody_tries_first_or_that_is_none(service, foremen, is_problem, pin):
    is_problem(set_pin(service, foremen[0], pin), 422)


def test_wrong_pins_lock_the_person_on_that_tablet_alone(service, foremen):
    """Five on each of three tablets: the fourth still works for the right one, until the bound over all is reached."""
    mine = foremen[0]
    set_pin(service, mine)
    tablets = [service.tablet() for _ in range(5)]
    for client in tablets[:3]:
        assert [hold(client, mine, WRONG).status_code for _ in range(6)] == [401] * 5 + [429]
        assert hold(client, mine).status_code == 429
    # one tablet alone goes on for three days: it still locks nobody out elsewhere
    for _ in range(9):
        service.clock.now += timedelta(hours=8)
        for _ in range(5):
            hold(tablets[0], mine, WRONG)
    assert hold(tablets[4], mine).status_code == 200
    for client in tablets[1:5]:
        service.clock.now += timedelta(minutes=1)
        assert [hold(client, mine, WRONG).status_code for _ in range(5)] == [401] * 5
    assert hold(service.tablet(), mine).status_code == 429, "twenty over all tablets"
    manager = service.account("manager")  # the other one's session has ended meanwhile
    address = service.at_farm(f"/people/{mine.id}/pin")
    assert manager.put(address, json={"pin": "835021"}).status_code == 204
    assert hold(tablets[4], mine, "835021").status_code == 200, "a new PIN begins anew"


def test_a_crews_tablet_sees_the_crew_days_of_its_own_crew_alone(service):
    """Hours of another crew are not its business, whatever crew it asks for."""
    mine, other = service.farm.crews[:2]
    for crew in (mine, other):
        said = {
            "id": new_id(),
            "season_id": service.farm.season.id,
            "crew_id": crew.id,
            "day": TODAY.isoformat(),
            "people": 6,
            "hours": 7.5,
            "method": "ladder",
            "device_at": NOW.isoformat(),
        }
        body = {"sent_at": NOW.isoformat(), "crew_days": [said]}
        assert service.client.post(service.at_farm("/crew-days"), json=body).status_code == 200
    tablet = service.tablet()

    def seen(client, query=""):
        found = client.get(service.at_farm(f"/crew-days{query}")).json()["crew_days"]
        return {one["crew_id"] for one in found}

    assert seen(service.client) == {mine.id, other.id}
    assert seen(tablet) == {mine.id}
    assert seen(tablet, f"?crew={other.id}") == set()


def test_a_crews_tablet_is_named_the_blocks_its_own_crew_worked_in(service, mark_json):
    """So that at knock-off it reads these alone; another crew's are not named."""
    other = service.farm.crews[1]
    one, two = (block.id for block in service.farm.blocks)
    marks = [mark_json(service.farm), mark_json(service.farm, block_id=two, crew_id=other.id)]
    sent = {"sent_at": NOW.isoformat(), "marks": marks}
    assert service.client.post(service.at_farm("/marks"), json=sent).status_code == 200
    tablet = service.tablet()

    def blocks(client, query):
        return client.get(service.at_farm(f"/crew-days{query}")).json()["blocks"]

    day = f"?day={TODAY}"
    assert blocks(tablet, day) == [one]
    assert blocks(tablet, f"{day}&crew={other.id}") == []
    assert blocks(service.client, f"{day}&crew={other.id}") == [two]
    assert blocks(service.client, "") == []
