"""Newer work on screens that hold forms: shown by itself while no hand is on them, told above them where one is, and nothing typed is lost."""

import re
from contextlib import suppress
from typing import Any

from playwright.sync_api import Error, Page, expect

from browser_marks import prune_row, say_pace_and_people, say_pay_rules
from orchardmap.usecases.planting import new_id

# the promise of two seconds is measured by bench/live.py: here other tests run beside it
SOON_MS = 15_000
TOLD = re.compile(r"^\d new records? since this was read\.")


def nothing_told(page: Page) -> None:
    """Nobody is told what is shown already."""
    expect(page.locator(".newer")).to_be_empty()


def test_a_run_of_pay_shows_new_trees_by_itself_and_not_under_an_open_question(
    tablet: Page, service: Any, planted: dict[str, Any]
) -> None:
    rows = planted["rows"]
    at = f"/farms/{planted['farm']}"
    say_pay_rules(service, planted)
    person = service.post(f"{at}/people", {"name": "Ana", "role": "worker", "crew_id": planted["crews"][0]})[
        "id"
    ]
    hours = {"person_id": person, "crew_id": planted["crews"][0], "day": planted["today"]}
    entry = {"id": new_id(), **hours, "hours": 8, "rest_minutes": 0}
    service.post(f"{at}/person-hours", {"hours": [entry]})
    prune_row(service, planted, 1)
    tablet.goto(f"{service.address}/pay?part=run&day={planted['today']}")
    crews = tablet.get_by_role("table").filter(has_text="Hollow").first
    expect(crews).to_contain_text(str(rows[1]))
    prune_row(service, planted, 2)
    expect(crews).to_contain_text(str(rows[1] + rows[2]), timeout=SOON_MS)
    nothing_told(tablet)
    # somebody is about to export: what is asked about is not drawn away
    tablet.get_by_role("button", name="Export").first.click()
    prune_row(service, planted, 3)
    expect(tablet.locator(".newer")).to_have_text(TOLD, timeout=SOON_MS)
    expect(crews).to_contain_text(str(rows[1] + rows[2]))


def test_the_plan_shows_what_is_left_by_itself_and_keeps_what_is_half_typed(
    tablet: Page, service: Any, planted: dict[str, Any]
) -> None:
    rows, trees = planted["rows"], sum(planted["rows"].values())
    tablet.goto(f"{service.address}/plan?block={planted['block']}")
    facts = tablet.locator(".plan-facts")
    expect(facts).to_contain_text(f"{trees} trees left")
    prune_row(service, planted, 1)
    expect(facts).to_contain_text(f"{trees - rows[1]} trees left", timeout=SOON_MS)
    # a day that is being typed outlasts what comes in
    tablet.locator(".plan-panel summary").first.click()
    day = tablet.locator(".plan-terms input[type=date]")
    day.fill(planted["today"])
    prune_row(service, planted, 2)
    expect(facts).to_contain_text(f"{trees - rows[1] - rows[2]} trees left", timeout=SOON_MS)
    expect(day).to_have_value(planted["today"])
    expect(day).to_be_focused()


def test_a_new_lot_holds_the_trees_of_now_and_what_was_chosen_stays(
    tablet: Page, service: Any, planted: dict[str, Any]
) -> None:
    rows = planted["rows"]
    prune_row(service, planted, 1)
    tablet.goto(f"{service.address}/quality?part=new-lot")
    planned = tablet.locator(".new-lot-plan")
    expect(planned).to_contain_text(f"{rows[1]} trees")
    prune_row(service, planted, 2)
    expect(planned).to_contain_text(f"{rows[1] + rows[2]} trees", timeout=SOON_MS)
    nothing_told(tablet)
    extra = tablet.get_by_label("Extra trees")
    extra.fill("3")
    prune_row(service, planted, 3)
    expect(planned).to_contain_text(f"{rows[1] + rows[2] + rows[3]} trees", timeout=SOON_MS)
    expect(extra).to_have_value("3")
    expect(tablet.locator(".newer")).to_have_text(TOLD)


def test_lists_of_quality_and_what_is_to_be_settled_come_by_themselves(
    tablet: Page, service: Any, planted: dict[str, Any]
) -> None:
    tablet.goto(f"{service.address}/quality")
    body = tablet.locator(".quality-content")
    expect(body).not_to_contain_text("Loading")
    prune_row(service, planted, 1)
    expect(body).to_contain_text("Hollow", timeout=SOON_MS)
    nothing_told(tablet)
    tablet.goto(f"{service.address}/settling")
    expect(tablet.locator(".settling-counts")).to_have_text("Nothing waits to be settled.")
    prune_row(service, planted, 1, crew=1)
    expect(tablet.locator(".settling-lists")).to_contain_text("Block K1, row 1", timeout=SOON_MS)
    nothing_told(tablet)


def test_the_forecast_reckons_by_itself_and_waits_for_whoever_compares_cases(
    tablet: Page, service: Any, planted: dict[str, Any]
) -> None:
    rows, trees = planted["rows"], sum(planted["rows"].values())
    say_pace_and_people(service, planted)
    tablet.goto(f"{service.address}/forecast")
    body = tablet.locator(".forecast")
    expect(body).to_contain_text(str(trees))
    prune_row(service, planted, 1)
    expect(body).to_contain_text(str(trees - rows[1]), timeout=SOON_MS)
    nothing_told(tablet)
    tablet.locator(".forecast summary").first.click()
    prune_row(service, planted, 2)
    expect(tablet.locator(".newer")).to_have_text(TOLD, timeout=SOON_MS)
    tablet.get_by_role("button", name="Read again").click()
    expect(body).to_contain_text(str(trees - rows[1] - rows[2]))
    nothing_told(tablet)


def test_a_hand_that_comes_while_newer_work_is_read_loses_nothing(
    tablet: Page, service: Any, planted: dict[str, Any]
) -> None:
    """What is typed between the question and its answer stays where it was typed, and a line tells that there is something newer."""
    prune_row(service, planted, 1)
    tablet.goto(f"{service.address}/quality?part=new-lot")
    extra = tablet.get_by_label("Extra trees")
    expect(tablet.locator(".new-lot-plan")).to_contain_text(f"{planted['rows'][1]} trees")
    asked: list[Any] = []
    tablet.route("**/overview?*", lambda route: asked.append(route))
    prune_row(service, planted, 2)
    while not asked:
        tablet.wait_for_timeout(20)
    extra.click()
    extra.press_sequentially("17", delay=30)
    held = list(asked)
    tablet.unroute("**/overview?*")  # whatever is asked from here on goes by itself
    for route in held:
        with suppress(Error):  # the browser has let it go on already
            route.continue_()
    expect(tablet.locator(".newer")).to_have_text(TOLD, timeout=SOON_MS)
    expect(extra).to_have_value("17")
    expect(extra).to_be_focused()


def test_what_cannot_be_read_is_asked_for_less_and_less_often_and_comes_once_it_can(
    tablet: Page, service: Any, planted: dict[str, Any], expected_trouble: list[str]
) -> None:
    expected_trouble += ["503"]
    tablet.goto(f"{service.address}/quality")
    body = tablet.locator(".quality-content")
    expect(body).not_to_contain_text("Loading")
    asked: list[Any] = []

    def refuse(route: Any) -> None:
        asked.append(route)
        route.fulfill(status=503, json={"type": "about:blank", "title": "Busy", "status": 503})

    tablet.route(re.compile(r"/lots(\?|$)"), refuse)
    prune_row(service, planted, 1)
    while not asked:
        tablet.wait_for_timeout(20)
    tablet.wait_for_timeout(6_000)
    # after one, two and four seconds
    assert 2 <= len(asked) <= 4
    tablet.unroute_all()
    expect(body).to_contain_text("Hollow", timeout=SOON_MS)


def test_selected_text_and_the_keyboard_on_read_again_stay_while_marks_come(
    tablet: Page, service: Any, planted: dict[str, Any]
) -> None:
    prune_row(service, planted, 1)
    tablet.goto(f"{service.address}/quality")
    wants = tablet.locator(".quality-wants li")
    expect(wants).to_contain_text("Hollow")
    chosen = "() => getSelection().toString()"
    wants.evaluate("it => getSelection().selectAllChildren(it)")
    before = tablet.evaluate(chosen)
    assert "Hollow" in before
    prune_row(service, planted, 2)
    line = tablet.locator(".newer")
    expect(line).to_have_text(TOLD, timeout=SOON_MS)
    assert tablet.evaluate(chosen) == before
    again = tablet.get_by_role("button", name="Read again")
    again.focus()
    prune_row(service, planted, 3)
    expect(line).to_contain_text("2 new records", timeout=SOON_MS)
    expect(again).to_be_focused()
    tablet.keyboard.press("Enter")
    expect(wants).to_contain_text(f"{sum(planted['rows'][row] for row in (1, 2, 3))} trees")


def test_what_is_pressed_and_whose_end_a_scroll_bar_swallows_holds_nothing_for_good(
    tablet: Page, service: Any, planted: dict[str, Any]
) -> None:
    tablet.goto(f"{service.address}/quality")
    body = tablet.locator(".quality-content")
    expect(body).not_to_contain_text("Loading")
    tablet.evaluate("document.body.dispatchEvent(new PointerEvent('pointerdown', { bubbles: true }))")
    prune_row(service, planted, 1)
    tablet.wait_for_timeout(2_500)
    expect(body).not_to_contain_text("Hollow")
    expect(body).to_contain_text("Hollow", timeout=SOON_MS)


def test_terms_half_typed_outlast_a_plan_that_somebody_else_saves(
    tablet: Page, service: Any, planted: dict[str, Any]
) -> None:
    rows, trees = planted["rows"], sum(planted["rows"].values())
    tablet.goto(f"{service.address}/plan?block={planted['block']}")
    facts = tablet.locator(".plan-facts")
    expect(facts).to_contain_text(f"{trees} trees left")
    tablet.locator(".plan-panel summary").first.click()
    day = tablet.locator(".plan-terms input[type=date]")
    day.fill(planted["today"])
    tablet.locator("h1").click()
    at = f"/farms/{planted['farm']}/queues"
    board = service.get(at)
    queues = [{"crew_id": planted["crews"][1], "blocks": [planted["block"]]}]
    now = {"queues": queues, "open": [], "own_first": True, "revision": board["revision"]}
    service.post(at, now, method="PUT")
    prune_row(service, planted, 1)
    expect(facts).to_contain_text(f"{trees - rows[1]} trees left", timeout=SOON_MS)
    expect(day).to_have_value(planted["today"])
    expect(day).to_be_visible()
