"""Labels over the service, and the way from a label's code to its row."""

from urllib.parse import quote

import pytest

from orchardmap.usecases import planting
from pdf_pages import codes, pictures
from small_farm import OUTLINE, PLANTING, small_farm


def plant(service, *codes_of_blocks):
    plans = [planting.BlockPlan(code, "", None, OUTLINE, PLANTING) for code in codes_of_blocks]
    return planting.plant_blocks(service.store, farm_id=service.farm.farm.id, plans=plans)


def test_labels_carry_the_address_that_was_asked_or_this_one(service):
    at = service.at_farm("/labels.pdf")
    block = service.farm.blocks[0].id
    answer = service.client.get(at, params={"block": block, "rows": "3", "ends": "first"})
    assert (answer.status_code, answer.headers["content-type"]) == (200, "application/pdf")
    assert codes(pictures(answer.content)[0]) == ["HTTP://LOCALHOST/R/K1/3"]
    told = {"block": ["K1", "k2"], "rows": "3", "ends": "far", "address": "https://orchard.lan:8420"}
    answer = service.client.get(at, params=told)
    assert codes(pictures(answer.content)[0]) == [f"HTTPS://ORCHARD.LAN:8420/R/K{n}/3" for n in (1, 2)]


@pytest.mark.parametrize(
    ("params", "status"),
    [
        ({}, 422),
        ({"block": "Z9"}, 404),
        ({"block": "K1", "rows": "x"}, 422),
        ({"block": "K1", "rows": "99"}, 404),
        ({"block": "K1", "address": "javascript:alert(1)"}, 422),
        ({"block": "K1", "size": "1x1"}, 422),
        ({"block": "K1", "ends": "middle"}, 422),
    ],
)
def test_what_cannot_be_printed_is_a_problem_document(service, params, status):
    answer = service.client.get(service.at_farm("/labels.pdf"), params=params)
    assert (answer.status_code, answer.headers["content-type"]) == (status, "application/problem+json")


def test_no_block_of_another_farm_is_printed(service):
    other = service.another_farm()
    answer = service.client.get(service.at_farm("/labels.pdf"), params={"block": other.blocks[0].id})
    assert answer.status_code == 404


@pytest.mark.parametrize("path", ["/R/K1/7", "/r/k1/7", "/R/k1/007"])
def test_a_code_leads_to_its_row(service, path):
    answer = service.client.get(path, follow_redirects=False)
    assert (answer.status_code, answer.headers["location"]) == (
        307,
        f"/rows?block={service.farm.blocks[0].id}&row=7",
    )
    assert answer.headers["cache-control"] == "no-store", "a block may get another code"


def test_odd_codes_find_their_rows(service):
    """A slash, a blank, a percent sign, letters beyond ASCII: percent-encoded as the labels write them."""
    odd = ["Top field/2", "50%", "Großes Feld", "q?x=1#y", "a/7"]
    for block in plant(service, *odd):
        answer = service.client.get(f"/R/{quote(block.code.upper(), safe='')}/2", follow_redirects=False)
        assert answer.headers.get("location") == f"/rows?block={block.id}&row=2", block.code


@pytest.mark.parametrize(
    ("path", "says"),
    [
        ("/R/K1/26", "Block K1 has no row 26"),
        ("/R/K1/0", "Block K1 has no row 0"),
        ("/R/K1/-1", "Block K1 has no row -1"),
        ("/R/K1/two", "Block K1 has no row two"),
        ("/R/K1/%D9%A3", "Block K1 has no row ٣"),
        ("/R/Z9/1", "No block here goes by the code Z9"),
        ("/R/%3Cscript%3E/1", "&lt;script&gt;"),
        ("/R/K1/%3Cb%3E", "&lt;b&gt;"),
    ],
)
def test_an_unknown_row_is_said_in_words_on_a_page_that_runs_nothing(service, path, says):
    answer = service.client.get(path, follow_redirects=False)
    assert (answer.status_code, answer.headers["content-type"]) == (404, "text/html; charset=utf-8")
    assert says in answer.text
    assert "<script" not in answer.text
    assert 'href="/rows"' in answer.text
    assert "script-src" not in answer.headers["content-security-policy"]
    assert answer.headers["content-security-policy"].startswith("default-src 'none'; style-src 'sha256-")


def test_a_code_that_several_farms_have_asks_which(service):
    other = service.another_farm("Other <b>Farm</b>")
    answer = service.client.get("/R/K1/7", follow_redirects=False)
    assert answer.status_code == 200
    for block in (service.farm.blocks[0], other.blocks[0]):
        assert f'href="/rows?block={block.id}&amp;row=7"' in answer.text
    assert "Other &lt;b&gt;Farm&lt;/b&gt;: block K1, row 7" in answer.text


def test_labels_are_printed_by_a_manager_alone(service):
    for role in ("foreman", "auditor", "adviser"):
        answer = service.account(role).get(service.at_farm("/labels.pdf"), params={"block": "K1"})
        assert answer.status_code == 403
    assert (
        service.account(None).get(service.at_farm("/labels.pdf"), params={"block": "K1"}).status_code == 404
    )
    assert service.stranger().get(service.at_farm("/labels.pdf"), params={"block": "K1"}).status_code == 401


def test_a_passer_by_learns_of_no_block(service):
    """Known and unknown codes look the same to whoever is nobody here, and to whoever has no part in the farm."""
    small_farm(service.store, "Somebody's")
    for path in ("/R/K1/7", "/R/Z9/7"):
        answer = service.stranger().get(path, follow_redirects=False)
        assert (answer.status_code, answer.headers["location"]) == (
            307,
            f"/sign-in?next={quote(path, safe='')}",
        )
    stranger = service.account(None)
    assert [stranger.get(path).text.count("No block here") for path in ("/R/K1/7", "/R/Z9/7")] == [1, 1]
    for role in ("foreman", "auditor", "adviser", "manager"):
        answer = service.account(role).get("/R/K1/7", follow_redirects=False)
        assert answer.headers["location"] == f"/rows?block={service.farm.blocks[0].id}&row=7"


def test_service_without_certificates_of_its_own_has_no_page_for_them(service):
    for path in ("/trust", "/trust/authority.crt"):
        answer = service.client.get(path)
        assert (answer.status_code, "no certificate" in answer.text) == (404, True)
