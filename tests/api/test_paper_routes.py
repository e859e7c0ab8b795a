"""Paper over the service: PDFs for those who may read the farm, cost for managers alone, refusals as problem documents."""

import re

import pytest

from orchardmap.usecases import planting
from orchardmap.usecases.planting import new_id
from pdf_pages import codes, opened, pictures
from small_farm import TODAY

DAY = TODAY.isoformat()


def text_of(answer) -> str:
    assert (answer.status_code, answer.headers["content-type"]) == (200, "application/pdf"), answer.text[:300]
    assert answer.headers["content-disposition"].startswith('inline; filename="')
    with opened(answer.content) as document:
        return re.sub(r"\s+", " ", " ".join(page.get_textpage().get_text_range() for page in document))


def test_the_wall_map_is_made_as_it_was_asked_for(service):
    at = service.at_farm("/wall-map.pdf")
    asked = {"block": "k1", "size": "a4", "scale": 2000, "day": "2026-01-10", "language": "es"}
    said = text_of(service.client.get(at, params=asked))
    assert "Escala 1:2000" in said
    assert "al 10 de enero de 2026" in said


def test_a_crew_sheet_carries_the_address_that_the_service_is_reached_by(service):
    answer = service.client.get(service.at_farm("/crew-sheets.pdf"), params={"block": "K1"})
    assert "Start: row 1" in text_of(answer)
    assert codes(pictures(answer.content)[0]) == ["HTTP://LOCALHOST/R/K1/1"]


def test_what_work_costs_is_told_to_managers_alone(service, mark_json):
    at, client = service.at_farm, service.client
    rules = {"currency": "XTS", "rates": [{"per": "tree", "rate": "0.4375"}]}
    assert client.put(at("/pay-rules"), json={"revision": 0, "rules": rules}).status_code == 200
    mark = mark_json(service.farm, last=100)
    assert client.post(at("/marks"), json={"sent_at": mark["device_at"], "marks": [mark]}).status_code == 200
    person = planting.add_person(service.store, farm_id=service.farm.farm.id, name="Ana", role="worker")
    hours = {
        "id": new_id(),
        "person_id": person.id,
        "crew_id": mark["crew_id"],
        "day": DAY,
        "hours": 8,
        "rest_minutes": 0,
    }
    assert client.post(at("/person-hours"), json={"hours": [hours]}).status_code == 204
    cost = client.get(at("/pay-cost")).json()
    whole = text_of(client.get(at("/weekly-report.pdf")))
    assert f"XTS {cost['cost']} for 100 trees whose pay is known" in whole
    for role in ("foreman", "auditor", "adviser"):
        said = text_of(service.account(role).get(at("/weekly-report.pdf")))
        assert "100 trees pruned this week" in said
        assert "XTS" not in said, role


@pytest.mark.parametrize(
    ("path", "params", "status"),
    [
        ("/wall-map.pdf", {"size": "a5"}, 422),
        ("/wall-map.pdf", {"block": "Z9"}, 404),
        ("/wall-map.pdf", {"scale": 10}, 422),
        ("/wall-map.pdf", {"day": "2126-01-01"}, 422),
        ("/crew-sheets.pdf", {}, 422),
        ("/crew-sheets.pdf", {"block": "K1", "language": "xx"}, 422),
        ("/weekly-report.pdf", {"day": "2126-01-01"}, 422),
        ("/weekly-report.pdf", {"language": "xx"}, 422),
    ],
)
def test_what_cannot_be_printed_is_a_problem_document(service, path, params, status):
    answer = service.client.get(service.at_farm(path), params=params)
    assert answer.status_code == status
    assert answer.headers["content-type"] == "application/problem+json"
    assert answer.json()["detail"]
