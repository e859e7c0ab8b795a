"""No false "safe": a mark is on the device's disk before it shows, what the disk refuses says so, and nothing is made twice."""

import re
from typing import Any

import pytest
from playwright.sync_api import Locator, Page, expect

pytestmark = pytest.mark.browser

NO_DISK = "indexedDB.open = () => { throw new DOMException('refused', 'InvalidStateError'); };"
"""A browser that refuses to keep anything, as private windows do."""


def row_button(page: Page, number: int) -> Locator:
    return page.get_by_role("button", name=re.compile(rf"^Row {number}\b"))


def row_strip(page: Page, number: int) -> Locator:
    return page.locator(".row-strip").nth(number - 1)


def open_rows(page: Page, service: Any, planted: dict[str, Any]) -> None:
    page.goto(f"{service.address}/rows")
    page.evaluate("(id) => localStorage.setItem('orchardmap.crew', id)", planted["crews"][0])
    page.goto(f"{service.address}/rows?block={planted['block']}")
    page.get_by_role("button", name="Read", exact=True).tap()
    row_button(page, 1).tap(trial=True)  # waits until rows take taps


def all_sent(page: Page) -> None:
    expect(page.get_by_text(re.compile(r"^All sent\."))).to_be_visible(timeout=30_000)


def marks_of(service: Any, planted: dict[str, Any]) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = service.get(f"/blocks/{planted['block']}/marks")["marks"]
    return found


def test_mark_without_the_service_shows_waits_and_goes_by_itself(
    tablet: Page, own_service: Any, own_planted: dict[str, Any], expected_trouble: list[str]
) -> None:
    expected_trouble += ["ERR_CONNECTION", "ERR_FAILED"]
    open_rows(tablet, own_service, own_planted)
    name = tablet.locator(".farm-name").inner_text()
    before = row_strip(tablet, 3).bounding_box()
    own_service.kill()
    for number in (1, 2, 3):
        row_button(tablet, number).tap()
        expect(row_strip(tablet, number)).to_contain_text("done")
        expect(row_strip(tablet, number)).to_contain_text("on this tablet")
    after = row_strip(tablet, 3).bounding_box()
    assert before is not None
    assert after is not None
    assert abs(after["y"] - before["y"]) < 1  # what is said of the connection moves no row under a finger
    expect(tablet.get_by_text("3 records wait on this tablet, safe.")).to_be_visible()
    tablet.get_by_role("button", name="Undo row 3").tap()
    expect(tablet.get_by_text("4 records wait on this tablet, safe.")).to_be_visible()
    expect(row_strip(tablet, 3)).to_contain_text("0 of")
    expect(tablet.locator(".farm-name")).to_have_text(name)

    own_service.start()
    all_sent(tablet)  # nobody taps anything
    expect(row_strip(tablet, 2)).not_to_contain_text("on this tablet")
    marks = marks_of(own_service, own_planted)
    assert sorted((mark["row"], mark["withdrawn"]) for mark in marks) == [(1, False), (2, False), (3, True)]


def test_answer_lost_on_the_way_back_does_not_make_two_marks(
    tablet: Page, own_service: Any, own_planted: dict[str, Any], expected_trouble: list[str]
) -> None:
    expected_trouble.append("ERR_FAILED")
    open_rows(tablet, own_service, own_planted)

    def lose_answer(route: Any) -> None:
        route.fetch()  # the service takes the mark ...
        route.abort()  # ... and the tablet never hears of it

    tablet.route("**/api/farms/*/marks", lose_answer, times=1)
    row_button(tablet, 1).tap()
    expect(row_strip(tablet, 1)).to_contain_text("done")
    all_sent(tablet)
    assert len(marks_of(own_service, own_planted)) == 1
    figures = own_service.get(f"/farms/{own_planted['farm']}/overview?day={own_planted['today']}")["figures"]
    assert (figures["pruned"], figures["overlap_trees"]) == (own_planted["rows"][1], 0)


def test_page_without_service_says_so_and_comes_back(
    tablet: Page, own_service: Any, expected_trouble: list[str]
) -> None:
    expected_trouble.append("ERR_CONNECTION")
    tablet.goto(own_service.address)
    expect(tablet.get_by_label("Name of the farm")).to_be_visible()
    own_service.kill()
    tablet.get_by_label("Name of the farm").fill("Quernstone")
    tablet.get_by_role("button", name="Make the farm").click()
    expect(tablet.get_by_text("The service did not answer.")).to_be_visible()
    own_service.start()
    tablet.get_by_role("button", name="Make the farm").click()
    expect(tablet.get_by_role("heading", name="Set-up")).to_be_visible()


def test_what_the_disk_refuses_is_not_called_safe_and_a_second_tap_makes_no_second_record(
    tablet: Page, own_service: Any, own_planted: dict[str, Any], expected_trouble: list[str]
) -> None:
    expected_trouble += ["ERR_CONNECTION", "ERR_FAILED"]
    tablet.add_init_script(NO_DISK)
    open_rows(tablet, own_service, own_planted)
    own_service.kill()
    row_button(tablet, 2).tap()
    expect(row_strip(tablet, 2)).to_contain_text("NOT safe")
    expect(tablet.locator(".action-bar")).to_contain_text("Row 2 is NOT safe")
    expect(tablet.get_by_text("1 record is NOT SAFE")).to_be_visible()
    expect(tablet.get_by_text("Marked: row 2")).to_have_count(0)
    row_button(tablet, 2).tap()
    expect(row_strip(tablet, 2)).to_contain_text("NOT safe")
    expect(tablet.locator(".action-bar").get_by_role("button", name="Try again")).to_be_visible()

    own_service.start()
    row_button(tablet, 2).tap()
    expect(row_strip(tablet, 2)).to_contain_text("done")
    expect(row_strip(tablet, 2)).not_to_contain_text("NOT safe")
    expect(tablet.get_by_text("NOT SAFE")).to_have_count(0)
    assert [mark["row"] for mark in marks_of(own_service, own_planted)] == [2]
