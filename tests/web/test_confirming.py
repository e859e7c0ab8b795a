"""The password is asked for again over the screen where something weighs most, and nothing chosen there is lost."""

from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any

import pytest
from playwright.sync_api import Page, expect

pytestmark = pytest.mark.browser

PASSWORD = "a ladder in the rain"
SMALL = """() => [...document.querySelectorAll("dialog[open] :is(button, input)")]
  .map((it) => it.getBoundingClientRect()).filter(({width, height}) => width < 55.5 || height < 55.5).length"""


def mark(service: Any, planted: dict[str, Any], number: int, first: int, last: int, *, crew: int) -> None:
    now = datetime.now(UTC).isoformat()
    place = {"season_id": planted["season"], "block_id": planted["block"], "day": planted["today"], "row": 1}
    work = {"first": first, "last": last, "crew_id": planted["crews"][crew], "method": "ladder"}
    sent = {"id": f"0198c000-0000-7000-8000-{number:012d}", "device_at": now} | place | work
    service.post(f"/farms/{planted['farm']}/marks", {"sent_at": now, "marks": [sent]})


def give(page: Page, password: str) -> None:
    page.get_by_role("dialog").get_by_label("Password").fill(password)
    page.keyboard.press("Enter")


def test_settling_and_taking_back_after_ten_minutes_ask_for_the_password_and_then_go_on(
    tablet: Page,
    service: Any,
    planted: dict[str, Any],
    expected_trouble: list[str],
    axe_findings: Callable[..., list[str]],
    picture: Callable[[Page, str], None],
) -> None:
    expected_trouble.extend(["status of 403", "status of 401"])
    mark(service, planted, 901, 1, 20, crew=0)
    mark(service, planted, 902, 10, 26, crew=1)
    said = {"login": f"olwen{planted['farm'][-6:]}", "name": "Olwen Vane", "role": "manager"}
    link = service.post(f"/farms/{planted['farm']}/accounts", said)["link"]
    service.as_nobody(tablet)
    tablet.goto(link)
    # who comes by a link has no password to give later: one is offered first
    tablet.get_by_label("New password", exact=True).fill(PASSWORD)
    tablet.get_by_label("New password once more").fill(PASSWORD)
    tablet.keyboard.press("Enter")
    expect(tablet.get_by_text("Your password is set.")).to_be_visible()
    service.forget_confirmation(tablet)

    tablet.goto(f"{service.address}/settling")
    one = tablet.locator(".matter").first
    one.get_by_label("Hollow, all of them").check()
    one.get_by_label("Note, optional").fill("asked both")
    one.get_by_role("button", name="Settle").tap()
    dialog = tablet.get_by_role("dialog", name="Your password once more")
    expect(dialog.get_by_label("Password")).to_be_focused()
    assert axe_findings(tablet) == []
    assert tablet.evaluate(SMALL) == 0
    picture(tablet, "confirm")
    tablet.keyboard.press("Escape")
    expect(one).to_contain_text("your password was given more than ten minutes ago. Give it once more.")
    expect(one.get_by_label("Note, optional")).to_have_value("asked both")
    expect(one.get_by_role("button", name="Settle")).to_be_focused()
    tablet.keyboard.press("Enter")
    give(tablet, "a ladder in the snow")
    expect(dialog).to_contain_text("that is not your password")
    expect(dialog.get_by_label("Password")).to_have_value("")
    give(tablet, PASSWORD)
    expect(one).to_contain_text("Settled: positions 10 to 20 credited to Hollow.")
    log = service.get(f"/blocks/{planted['block']}/log")
    assert len(log["settlements"]) == 1

    service.forget_confirmation(tablet)
    tablet.goto(f"{service.address}/rows?block={planted['block']}")
    tablet.get_by_text("All marks of this block").click()
    tablet.get_by_role("button", name="Take back: Row 1, positions 10 to 26").tap()
    give(tablet, PASSWORD)
    expect(tablet.locator(".queue-line")).to_contain_text("All sent.")
    marks = service.get(f"/blocks/{planted['block']}/marks")["marks"]
    assert {one["first"]: one["withdrawn"] for one in marks} == {1: False, 10: True}
