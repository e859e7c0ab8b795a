"""The days of a run stay, whichever part of the screen of pay is looked at meanwhile."""

from datetime import date, timedelta
from typing import Any

import pytest
from playwright.sync_api import Page, expect

pytestmark = pytest.mark.browser


def test_the_week_of_a_run_is_still_there_after_the_hours(
    tablet: Page, service: Any, planted: dict[str, Any]
) -> None:
    tablet.goto(f"{service.address}/pay")
    parts = tablet.get_by_role("navigation", name="Parts of pay")
    first, last = tablet.get_by_label("First day"), tablet.get_by_label("Last day")
    offered = date.fromisoformat(first.input_value())
    tablet.get_by_role("button", name="A week earlier").tap()
    tablet.get_by_role("button", name="A week earlier").tap()
    begins = (offered - timedelta(14)).isoformat()
    ends = (offered - timedelta(8)).isoformat()
    expect(first).to_have_value(begins)

    for back in ("link", "button"):
        parts.get_by_role("link", name="Hours").tap()
        expect(tablet.locator(".pay-week-head b")).to_be_visible()
        if back == "link":
            parts.get_by_role("link", name="Pay run").tap()
        else:
            tablet.go_back()
        expect(first).to_have_value(begins)
        expect(last).to_have_value(ends)
    tablet.reload()
    expect(first).to_have_value(begins)
    expect(last).to_have_value(ends)

    longer = (offered - timedelta(20)).isoformat()
    first.fill(longer)
    tablet.get_by_role("button", name="Show", exact=True).tap()
    parts.get_by_role("link", name="Rules of pay").tap()
    parts.get_by_role("link", name="Pay run").tap()
    expect(first).to_have_value(longer)
    expect(last).to_have_value(ends)
