"""No false "saved": what the service did not acknowledge says so, stays, and goes again with the same id."""

import re
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Locator, Page, expect

pytestmark = pytest.mark.browser


def row_button(page: Page, number: int) -> Locator:
    return page.get_by_role("button", name=re.compile(rf"^Row {number}\b"))


def row_strip(page: Page, number: int) -> Locator:
    return page.locator(".row-strip").nth(number - 1)


def stay_away(page: Page) -> None:
    """Keep the page from finding out by itself that the service is back: somebody taps."""
    page.route("**/readyz", lambda route: route.abort())


def open_rows(page: Page, service: Any, planted: dict[str, Any]) -> None:
    page.goto(f"{service.address}/rows")
    page.evaluate("(id) => localStorage.setItem('orchardmap.crew', id)", planted["crews"][0])
    page.goto(f"{service.address}/rows?block={planted['block']}")
    page.get_by_role("button", name="Read", exact=True).tap()


def marks_of(service: Any, planted: dict[str, Any]) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = service.get(f"/blocks/{planted['block']}/marks")["marks"]
    return found


def test_mark_without_connection_is_not_saved_until_the_service_answers(
    tablet: Page,
    own_service: Any,
    own_planted: dict[str, Any],
    expected_trouble: list[str],
    picture: Callable[[Page, str], None],
) -> None:
    expected_trouble += ["ERR_CONNECTION", "ERR_FAILED"]
    open_rows(tablet, own_service, own_planted)
    stay_away(tablet)
    own_service.kill()
    row_button(tablet, 2).tap()
    expect(tablet.locator(".action-bar")).to_contain_text("Row 2 is NOT saved: no connection.")
    expect(tablet.get_by_role("alert")).to_contain_text("1 record not saved: no connection.")
    expect(tablet.get_by_text("No connection to the service. Nothing can be saved now.")).to_be_visible()
    expect(tablet.get_by_text("Saved: row 2")).to_have_count(0)
    picture(tablet, "not-saved")

    own_service.start()
    tablet.get_by_role("alert").get_by_role("button", name="Try again").tap()
    expect(tablet.get_by_text("1 record saved.")).to_be_visible()
    expect(tablet.get_by_role("alert")).to_have_count(0)
    expect(tablet.locator(".row-strip").nth(1)).to_contain_text("done")
    expect(tablet.locator(".action-bar")).not_to_contain_text("NOT saved")
    marks = own_service.get(f"/blocks/{own_planted['block']}/marks")["marks"]
    assert [(mark["row"], mark["withdrawn"]) for mark in marks] == [(2, False)]


def test_answer_lost_on_the_way_back_does_not_make_two_marks(
    tablet: Page,
    own_service: Any,
    own_planted: dict[str, Any],
    expected_trouble: list[str],
) -> None:
    expected_trouble.append("ERR_FAILED")
    open_rows(tablet, own_service, own_planted)

    def lose_answer(route: Any) -> None:
        route.fetch()  # the service takes the mark ...
        route.abort()  # ... and the tablet never hears of it

    stay_away(tablet)
    tablet.route("**/api/farms/*/marks", lose_answer, times=1)
    row_button(tablet, 1).tap()
    expect(tablet.get_by_role("alert")).to_contain_text("1 record not saved")
    tablet.get_by_role("alert").get_by_role("button", name="Try again").tap()
    expect(tablet.get_by_role("alert")).to_have_count(0)
    expect(row_strip(tablet, 1)).to_contain_text("done")
    assert len(own_service.get(f"/blocks/{own_planted['block']}/marks")["marks"]) == 1
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


def test_row_not_saved_says_so_and_a_second_tap_sends_the_same_record(
    tablet: Page, own_service: Any, own_planted: dict[str, Any], expected_trouble: list[str]
) -> None:
    expected_trouble += ["ERR_CONNECTION", "ERR_FAILED"]
    open_rows(tablet, own_service, own_planted)
    stay_away(tablet)
    own_service.kill()
    row_button(tablet, 2).tap()
    expect(row_strip(tablet, 2)).to_contain_text("not saved")
    expect(row_strip(tablet, 2)).not_to_contain_text("0 of")
    row_button(tablet, 2).tap()
    expect(row_strip(tablet, 2)).to_contain_text("not saved")
    # one record still: the second tap made none, it sent the first again
    expect(tablet.get_by_role("alert")).to_contain_text("1 record not saved")
    expect(tablet.locator(".action-bar").get_by_role("button", name="Try again")).to_be_visible()

    own_service.start()
    row_button(tablet, 2).tap()
    expect(row_strip(tablet, 2)).to_contain_text("done")
    expect(tablet.get_by_role("alert")).to_have_count(0)
    assert [mark["row"] for mark in marks_of(own_service, own_planted)] == [2]


def test_banner_stays_in_sight_and_moves_nothing(
    tablet: Page, own_service: Any, own_planted: dict[str, Any], expected_trouble: list[str]
) -> None:
    expected_trouble += ["ERR_CONNECTION", "ERR_FAILED"]
    open_rows(tablet, own_service, own_planted)
    stay_away(tablet)
    own_service.kill()
    row_button(tablet, 2).tap(trial=True)
    before = row_strip(tablet, 2).bounding_box()
    row_button(tablet, 2).tap()
    banner = tablet.get_by_role("alert")
    expect(banner).to_be_in_viewport()
    after = row_strip(tablet, 2).bounding_box()
    assert before is not None
    assert after is not None
    assert abs(after["y"] - before["y"]) < 1
    tablet.mouse.wheel(0, 2000)
    expect(banner).to_be_in_viewport()


def test_after_an_outage_the_page_goes_on_by_itself(
    tablet: Page, own_service: Any, own_planted: dict[str, Any], expected_trouble: list[str]
) -> None:
    expected_trouble += ["ERR_CONNECTION", "ERR_FAILED"]
    open_rows(tablet, own_service, own_planted)
    name = tablet.locator(".farm-name").inner_text()
    own_service.kill()
    for number in (1, 2, 3):
        row_button(tablet, number).tap()
        expect(row_strip(tablet, number)).to_contain_text("not saved")
    tablet.get_by_role("link", name="Overview").tap()
    expect(tablet.get_by_text("The service did not answer.")).to_be_visible()
    # farm and screens stay
    expect(tablet.locator(".farm-name")).to_have_text(name)
    expect(tablet.get_by_role("link", name="Rows")).to_be_visible()

    own_service.start()
    # nobody taps anything
    expect(tablet.get_by_text("3 records saved.")).to_be_visible()
    expect(tablet.locator(".figures")).to_be_visible()
    assert sorted(mark["row"] for mark in marks_of(own_service, own_planted)) == [1, 2, 3]


def test_open_screen_draws_what_was_saved_after_an_outage(
    tablet: Page, own_service: Any, own_planted: dict[str, Any], expected_trouble: list[str]
) -> None:
    expected_trouble += ["ERR_CONNECTION", "ERR_FAILED"]
    open_rows(tablet, own_service, own_planted)
    own_service.kill()
    row_button(tablet, 3).tap()
    expect(row_strip(tablet, 3)).to_contain_text("not saved")
    own_service.start()
    expect(row_strip(tablet, 3)).to_contain_text("done")
    expect(tablet.get_by_text("Connected.")).to_be_visible()
