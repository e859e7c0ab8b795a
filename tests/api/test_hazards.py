"""Dangers over the service: a manager draws a line, and packs and cards of the block say it."""

from datetime import timedelta

import pytest

from pdf_pages import letters
from small_farm import NOW

ALONG_MIDDLE = {"type": "LineString", "coordinates": [[11.3, 46.499], [11.3, 46.501]]}
"""North to south through the middle of the small farm's blocks, 100 m wide with 25 rows 4 m apart: over row 13."""


def added(service, **changes):
    body = {"name": "Mill line", "kv": 20, "geojson": ALONG_MIDDLE} | changes
    return service.client.post(service.at_farm("/hazard-lines"), json=body)


def packs(service, client=None):
    ids = [block.id for block in service.farm.blocks]
    answer = (client or service.client).get(service.at_farm("/packs"), params={"block": ids}).json()
    return answer["cursor"], [one["hazards"] for one in answer["blocks"]]


def test_packs_carry_the_dangers_of_each_block_in_every_language(either):
    service = either
    before, none = packs(service)
    assert none == [[], []]
    assert added(service).status_code == 201
    assert service.client.patch(service.at_block(number=1), json={"slope_percent": 22}).status_code == 204
    after, (first, second) = packs(service, service.tablet())
    assert after > before, "a tablet learns that it must fetch the blocks again"
    (line,) = first
    assert (line["key"], line["rows"]) == ("overhead-lines", [12, 13, 14])
    assert set(line) == {"key", "rows", "texts"}
    assert list(line["texts"]) == ["en", "es"]
    assert "rows 12 to 14" in line["texts"]["en"]
    assert line["texts"]["es"].endswith("la práctica autorizada.")
    assert [one["key"] for one in second] == ["overhead-lines", "slope"]
    assert not second[0]["texts"]["en"].endswith("decide.")
    changes = service.client.get(service.at_farm("/changes"), params={"after": before}).json()["changes"]
    assert {c["block_id"] for c in changes} == {block.id for block in service.farm.blocks}


def test_line_is_listed_for_all_and_taken_away_by_the_manager(service, is_problem):
    line_id = added(service).json()["id"]
    (told,) = service.tablet().get(service.at_farm("/hazard-lines")).json()["lines"]
    assert told == {
        "id": line_id,
        "name": "Mill line",
        "kv": 20.0,
        "clearance_m": 3.05,
        "geometry": {"type": "MultiLineString", "coordinates": [ALONG_MIDDLE["coordinates"]]},
    }
    address = service.at_farm(f"/hazard-lines/{line_id}")
    assert service.client.delete(address).status_code == 204
    is_problem(service.client.delete(address), 404)
    assert packs(service)[1] == [[], []]


@pytest.mark.parametrize(
    "changes",
    [
        {"geojson": {"type": "Point", "coordinates": [11.3, 46.5]}},
        {"geojson": {}},
        {"geojson": []},
        {"geojson": {"type": "LineString", "coordinates": [[46.499, 11.3], [46.501, 11.3]]}},
        {"kv": -1},
        {"kv": "high"},
        {"name": ""},
        {"height_m": 6},
    ],
)
def test_what_is_no_line_changes_nothing(service, is_problem, changes):
    before = service.contents()
    told = is_problem(added(service, **changes), 422)
    assert told["detail"]
    assert service.contents() == before


def test_card_of_a_block_opens_with_its_dangers(service):
    """Line, slope and closure, in the crew's language, before anything else; the variety's card has none of them."""
    adviser, farm = service.account("adviser"), service.farm
    body = {"season_id": farm.season.id, "variety_id": farm.blocks[0].variety_id}
    brief = adviser.post(
        service.at_farm("/briefs"), json=body | {"ready_made": {"habit": "tip_renewed"}}
    ).json()
    address = service.at_farm(f"/briefs/{brief['id']}")
    adviser.post(address + "/versions", json={"revision": 1})
    added(service)
    service.client.patch(service.at_block(), json={"slope_percent": 22})
    span = {"starts_at": NOW.isoformat(), "ends_at": (NOW + timedelta(hours=20)).isoformat()}
    service.client.post(service.at_block("/closures"), json=span | {"reason": "spray"})

    def first_page(**params):
        answer = adviser.get(address + "/versions/1/card", params={"language": "es", "size": "a5"} | params)
        assert answer.status_code == 200
        return "".join(letter.said for letter in letters(answer.content)[0])

    page = first_page(block_id=farm.blocks[0].id)
    said = [
        "Peligrosenestecuartel", "filas12a14", "3,05m", "hastael22porciento", "21deenerode2026alas12:00",
        "prácticaautorizada", "1crítico",
    ]  # fmt: skip
    places = [page.find(words) for words in said]
    assert -1 not in places
    assert places == sorted(places)
    assert "Peligros" not in first_page()


def test_every_brief_says_the_distance_that_the_farm_goes_by_and_never_less(service):
    """29 CFR 1910.269: 3.05 m to 50 kV, 4.85 m at 230 kV; where local law asks for more the farm sets more."""
    adviser = service.account("adviser")
    body = {
        "season_id": service.farm.season.id,
        "variety_id": service.farm.blocks[0].variety_id,
        "ready_made": {"habit": "tip_renewed"},
    }
    brief = service.at_farm(f"/briefs/{adviser.post(service.at_farm('/briefs'), json=body).json()['id']}")
    assert adviser.post(brief + "/versions", json={"revision": 1}).status_code == 201
    content = adviser.get(brief).json()["draft"]["content"]
    preview = {"content": content, "title": "X", "language": "es"}

    def told():
        whole = adviser.get(brief).json()
        packed = service.client.get(service.at_farm("/packs"), params={"block": service.farm.blocks[0].id})
        texts = [
            whole["draft"]["texts"],
            whole["latest"]["texts"],
            adviser.get(brief + "/versions/1").json()["texts"],
            adviser.get(service.at_block("/brief")).json()["brief"]["texts"],
            packed.json()["blocks"][0]["brief"]["texts"],
        ]
        said = {
            text[language]["cautions"][content["cautions"].index("overhead-lines")]
            for text in texts
            for language in ("en", "es")
        }
        shown = adviser.post(service.at_farm("/card-preview"), json=preview).text.replace("\xa0", " ")
        return said, shown

    for change, meant in (
        (lambda: None, "3.05"),
        (lambda: added(service, kv=230), "4.85"),
        (lambda: service.client.put(service.at_farm("/settings"), json={"line_base_m": 6}), "7.8"),
    ):
        change()
        said, shown = told()
        english, spanish = sorted(said, key=lambda text: "Power" not in text)
        assert f"at least {meant} m away" in english
        assert f"a {meant.replace('.', ',')} m como mínimo" in spanish
        assert f"a {meant.replace('.', ',')} m como mínimo" in shown
    card = adviser.get(brief + "/versions/1/card")
    assert "atleast7.8maway" in "".join(one.said for page in letters(card.content) for one in page)


def test_a_block_without_a_brief_takes_along_the_cautions_with_the_distance_of_the_farm(service):
    service.client.put(service.at_farm("/settings"), json={"line_base_m": 6})
    packed = service.client.get(service.at_farm("/packs"), params={"block": service.farm.blocks[0].id})
    block = packed.json()["blocks"][0]
    assert block["brief"] is None
    assert sorted(block["cautions"]) == ["en", "es"]
    assert any("at least 6 m away" in text for text in block["cautions"]["en"])
    assert block["cautions"]["es"][-1].startswith("Deciden la ley local")
