"""Gloves tap twice: a second tap marks nothing twice, marks nothing that has only just appeared, and loses no undo."""

import re
import time
from collections import Counter
from typing import Any

import pytest
from playwright.sync_api import Locator, Page, expect

from browser_tablets import OUTBOX, plant_rows

pytestmark = pytest.mark.browser


COUNT_COVERS = """() => { window.covers = 0; new MutationObserver((changes) => {
  for (const { addedNodes } of changes) for (const node of addedNodes) if (node.className === "tap-cover") window.covers += 1;
}).observe(document.body, { childList: true, subtree: true }); }"""


def row_button(page: Page, number: int) -> Locator:
    return page.get_by_role("button", name=re.compile(rf"^Row {number}\b"))


def row_strip(page: Page, number: int) -> Locator:
    return page.locator(".row-strip").nth(number - 1)


def middle(found: Locator) -> tuple[float, float]:
    box = found.bounding_box()
    assert box is not None
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def pick_crew(page: Page, service: Any, planted: dict[str, Any]) -> None:
    page.goto(f"{service.address}/rows")
    page.evaluate("(id) => localStorage.setItem('orchardmap.crew', id)", planted["crews"][0])


def open_rows(page: Page, service: Any, planted: dict[str, Any]) -> None:
    pick_crew(page, service, planted)
    page.goto(f"{service.address}/rows?block={planted['block']}")
    page.get_by_role("button", name="Read", exact=True).tap()
    row_button(page, 1).tap(trial=True)  # waits until rows take taps


def slow_down(page: Page, seconds: float, pattern: str = "**/api/farms/*/marks") -> None:
    def wait(route: Any) -> None:
        time.sleep(seconds)
        route.continue_()

    page.route(pattern, wait)


def all_sent(page: Page) -> None:
    """Wait until the service has acknowledged everything."""
    expect(page.get_by_text(re.compile(r"^All sent\."))).to_be_visible()


def marks_of(service: Any, planted: dict[str, Any]) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = service.get(f"/blocks/{planted['block']}/marks")["marks"]
    return found


def test_double_tap_on_a_row_stores_one_mark_and_undo_frees_it(
    tablet: Page, service: Any, planted: dict[str, Any]
) -> None:
    open_rows(tablet, service, planted)
    x, y = middle(row_button(tablet, 2))
    tablet.touchscreen.tap(x, y)
    tablet.touchscreen.tap(x, y)
    expect(row_strip(tablet, 2)).to_contain_text("done")
    all_sent(tablet)
    assert len(marks_of(service, planted)) == 1
    undo = tablet.get_by_role("button", name="Undo row 2")
    x, y = middle(undo)
    tablet.touchscreen.tap(x, y)
    tablet.touchscreen.tap(x, y)  # nor does a double tap on undo take back twice
    expect(tablet.get_by_text("Taken back: row 2.")).to_be_visible()
    expect(row_strip(tablet, 2)).to_contain_text(f"0 of {planted['rows'][2]}")
    all_sent(tablet)
    assert [mark["withdrawn"] for mark in marks_of(service, planted)] == [True]
    expect(undo).to_have_count(0)


def test_row_shows_pruned_at_once_however_slow_the_service_is(
    tablet: Page, service: Any, planted: dict[str, Any]
) -> None:
    open_rows(tablet, service, planted)
    held: list[Any] = []
    tablet.route("**/api/farms/*/marks", lambda route: held.append(route))
    row_button(tablet, 2).tap()
    expect(row_strip(tablet, 2)).to_contain_text("done")
    expect(row_strip(tablet, 2)).to_contain_text("on this tablet")
    assert marks_of(service, planted) == []  # the service has not been heard of yet
    row_button(tablet, 2).tap()
    expect(tablet.get_by_text("Row 2 is done already")).to_be_visible()
    for route in held:
        route.continue_()
    expect(row_strip(tablet, 2)).not_to_contain_text("on this tablet", timeout=20_000)
    assert len(marks_of(service, planted)) == 1


def test_undo_says_so_when_another_mark_still_claims_the_trees(
    tablet: Page, service: Any, planted: dict[str, Any]
) -> None:
    open_rows(tablet, service, planted)
    row_button(tablet, 2).tap()
    expect(row_strip(tablet, 2)).to_contain_text("done")
    all_sent(tablet)
    first = marks_of(service, planted)[0]
    keys = ("row", "crew_id", "day", "method")
    twin = {key: first[key] for key in keys} | {
        "id": "0198c000-0000-7000-8000-00000000d0b1",
        "season_id": planted["season"],
        "block_id": planted["block"],
        "first": 3,
        "last": 9,
        "device_at": first["server_at"],
    }
    service.post(f"/farms/{planted['farm']}/marks", {"sent_at": first["server_at"], "marks": [twin]})
    expect(tablet.locator(".marks-list").last).to_contain_text(
        "Row 2, positions 3 to 9", timeout=15_000
    )  # heard of by itself
    tablet.get_by_role("button", name="Undo row 2").tap()
    bar = tablet.locator(".action-bar")
    expect(bar).to_contain_text("Taken back; another mark still claims positions 3 to 9 of row 2.")
    expect(bar).not_to_contain_text("Taken back: row 2.")
    expect(row_strip(tablet, 2)).to_contain_text(f"7 of {planted['rows'][2]}")


SECOND_TAP = """
(wait) => {
  const look = new MutationObserver(() => {
    if (document.querySelectorAll(".row-strip .row-tap").length < 2) return;
    look.disconnect();
    setTimeout(() => {
      const frame = document.querySelectorAll(".row-strip .row-tap")[1].getBoundingClientRect();
      const hit = document.elementFromPoint(frame.x + frame.width / 2, frame.y + frame.height / 2);
      hit?.dispatchEvent(new MouseEvent("click", { bubbles: true, cancelable: true, detail: 1 }));
      window.tappedAgain = hit?.className ?? "";
    }, wait);
  });
  look.observe(document.body, { childList: true, subtree: true });
}
"""


def test_double_tap_on_a_block_marks_no_row(tablet: Page, service: Any, planted: dict[str, Any]) -> None:
    pick_crew(tablet, service, planted)
    # the cautions were read today: the rows stand open when the block opens
    tablet.goto(f"{service.address}/rows?block={planted['block']}")
    tablet.get_by_role("button", name="Read", exact=True).tap()
    tablet.evaluate("localStorage.removeItem('orchardmap.block')")  # or the crew's last block opens by itself
    tablet.goto(f"{service.address}/rows")
    block = tablet.get_by_role("button", name="K1 ")
    expect(block).to_be_visible()
    asked: list[str] = []
    tablet.on("request", lambda request: asked.append(request.url) if request.method == "POST" else None)
    # the second tap is timed inside the page: a slow machine must not make it a late one
    tablet.evaluate(SECOND_TAP, 350)  # ms after the rows are there: as late as a second tap comes
    block.tap()
    expect(tablet.locator(".row-strip").first).to_be_visible()
    tablet.wait_for_function("() => window.tappedAgain !== undefined")
    tablet.wait_for_timeout(900)
    assert asked == []
    assert marks_of(service, planted) == []
    row_button(tablet, 2).tap()  # and then rows do take taps
    expect(row_strip(tablet, 2)).to_contain_text("done")


def test_double_tap_on_read_opens_nothing_and_moves_nothing(
    tablet: Page, service: Any, planted: dict[str, Any]
) -> None:
    pick_crew(tablet, service, planted)
    tablet.goto(f"{service.address}/rows?block={planted['block']}")
    read = tablet.get_by_role("button", name="Read", exact=True)
    before = row_strip(tablet, 1).bounding_box()
    x, y = middle(read)
    tablet.touchscreen.tap(x, y)
    tablet.touchscreen.tap(x, y)
    tablet.wait_for_timeout(400)
    tablet.touchscreen.tap(x, y)
    assert row_strip(tablet, 1).bounding_box() == before
    tablet.wait_for_timeout(900)
    assert marks_of(service, planted) == []
    expect(tablet.locator(".bar-choice .stepper")).to_have_count(0)


def test_each_of_the_last_three_rows_keeps_its_undo_while_the_service_is_slow(
    tablet: Page, service: Any, planted: dict[str, Any]
) -> None:
    open_rows(tablet, service, planted)
    slow_down(tablet, 0.7)
    row_button(tablet, 1).tap()
    row_button(tablet, 2).tap()
    row_button(tablet, 3).tap()
    for number in (1, 2, 3):
        expect(row_strip(tablet, number)).to_contain_text("done")
    for number in (1, 2, 3):
        expect(tablet.get_by_role("button", name=f"Undo row {number}")).to_be_visible()
    tablet.get_by_role("button", name="Undo row 1").tap()
    expect(row_strip(tablet, 1)).to_contain_text(f"0 of {planted['rows'][1]}")
    all_sent(tablet)
    withdrawn = {mark["row"]: mark["withdrawn"] for mark in marks_of(service, planted)}
    assert withdrawn == {1: True, 2: False, 3: False}


def test_save_that_ends_while_the_next_row_is_chosen_leaves_the_choice_open(
    tablet: Page, service: Any, planted: dict[str, Any]
) -> None:
    open_rows(tablet, service, planted)
    slow_down(tablet, 1.0)
    row_button(tablet, 1).tap()
    tablet.get_by_role("button", name="Set how far the crew came in row 2", exact=True).focus()
    tablet.keyboard.press("Enter")
    expect(row_strip(tablet, 1)).to_contain_text("done")
    expect(tablet.get_by_label("Back to position")).to_be_visible()
    tablet.keyboard.press("Escape")
    expect(tablet.get_by_role("button", name="Undo row 1")).to_be_visible()


@pytest.mark.parametrize(("width", "height", "hand"), [(800, 1280, "right"), (1280, 800, "left")])
def test_double_tap_on_any_button_that_closes_something_does_nothing_to_what_it_uncovers(
    tablet: Page, service: Any, planted: dict[str, Any], width: int, height: int, hand: str
) -> None:
    tablet.set_viewport_size({"width": width, "height": height})
    planted["block"] = plant_rows(service, planted, 30)  # rows all the way down, under every panel
    pick_crew(tablet, service, planted)
    tablet.evaluate("(hand) => localStorage.setItem('orchardmap.hand', hand)", hand)
    open_rows(tablet, service, planted)

    def twice(name: str | re.Pattern[str]) -> None:
        button = tablet.get_by_role("button", name=name, exact=True)
        button.tap(trial=True)
        x, y = middle(button)
        tablet.touchscreen.tap(x, y)
        tablet.touchscreen.tap(x, y)

    def tool(name: str, *keys: str) -> None:
        tablet.locator(".bar-tools").get_by_role("button", name=name, exact=True).tap()
        for key in keys:
            tablet.get_by_role("button", name=key, exact=True).tap()

    end = tablet.get_by_role("button", name="Set how far the crew came in row 3", exact=True)
    end.press("Enter")
    twice("Leave it")
    end.press("Enter")
    twice("Mark pruned")
    expect(tablet.get_by_text("Marked: row 3,")).to_be_visible()
    tool("By number", "5")
    twice("Show the row")
    tool("By number", "6")
    twice("Mark 1 row")
    expect(tablet.get_by_text("Marked: row 6,")).to_be_visible()
    tool("Walk")
    twice("Walk like this")
    tool("Knock-off")
    twice("Enter the day")
    expect(tablet.get_by_text("Entered: 1 person")).to_be_visible()
    twice("Back")
    row_button(tablet, 6).tap()
    twice("Understood")
    all_sent(tablet)
    tablet.get_by_role("button", name="What waits").tap()
    tablet.get_by_role("button", name="Close", exact=True).tap(trial=True)
    tablet.evaluate(COUNT_COVERS)
    twice("Close")
    tablet.touchscreen.tap(*middle(tablet.locator(".tap-cover")))
    expect(tablet.locator(".tap-cover")).to_have_count(0)
    assert tablet.evaluate("window.covers") == 1, "a place that rests does not rest longer for being tapped"
    row_button(tablet, 7).tap()  # and then rows do take taps
    expect(tablet.get_by_text("Marked: row 7,")).to_be_visible()
    stored = tablet.evaluate(OUTBOX)
    assert Counter(one["kind"] for one in stored) == {"marks": 3, "crew_days": 1}
    assert sorted(one["record"]["row"] for one in stored if one["kind"] == "marks") == [3, 6, 7]
    expect(tablet.locator(".bar-choice")).to_be_empty()
