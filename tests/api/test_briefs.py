"""Briefs over the service: written by an adviser, read by everybody, taken along in packs; drawings and crop load."""

import re
from contextlib import ExitStack
from datetime import timedelta

import pytest

from orchardmap.locale.catalogue import languages
from orchardmap.pruning.calc import calculated_crop_loads
from orchardmap.pruning.pictures import PICTURES
from orchardmap.store.session import sqlite_url
from orchardmap.usecases import planting
from orchardmap.usecases.planting import new_id
from small_farm import NOW


@pytest.fixture(scope="module")
def service(started_service, tmp_path_factory):
    """One service for all tests here; each takes a variety of its own."""
    with ExitStack() as held:
        yield started_service(held, sqlite_url(tmp_path_factory.mktemp("briefs") / "service.sqlite"))


@pytest.fixture(scope="module")
def adviser(service):
    return service.account("adviser")


def made(service, client, **subject):
    """Make a brief of a new variety, or of what is given, and return its address."""
    farm = service.farm
    if not subject:
        variety = planting.add_variety(service.store, farm_id=farm.farm.id, name=new_id(), habit="tip")
        subject = {"variety_id": variety.id}
    body = {"season_id": farm.season.id, "ready_made": {"habit": "tip_renewed"}} | subject
    answer = client.post(service.at_farm("/briefs"), json=body)
    assert answer.status_code == 201, answer.text
    return service.at_farm(f"/briefs/{answer.json()['id']}")


def edited(client, address, **changes):
    """The draft's content with changes, as a page would send it."""
    return client.get(address).json()["draft"]["content"] | changes


def test_adviser_writes_and_publishes_and_the_crew_reads_it(service, adviser):
    """From a habit to the block's brief: a reader sees nothing before it is published, and no draft after."""
    foreman = service.account("foreman")
    own = service.farm.blocks[0].id
    address = made(service, adviser, block_id=own)
    assert foreman.get(address).status_code == 404
    assert service.client.get(service.at_block("/brief")).json() == {"brief": None}
    notes = {"en": "Bring the long saw.", "es": "Traiga la sierra larga."}
    content = edited(adviser, address, notes=notes)
    saved = adviser.put(address + "/draft", json={"revision": 1, "content": content})
    assert (saved.status_code, saved.json()) == (200, {"revision": 2})
    published = adviser.post(address + "/versions", json={"revision": 2})
    assert published.status_code == 201
    again = adviser.post(address + "/versions", json={"revision": 2})
    assert (again.status_code, again.json()) == (200, published.json()), "nothing new: no second version"
    told = foreman.get(service.at_block("/brief")).json()["brief"]
    assert told == published.json()
    assert (told["version"], told["published_at"], told["content"]) == (1, NOW.isoformat(), content)
    limbs = [point["key"] for point in content["points"]].index("limb-count")
    assert "18 to 22" in told["texts"]["en"]["points"][limbs]
    assert "18 a 22" in told["texts"]["es"]["points"][limbs]
    assert told["texts"]["en"]["cautions"][-1] == "Local law, the product label and licensed practice decide."
    version = foreman.get(address + "/versions/1")
    assert version.json() == told
    assert "immutable" not in version.headers.get("cache-control", ""), (
        "its cautions go by the farm's settings"
    )
    assert foreman.get(address + "/versions/2").status_code == 404
    read = foreman.get(address).json()
    assert (read["latest"], "draft" in read) == (told, False)
    changes = foreman.get(service.at_farm("/changes")).json()["changes"]
    assert {c["block_id"] for c in changes if c["kind"] == "brief"} == {own}


def test_differences_between_versions_and_to_the_draft(service, adviser, is_problem):
    address = made(service, adviser)
    adviser.post(address + "/versions", json={"revision": 1})
    content = edited(adviser, address, cautions=["eyes"])
    adviser.put(address + "/draft", json={"revision": 1, "content": content})
    drafted = adviser.get(address + "/differences", params={"old": 1})
    auditor = service.account("auditor")
    is_problem(auditor.get(address + "/differences", params={"old": 1}), 403)
    adviser.post(address + "/versions", json={"revision": 2})
    told = auditor.get(address + "/differences", params={"old": 1, "new": 2}).json()
    assert told["differences"] == drafted.json()["differences"]
    (change,) = told["differences"]
    assert (change["kind"], change["part"], change["new"]) == ("brief_changed", "cautions", ["eyes"])
    is_problem(auditor.get(address + "/differences", params={"old": 1, "new": 3}), 404)


def test_older_draft_is_a_conflict_that_names_who_saved(service, adviser, is_problem):
    address = made(service, adviser)
    one, two = edited(adviser, address, cautions=["eyes"]), edited(adviser, address, cautions=["slope"])
    assert adviser.put(address + "/draft", json={"revision": 1, "content": one}).status_code == 200
    told = is_problem(service.client.put(address + "/draft", json={"revision": 1, "content": two}), 409)
    name = adviser.get("/api/who").json()["name"]
    assert told["detail"] == f"{name} saved this brief meanwhile"
    assert edited(adviser, address) == one
    is_problem(service.client.post(address + "/versions", json={"revision": 1}), 409)


def test_unfit_brief_is_refused_with_every_place_to_mend(service, adviser, is_problem):
    address = made(service, adviser)
    content = edited(adviser, address, points=[], cautions=["bears"])
    adviser.put(address + "/draft", json={"revision": 1, "content": content})
    told = is_problem(adviser.post(address + "/versions", json={"revision": 2}), 422)
    assert told["type"].endswith(":unfit-brief")
    assert [one["where"] for one in told["errors"]] == ["points", "cautions"]
    for one in told["errors"]:
        assert list(one["texts"]) == list(languages())
        assert one["texts"]["en"] == one["what"] != one["texts"]["es"]
    assert "“bears”" in told["errors"][1]["texts"]["es"]
    assert told["errors"] == adviser.get(address).json()["draft"]["problems"]


@pytest.mark.parametrize(
    ("change", "status"),
    [
        ({"format": 2}, 426),
        ({"habit": "weeping"}, 422),
        ({"key_of_tomorrow": 1}, 422),
        ({"notes": {"en": "\x00"}}, 422),
        ({"notes": {"en": "x" * 200_000}}, 422),
    ],
)
def test_content_that_is_not_one_changes_nothing(service, adviser, is_problem, change, status):
    address = made(service, adviser)
    content = edited(adviser, address, **change)
    is_problem(adviser.put(address + "/draft", json={"revision": 1, "content": content}), status)
    assert adviser.get(address).json()["draft"]["revision"] == 1


def test_half_a_surrogate_pair_and_a_number_that_is_none_are_refused(service, adviser, is_problem):
    address = made(service, adviser)
    headers = {"content-type": "application/json"}
    for odd in (rb'"notes": {"en": "\ud800"}', rb'"is_heavy_setter": NaN', rb'"\ud800": 1'):
        body = b'{"revision": 1, "content": {' + odd + b"}}"
        is_problem(adviser.put(address + "/draft", content=body, headers=headers), 422)


def test_brief_is_copied_across_the_advisers_farms_and_from_season_to_season(service, adviser, is_problem):
    """One login, several farms: what is another adviser's looks unknown."""
    address = made(service, adviser)
    source = address.rpartition("/")[2]
    elsewhere = service.another_farm()
    body = {"season_id": elsewhere.season.id, "variety_id": elsewhere.blocks[0].variety_id, "copy_of": source}
    there = f"/api/farms/{elsewhere.farm.id}/briefs"
    assert service.client.post(there, json=body).status_code == 201
    is_problem(service.client.post(there, json=body), 409)
    stranger = service.account("adviser", farm=elsewhere)
    told = is_problem(
        stranger.post(there, json=body | {"variety_id": None, "block_id": elsewhere.blocks[0].id}), 404
    )
    assert told["detail"] == "no such brief"
    opens, closes = NOW.date() + timedelta(days=300), NOW.date() + timedelta(days=400)
    season = planting.add_season(
        service.store, farm_id=elsewhere.farm.id, name="next", opens_on=opens, must_finish_on=closes
    )
    seasons = {"from_season_id": elsewhere.season.id, "season_id": season.id}
    (copied,) = stranger.post(there.replace("/briefs", "/brief-copies"), json=seasons).json()["briefs"]
    listed = stranger.get(there, params={"season": season.id}).json()["briefs"]
    assert [(one["id"], one["latest"], one["revision"]) for one in listed] == [(copied["id"], None, 1)]


@pytest.mark.parametrize(
    "change",
    [
        {"variety_id": None},
        {"block_id": new_id()},
        {"copy_of": new_id()},
        {"ready_made": None},
        {"ready_made": {"habit": "weeping"}},
        {"surprise": 1},
    ],
)
def test_new_brief_is_of_one_thing_from_one_start(service, adviser, is_problem, change):
    body = {"season_id": new_id(), "variety_id": new_id(), "ready_made": {"habit": "tip_renewed"}}
    is_problem(adviser.post(service.at_farm("/briefs"), json=body | change), 422)


def test_packs_take_the_briefs_along_and_every_drawing_once(either):
    """One block with a brief of its own, one with its variety's; before they are published, null and no drawing."""
    service, client = either, either.client
    ids = [block.id for block in service.farm.blocks]

    def pack():
        return client.get(service.at_farm("/packs"), params={"block": ids}).json()

    of_variety = made(service, client, variety_id=service.farm.blocks[0].variety_id)
    of_block = made(service, client, block_id=ids[1])
    before = pack()
    assert ([one["brief"] for one in before["blocks"]], before["pictures"]) == ([None, None], {})
    for address in (of_variety, of_block):
        client.post(address + "/versions", json={"revision": 1})
    told = pack()
    assert told["cursor"] > before["cursor"], "a tablet learns that it must fetch the blocks again"
    held = [client.get(service.at_block("/brief", n)).json()["brief"] for n in (0, 1)]
    assert [one["brief"] for one in told["blocks"]] == held
    assert [one["brief_id"] for one in held] == [a.rpartition("/")[2] for a in (of_variety, of_block)]
    named = {digest for one in held for text in one["texts"].values() for digest in text["pictures"]}
    assert set(told["pictures"]) == named
    assert all(svg.startswith("<svg ") for svg in told["pictures"].values())
    points = held[0]["content"]["points"]
    assert len(told["pictures"]) <= len(points), (
        "the same drawing of two briefs and two languages is there once"
    )


def test_picture_is_kept_for_good_under_its_digest(service, adviser):
    address = made(service, adviser)
    draft = adviser.get(address).json()["draft"]
    for point, digest in zip(draft["content"]["points"], draft["texts"]["en"]["pictures"], strict=True):
        limits = {key: point[key] for key in ("low", "high") if point[key] is not None}
        drawing = f"/api/pictures/{point['picture']}"
        answer = adviser.get(drawing, params=limits | {"v": digest})
        assert answer.status_code == 200
        assert answer.headers["content-type"].startswith("image/svg+xml")
        assert answer.headers["etag"] == f'W/"{digest}"', "the digest that the brief names"
        assert "immutable" in answer.headers["cache-control"]
        plain = adviser.get(drawing, params=limits)
        assert plain.headers["cache-control"] == "no-cache"
        known = adviser.get(drawing, params=limits, headers={"If-None-Match": f'"{digest}"'})
        assert (known.status_code, known.content) == (304, b"")


def test_picture_writes_the_decimal_sign_of_a_language_and_refuses_what_is_no_limit(
    service, adviser, is_problem
):
    def drawn(**params):
        return adviser.get("/api/pictures/limb-gap", params=params)

    assert "22.5" in drawn(low=22.5).text
    assert "22,5" in drawn(low=22.5, language="es").text
    for wrong in ({"low": "nan"}, {"high": "1e999"}, {"low": "x"}, {"language": "x" * 4}):
        is_problem(drawn(**wrong), 422)
    is_problem(adviser.get("/api/pictures/nothing"), 404)


def test_ready_made_briefs_are_what_a_brief_starts_from(service, adviser):
    asked = {"is_heavy_setter": "true", "system": "v_trellis"}
    told = adviser.get("/api/ready-made-briefs", params=asked).json()
    contents = {one["content"]["habit"]: one["content"] for one in told["briefs"]}
    assert len(contents) == 5
    start = {"habit": "spur_uncut", "is_heavy_setter": True, "system": "v_trellis"}
    variety = planting.add_variety(service.store, farm_id=service.farm.farm.id, name=new_id(), habit="spur")
    address = made(service, adviser, ready_made=start, variety_id=variety.id)
    assert edited(adviser, address) == contents["spur_uncut"]
    assert told["pictures"] == list(PICTURES)
    assert {point["picture"] for point in told["points"]} <= set(PICTURES)
    said = dict(zip((point["key"] for point in told["points"]), told["point_texts"], strict=True))
    assert said["limb-gap"]["es"].startswith("Deje al menos 23 cm")
    assert not any("{" in text for texts in said.values() for text in texts.values())
    assert {"ladder", "slope"} < {caution["key"] for caution in told["cautions"]}


def test_cultivars_name_their_source_and_what_suits(adviser):
    told = {one["name"]: one for one in adviser.get("/api/cultivars").json()["cultivars"]}
    peach = told["Irish Peach"]
    assert (peach["habit"], peach["suiting_habits"]) == ("tip", ["tip_renewed", "tip_alternating"])
    assert all(one["source"] and one["suiting_habits"] for one in told.values())


def test_crop_load_answers_as_the_command_does(adviser, is_problem):
    """CV of a young trunk, a list, and what is no job; a file of the command's may be sent as it is."""
    job = {"trunk_diameter_cm": 3.81, "fruit_per_cm2": 4}
    limbs = {"trunk_diameter_cm": 5, "limb_diameters_cm": [2, 3, 1], "target_ratio": 0.5}

    def asked(body):
        return adviser.post("/api/calc/crop-load", json=body)

    assert asked(job).json() == {"trunk_area_cm2": 11.401, "fruit_per_tree": 46}
    assert asked([job, limbs]).json() == calculated_crop_loads([job, limbs])
    assert is_problem(asked([job, {"surprise": 1}]), 422)["where"].startswith("job 2")
    for wrong in ([], [7], {}, job | {"fruit_per_cm2": "four"}, [job] * 1001):
        is_problem(asked(wrong), 422)


def test_no_secret_and_no_name_but_who_saved_is_told(service, adviser):
    """Who published is in the audit log; a reader of a brief learns of no account."""
    address = made(service, adviser)
    adviser.post(address + "/versions", json={"revision": 1})
    name, account = adviser.get("/api/who").json()["name"], re.compile("published_by|saved_by")
    text = service.account("foreman").get(address).text
    assert name not in text
    assert not account.search(text)
