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


def set_the_frost_and_back(tablet: Page) -> None:
    """A limit of the farm's own decides; as published, the notice is there again."""
    tablet.get_by_text("Frost and rain", exact=True).click()
    form = tablet.locator(".timing-form").filter(has_text="Frost and rain")
    limit = form.get_by_label("A minimum that harms fresh cuts")
    limit.fill("-41")
    form.get_by_role("button", name="Save").click()
    expect(form).to_contain_text("Give a number from -40 to 0 °C.")
    limit.fill("-22.5")
    form.get_by_role("button", name="Save").click()
    expect(tablet.locator(".timing-notices")).to_contain_text("No notice")
    form.get_by_role("button", name="As published").click()
    form.get_by_role("button", name="Save").click()
    expect(tablet.locator(".timing-notices")).to_contain_text("Hard frost in the forecast")
    expect(limit).to_have_value("-17.78")


def draw_a_power_line(tablet: Page) -> None:
    """Poles as typed, beside the block on the equator; and it is taken away again."""
    part = tablet.locator(".timing-form").filter(has_text="Rows within reach of a line")
    part.locator("> summary").click()
    part.get_by_label("Name of the line").fill("Mill line")
    part.get_by_label("Voltage to ground, kV").fill("33")
    part.get_by_label("Its poles").fill("0, 0\n0.0003")
    part.get_by_role("button", name="Add the line").click()
    expect(part).to_contain_text("What stands in line 2 is no longitude and latitude.")
    part.get_by_label("Its poles").fill("0, 0\n0.0003, 0.0004")
    part.get_by_role("button", name="Add the line").click()
    expect(part).to_contain_text("Mill line: 33 kV to ground, keep 3.05 m away")
    part.get_by_role("button", name="Remove Mill line").click()
    part.get_by_role("button", name="Remove it").click()
    expect(part).to_contain_text("No power line yet.")


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
    set_the_frost_and_back(tablet)
    draw_a_power_line(tablet)
    assert axe_findings(tablet) == []
    tablet.goto(service.address)
    needs = tablet.locator(".needs-you")
    expect(needs).to_contain_text("Hard frost in the forecast")
    needs.get_by_role("button", name="See Timing").click()
    expect(tablet.get_by_role("heading", name="Timing", exact=True)).to_be_visible()
