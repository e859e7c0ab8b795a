"""The manager loads a table of weather: what is wrong with it is told by line, and a hard frost to come is on the overview."""

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import pytest
from playwright.sync_api import FilePayload, Page, expect

pytestmark = pytest.mark.browser


def table(*lines: str) -> FilePayload:
    text = "\n".join(["date,tmin_c,tmax_c,rain_mm", *lines, ""])
    return FilePayload(name="weather.csv", mimeType="text/csv", buffer=text.encode())


def test_a_loaded_frost_is_told_on_timing_and_on_the_overview(
    tablet: Page,
    service: Any,
    planted: dict[str, Any],
    axe_findings: Callable[..., list[str]],
    expected_trouble: list[str],
) -> None:
    expected_trouble.append("status of 422")
    today = date.fromisoformat(planted["today"])
    frost = today + timedelta(days=2)
    tablet.goto(f"{service.address}/timing")
    expect(tablet.get_by_text("No weather is loaded yet").first).to_be_visible()
    file = tablet.locator(".timing-weather input[type=file]")
    file.set_input_files(table(f"{today},-3,4,0", f"{frost},cold,4,0"))
    refused = tablet.locator(".timing-weather .notice")
    expect(refused).to_contain_text(
        "Nothing of this file was taken. table, line 3, tmin_c: 'cold' is no number."
    )
    file.set_input_files(table(f"{today},-3,4,0", f"{frost},-20,-8,0"))
    expect(refused).to_have_text("2 days were taken.")
    notices = tablet.locator(".timing-notices")
    expect(notices).to_contain_text("Hard frost in the forecast")
    expect(notices).to_contain_text("Penn State")
    expect(tablet.locator(".timing-weather")).to_contain_text("Missing: ")
    expect(tablet.locator(".minima-frost").first).to_be_visible()
    assert axe_findings(tablet) == []
    tablet.goto(service.address)
    needs = tablet.locator(".needs-you")
    expect(needs).to_contain_text("Hard frost in the forecast")
    needs.get_by_role("button", name="See Timing").click()
    expect(tablet.get_by_role("heading", name="Timing", exact=True)).to_be_visible()
