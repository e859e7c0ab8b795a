"""No false "saved": what the service did not acknowledge says so, stays, and goes again with the same id."""

import re
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Locator, Page, expect

pytestmark = pytest.mark.browser


def row_button(page: Page, number: int) -> Locator:
    return page.get_by_role("button", name=re.compile(rf"^Row {number}\b"))


def test_mark_without_connection_is_not_saved_until_the_service_answers(
    tablet: Page,
    own_service: Any,
    own_planted: dict[str, Any],
    expected_trouble: list[str],
    picture: Callable[[Page, str], None],
) -> None:
    expected_trouble.append("ERR_CONNECTION")
    tablet.goto(f"{own_service.address}/rows")
    tablet.evaluate("(id) => localStorage.setItem('orchardmap.crew', id)", own_planted["crews"][0])
    tablet.goto(f"{own_service.address}/rows?block={own_planted['block']}")
    tablet.get_by_role("button", name="Read", exact=True).tap()
    own_service.kill()
    row_button(tablet, 2).tap()
    expect(tablet.locator(".action-bar")).to_contain_text("Row 2 is NOT saved: no connection.")
    expect(tablet.get_by_role("alert")).to_contain_text("1 record not saved: no connection.")
    expect(tablet.get_by_text("No connection to the service. Nothing can be saved now.")).to_be_visible()
    expect(tablet.get_by_text("Saved: row 2")).to_have_count(0)
    picture(tablet, "not-saved")

    own_service.start()
    tablet.get_by_role("button", name="Try again").tap()
    expect(tablet.get_by_role("alert")).to_have_count(0)
    expect(tablet.locator(".row-strip").nth(1)).to_contain_text("done")
    marks = own_service.get(f"/blocks/{own_planted['block']}/marks")["marks"]
    assert [(mark["row"], mark["withdrawn"]) for mark in marks] == [(2, False)]


def test_answer_lost_on_the_way_back_does_not_make_two_marks(
    tablet: Page,
    own_service: Any,
    own_planted: dict[str, Any],
    expected_trouble: list[str],
) -> None:
    expected_trouble.append("ERR_FAILED")
    tablet.goto(f"{own_service.address}/rows")
    tablet.evaluate("(id) => localStorage.setItem('orchardmap.crew', id)", own_planted["crews"][0])
    tablet.goto(f"{own_service.address}/rows?block={own_planted['block']}")
    tablet.get_by_role("button", name="Read", exact=True).tap()

    def lose_answer(route: Any) -> None:
        route.fetch()  # the service takes the mark ...
        route.abort()  # ... and the tablet never hears of it

    tablet.route("**/api/farms/*/marks", lose_answer, times=1)
    row_button(tablet, 1).tap()
    expect(tablet.get_by_role("alert")).to_contain_text("1 record not saved")
    tablet.get_by_role("button", name="Try again").tap()
    expect(tablet.get_by_role("alert")).to_have_count(0)
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
    expect(tablet.get_by_text("No blocks yet: load a file in Set-up.")).to_be_visible()
