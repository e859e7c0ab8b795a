"""Cards over the service: a draft as it would be printed, in a frame that runs nothing; versions and drafts as PDF."""

import base64
import hashlib
import re
from contextlib import ExitStack

import pytest

from orchardmap.pruning.pictures import PICTURES
from orchardmap.store.session import sqlite_url
from orchardmap.usecases import planting
from pdf_pages import letters


@pytest.fixture(scope="module")
def service(started_service, tmp_path_factory):
    with ExitStack() as held:
        yield started_service(held, sqlite_url(tmp_path_factory.mktemp("cards") / "service.sqlite"))


@pytest.fixture(scope="module")
def adviser(service):
    return service.account("adviser")


@pytest.fixture(scope="module")
def brief(service, adviser):
    """Address of the brief of the farm's variety, published once; its draft says one thing more."""
    body = {"season_id": service.farm.season.id, "ready_made": {"habit": "tip_renewed"}}
    body |= {"variety_id": service.farm.blocks[0].variety_id}
    address = service.at_farm(f"/briefs/{adviser.post(service.at_farm('/briefs'), json=body).json()['id']}")
    adviser.post(address + "/versions", json={"revision": 1})
    content = content_of(adviser, address) | {"notes": {"en": "Only in the draft."}}
    assert adviser.put(address + "/draft", json={"revision": 1, "content": content}).status_code == 200
    return address


def content_of(adviser, address):
    return adviser.get(address).json()["draft"]["content"]


def shown(service, adviser, content, **more):
    answer = adviser.post(service.at_farm("/card-preview"), json={"content": content} | more)
    assert answer.status_code == 200, answer.text
    assert answer.headers["content-type"].startswith("text/html")
    return answer


def printed(answer):
    assert answer.status_code == 200, answer.text
    assert answer.headers["content-type"] == "application/pdf"
    return ["".join(letter.said for letter in page) for page in letters(answer.content)]


@pytest.mark.parametrize("size", ["a4", "a5"])
def test_preview_says_what_is_written_and_its_policy_lets_its_one_style_in_and_nothing_else(
    service, adviser, brief, size
):
    """The page that frames it goes by the same style: a frame of given text has its page's policy besides its own."""
    content = content_of(adviser, brief)
    answer = shown(service, adviser, content, title="<Odd> & 'name'", language="es", size=size)
    assert '<html lang="es">' in answer.text
    assert "<h1>&lt;Odd&gt; &amp; &#x27;name&#x27;</h1>" in answer.text
    assert "Borrador sin publicar" in answer.text
    assert "Only in the draft." in answer.text
    (style,) = re.findall(r"<style>(.*?)</style>", answer.text, re.DOTALL)
    assert f"size: {148 if size == 'a5' else 210}mm" in style
    hashed = f"'sha256-{base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()}'"
    policy = dict(part.strip().split(" ", 1) for part in (answer.headers["content-security-policy"] + " ;").split(";") if " " in part.strip())  # fmt: skip
    assert policy["default-src"] == "'none'"
    assert hashed in policy["style-src"]
    assert answer.headers["content-security-policy"].endswith("; sandbox")
    assert "script" not in answer.text + answer.headers["content-security-policy"]
    page = adviser.get("/sign-in").headers["content-security-policy"]
    assert hashed in page
    assert "unsafe" not in page + answer.headers["content-security-policy"]


def test_preview_of_what_is_unfinished_passes_over_what_there_is_not(service, adviser, brief):
    content = content_of(adviser, brief)
    whole = shown(service, adviser, content).text
    first = content["points"][0]
    odd = first | {"picture": "nothing", "sentences": {}, "low": 5, "high": 1}
    unfinished = content | {"points": [odd, *content["points"][1:]], "cautions": ["bears", "eyes"]}
    told = shown(service, adviser, unfinished).text
    assert whole.count('<div class="picture"><svg') - told.count('<div class="picture"><svg') == 1
    assert "shoots spring back" in told
    assert "bears" not in told
    empty = shown(service, adviser, content | {"points": [], "cautions": []}).text
    assert "Local law, the product label and licensed practice decide." in empty


@pytest.mark.parametrize(
    ("body", "status"),
    [
        ({"language": "pl"}, 422),
        ({"size": "a3"}, 422),
        ({"title": "\x00"}, 422),
        ({"content": {"format": 2}}, 426),
        ({"content": {"format": 1}}, 422),
    ],
)
def test_preview_of_what_is_no_brief_is_a_problem(service, adviser, brief, is_problem, body, status):
    asked = {"content": content_of(adviser, brief)} | body
    is_problem(adviser.post(service.at_farm("/card-preview"), json=asked), status)


def test_foreman_prints_the_published_version_and_never_the_draft(service, brief):
    foreman = service.account("foreman")
    asked = {"language": "es", "size": "a5"}
    answer = foreman.get(brief + "/versions/1/card", params=asked)
    pages = printed(answer)
    assert len(pages) > 2
    assert all("IrishPeach" in page and "SmallFarm" in page and "Versión1" in page for page in pages)
    assert "Onlyinthedraft" not in "".join(pages)
    named = answer.headers["content-disposition"]
    assert named == 'inline; filename="brief-irish-peach-v1-es-a5.pdf"'


def test_adviser_prints_the_draft_which_says_that_it_is_one(adviser, brief):
    answer = adviser.get(brief + "/draft/card")
    pages = printed(answer)
    assert all("Draft,notpublished" in page for page in pages)
    assert "Onlyinthedraft" in "".join(pages)
    assert answer.headers["content-disposition"] == 'inline; filename="brief-irish-peach-draft-en-a4.pdf"'


def test_card_of_a_block_is_of_one_that_the_brief_is_for(service, adviser, brief, is_problem):
    card = brief + "/versions/1/card"
    pages = printed(adviser.get(card, params={"block_id": service.farm.blocks[1].id}))
    assert "BlockK2" in pages[0]
    variety = planting.add_variety(service.store, farm_id=service.farm.farm.id, name="Ämne / ☂", habit="tip")
    service.client.patch(service.at_block(), json={"variety_id": variety.id})
    told = is_problem(adviser.get(card, params={"block_id": service.farm.blocks[0].id}), 422)
    assert told["detail"] == "the brief is not for block K1"
    stranger = service.another_farm().blocks[0].id
    told = is_problem(adviser.get(card, params={"block_id": stranger}), 404)
    assert told["detail"] == "no such block"
    body = {"season_id": service.farm.season.id, "ready_made": {"habit": "tip_renewed"}}
    own = adviser.post(service.at_farm("/briefs"), json=body | {"block_id": service.farm.blocks[0].id}).json()
    answer = adviser.get(service.at_farm(f"/briefs/{own['id']}/draft/card"))
    assert "BlockK1" in printed(answer)[0]
    assert answer.headers["content-disposition"] == 'inline; filename="brief-amne-k1-draft-en-a4.pdf"'


def test_card_of_a_block_with_its_own_published_brief_is_never_its_variety_s(
    service, adviser, brief, is_problem
):
    """Crews would cut by the wrong one, under the dangers of the right block."""
    block = service.farm.blocks[1].id
    body = {"season_id": service.farm.season.id, "block_id": block, "ready_made": {"habit": "tip_renewed"}}
    own = service.at_farm(f"/briefs/{adviser.post(service.at_farm('/briefs'), json=body).json()['id']}")
    asked, of_variety = {"block_id": block}, brief + "/versions/1/card"
    assert adviser.get(of_variety, params=asked).status_code == 200  # a draft leaves the variety's in force
    assert adviser.post(own + "/versions", json={"revision": 1}).status_code == 201
    for card in (of_variety, brief + "/draft/card"):
        told = is_problem(adviser.get(card, params=asked), 422)
        assert told["detail"] == "block K2 has a brief of its own"
    assert adviser.get(own + "/versions/1/card", params=asked).status_code == 200
    assert adviser.get(of_variety).status_code == 200


def test_who_published_is_told_to_who_writes_briefs_and_to_nobody_else(service, adviser, brief):
    name = adviser.get("/api/who").json()["name"]
    assert [one["published_by"] for one in adviser.get(brief).json()["versions"]] == [name]
    of = brief.rpartition("/")[2]
    (listed,) = [
        one for one in service.client.get(service.at_farm("/briefs")).json()["briefs"] if one["id"] == of
    ]
    assert listed["latest"]["published_by"] == name
    for reader in (service.account("foreman"), service.account("auditor"), service.tablet()):
        for address in (
            brief,
            service.at_farm("/briefs"),
            brief + "/versions/1",
            service.at_block("/brief", 1),
        ):
            assert name not in reader.get(address).text
            assert "published_by" not in reader.get(address).text
        packs = reader.get(service.at_farm("/packs"), params={"block": service.farm.blocks[1].id})
        assert "published_by" not in packs.text


def test_every_drawing_stands_on_the_preview_without_being_fetched(service, adviser, brief):
    content = content_of(adviser, brief)
    first = content["points"][0]
    points = [first | {"key": f"p-{name}", "picture": name} for name in PICTURES]
    told = shown(service, adviser, content | {"points": points}).text
    assert told.count('<div class="picture"><svg') == len(PICTURES)
    assert not re.findall(r"(?:href|src|url)\s*[=(]", told)
