"""Pay over the service: what a manager sends and is told, what is refused by name, and where nothing of it may stand."""

import io
import json
import logging

import openpyxl
import pytest

from orchardmap.store import audit
from orchardmap.usecases import planting
from orchardmap.usecases.planting import new_id
from pdf_pages import letters
from small_farm import TODAY

DAY = TODAY.isoformat()
RULES = {
    "currency": "XTS",
    "rates": [{"per": "tree", "rate": "0.4375"}],
    "minimum_wage": [{"per_hour": "6.13"}],
}


def paid_day(service, mark_json):
    """A day of one person with 100 trees in 8 hours, ready to be paid; returns what the preview says."""
    at, client = service.at_farm, service.client
    assert client.put(at("/pay-rules"), json={"revision": 0, "rules": RULES}).status_code == 200
    mark = mark_json(service.farm, last=100)
    sent = {"sent_at": mark["device_at"], "marks": [mark]}
    assert client.post(at("/marks"), json=sent).status_code == 200
    person = planting.add_person(service.store, farm_id=service.farm.farm.id, name="Ana", role="worker")
    entry = {
        "id": new_id(),
        "person_id": person.id,
        "crew_id": mark["crew_id"],
        "day": DAY,
        "hours": 8,
        "rest_minutes": 0,
    }
    assert client.post(at("/person-hours"), json={"hours": [entry]}).status_code == 204
    assert client.get(at("/person-hours"), params={"first": DAY, "last": DAY}).json()["hours"] == [
        {key: entry[key] for key in ("id", "person_id", "crew_id", "day", "hours", "rest_minutes")}
    ]
    return client.get(at("/pay-preview"), params={"first": DAY, "last": DAY}).json()


def export(service, seen):
    body = {"id": new_id(), "first": DAY, "last": DAY, "crew_id": None, "seen": seen["digest"]}
    return service.client.post(service.at_farm("/pay-runs"), json=body)


def test_manager_enters_rules_and_hours_looks_exports_and_reads_what_was_paid(either, mark_json):
    seen = paid_day(either, mark_json)
    assert [(one["kind"], one["amount"]) for one in seen["lines"]] == [("trees", "43.75"), ("top_up", "5.29")]
    answer = export(either, seen)
    assert answer.status_code == 201, answer.text
    run = answer.json()
    assert (run["amount"], run["lines"], run["rules"]["currency"]) == ("49.04", seen["lines"], "XTS")
    assert run["worked"] == seen["people"]
    assert [one["hours"] for one in run["worked"]] == ["8.0"]
    (told,) = either.client.get(either.at_farm("/pay-runs")).json()["runs"]
    assert told == {key: run[key] for key in told}
    assert either.client.get(either.at_farm(f"/pay-runs/{run['id']}")).json() == run
    client, budget = either.client, {"amount": "0.50", "is_per_tree": True}
    assert client.put(either.at_farm("/budget"), json=budget).json() == {"budget": budget}
    cost = client.get(either.at_farm("/pay-cost")).json()
    assert (cost["cost"], cost["credited"], cost["cost_per_tree"]) == ("49.04", 100, "0.49")
    assert cost["budget"] == budget | {"whole": "2625.00", "per_tree": "0.50"}
    assert cost["expected"] == "2574.60"
    of_block = cost["blocks"][0]
    # 100 of the 2,625 trees of two hectares
    assert (of_block["cost"], of_block["cost_per_ha"]) == ("49.04", "643.65")
    assert cost["cost_per_ha"] == "643.65", "of all ground under credited trees"
    assert client.put(either.at_farm("/budget"), json=budget | {"amount": None}).json() == {"budget": None}


@pytest.mark.parametrize(
    ("changes", "where"),
    [
        ({"currency": None}, "currency"),
        ({"currency": "=1+1"}, "currency"),
        ({"rounding_step": "0.003"}, "rounding_step"),
        ({"rates": [{"per": "row", "rate": "1"}]}, "rates 1, per"),
        ({"rates": [{"per": "tree", "rate": "-1"}]}, "rates 1, rate"),
        ({"rates": [{"per": "tree", "rate": "1"}] * 2}, "rate 2"),
        ({"moon": 1}, "moon"),
    ],
)
def test_rule_that_cannot_be_is_refused_by_its_place(shared, is_problem, changes, where):
    before = shared.client.get(shared.at_farm("/pay-rules")).json()
    body = {"revision": before["revision"], "rules": RULES | changes}
    told = is_problem(shared.client.put(shared.at_farm("/pay-rules"), json=body), 422)
    assert told["where"] == where
    assert shared.client.get(shared.at_farm("/pay-rules")).json() == before


def test_rate_of_another_farms_variety_is_of_none(shared, is_problem):
    rates = [{"per": "tree", "rate": "1", "variety": new_id()}]
    revision = shared.client.get(shared.at_farm("/pay-rules")).json()["revision"]
    body = {"revision": revision, "rules": RULES | {"rates": rates}}
    is_problem(shared.client.put(shared.at_farm("/pay-rules"), json=body), 404)


def test_export_of_what_is_not_there_any_more_is_a_conflict(service, mark_json, is_problem):
    seen = paid_day(service, mark_json)
    assert is_problem(export(service, {"digest": "0" * 64}), 409)["todo"] == "Look at the run again."
    assert export(service, seen).status_code == 201
    is_problem(export(service, seen), 422)


def test_nothing_of_pay_stands_in_logs_packs_changes_or_any_cache(service, mark_json, caplog):
    """Amounts, rates, hours and names of who is paid stay in their own answers, which nobody keeps."""
    caplog.set_level(logging.DEBUG)
    run = export(service, paid_day(service, mark_json)).json()
    words = ["49.04", "43.75", "0.4375", "6.13", "Ana"]
    others = [
        service.client.get(service.at_farm(path)).text
        for path in ("/changes", "/overview", "/progress", f"/packs?block={service.farm.blocks[0].id}")
    ]
    with service.store.read() as conn:
        others.append(str(conn.exec_driver_sql("SELECT what, detail FROM audit_log").fetchall()))
    for text in (*others, caplog.text):
        assert [word for word in words if word in text] == []
    for path in (f"/pay-runs/{run['id']}", "/pay-runs", "/pay-rules", "/pay-cost"):
        assert service.client.get(service.at_farm(path)).headers["cache-control"] == "no-store"
    assert json.dumps(run).count("43.75") > 0


def test_sheets_tell_what_was_paid_whatever_is_recorded_later(service, mark_json):
    """On paper for people and crews, in both languages, and as a table; that they were made is in the audit log."""
    run = export(service, paid_day(service, mark_json)).json()
    at = service.at_farm(f"/pay-runs/{run['id']}")
    (kept,) = service.client.get(service.at_farm("/person-hours"), params={"first": DAY, "last": DAY}).json()[
        "hours"
    ]
    shorter = kept | {"id": new_id(), "hours": 2, "replaces_id": kept["id"]}
    assert service.client.post(service.at_farm("/person-hours"), json={"hours": [shorter]}).status_code == 204
    rules = {"revision": 1, "rules": RULES | {"rates": [{"per": "tree", "rate": "9"}]}}
    assert service.client.put(service.at_farm("/pay-rules"), json=rules).status_code == 200
    for of, language, said in (("people", "en", "49.04"), ("crews", "es", "49,04")):
        answer = service.client.get(f"{at}/sheets.pdf", params={"of": of, "lang": language})
        assert (answer.status_code, answer.headers["content-type"]) == (200, "application/pdf")
        (page,) = letters(answer.content)
        words = "".join(one.said for one in page)
        assert "Ana" in words
        assert said in words
    book = service.client.get(f"{at}/book.xlsx")
    assert book.headers["cache-control"] == "no-store"
    cells = [
        cell.value
        for sheet in openpyxl.load_workbook(io.BytesIO(book.content))
        for row in sheet.iter_rows()
        for cell in row
    ]
    assert {43.75, 5.29, "Ana"} <= set(cells)
    with service.store.read() as conn:
        made = [one for one in audit.entries(conn) if one.what == "pay_sheet_made"]
    assert [one.detail["kind"] for one in made] == ["people", "crews", "book"]
    assert {one.subject for one in made} == {run["id"]}
