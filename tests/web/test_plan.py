"""The plan: proposed, changed with keyboard and mouse, taken back, saved; and what the tablet of a crew then shows first."""

import json
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from browser_tablets import OVERVIEW_HERE

pytestmark = pytest.mark.browser
PLANTING = {"bearing_deg": 0.0, "row_spacing_m": 5.0, "tree_spacing_m": 2.0, "first_row_offset_m": 2.0}


def more_blocks(service: Any, planted: dict[str, Any], *codes: str) -> None:
    """Rectangles as that of K1, each 100 m further east."""
    east, north, step = 19.9 / 111_320, 51.9 / 110_574, 100 / 111_320
    features = [
        {
            "type": "Feature",
            "properties": {"name": code},
            "geometry": {
                "type": "Polygon",
                "coordinates": [[[x, 0], [x + east, 0], [x + east, north], [x, north], [x, 0]]],
            },
        }
        for x, code in ((step * (i + 1), code) for i, code in enumerate(codes))
    ]
    file = json.dumps({"type": "FeatureCollection", "features": features}).encode()
    preview = service.upload(planted["farm"], "more.geojson", file)
    wishes = [
        {"index": i, "code": code, "variety_id": planted["variety"], "planting": PLANTING}
        for i, code in enumerate(codes)
    ]
    service.post(f"/imports/{preview['token']}/take", {"blocks": wishes})


def lanes(page: Page) -> dict[str, list[str]]:
    """Codes of the blocks of each crew, and under "" of nobody, from left to right."""
    found = page.locator("[data-lane]").evaluate_all(
        """(lanes) => lanes.map((lane) => [lane.closest("section, div").querySelector("ol")?.getAttribute("aria-label") ?? "",
          [...lane.querySelectorAll("[data-block] strong")].map((code) => code.textContent)])"""
    )
    return dict(found)


def test_blocks_are_proposed_moved_taken_back_saved_and_stand_first_on_the_crew_s_tablet(
    tablet: Page,
    service: Any,
    planted: dict[str, Any],
    axe_findings: Callable[..., list[str]],
    expected_trouble: list[str],
) -> None:
    more_blocks(service, planted, "K2", "K3", "K4")
    tablet.goto(f"{service.address}/plan")
    expect(tablet.locator(".plan-board")).to_be_visible()
    assert lanes(tablet) == {"Hollow": [], "Thorn": [], "": ["K1", "K2", "K3", "K4"]}
    assert axe_findings(tablet) == []

    tablet.get_by_role("button", name="Propose").click()
    expect(tablet.locator(".plan-changes li")).to_have_count(4)
    assert axe_findings(tablet) == []
    tablet.get_by_role("button", name="Take it").click()
    proposed = lanes(tablet)
    assert sorted([*proposed["Hollow"], *proposed["Thorn"]]) == ["K1", "K2", "K3", "K4"]
    assert proposed["Hollow"]
    assert proposed["Thorn"]
    assert service.get(f"/farms/{planted['farm']}/queues")["revision"] == 0, (
        "nothing is stored before it is saved"
    )

    code = proposed["Hollow"][0]
    block = tablet.locator(".plan-block", has_text=code)
    block.focus()
    tablet.keyboard.press("ArrowDown")
    expect(block).to_be_focused()
    assert lanes(tablet)["Thorn"][0] == code
    tablet.keyboard.press("ArrowRight")
    assert lanes(tablet)["Thorn"][1] == code
    for _ in range(2):
        tablet.get_by_role("button", name="Undo").click()
    assert lanes(tablet) == proposed

    # at once: the board is drawn anew as the forecast of the changed plan comes
    tablet.evaluate("document.querySelector('.plan-scroll').scrollIntoView()")
    block.drag_to(tablet.locator(".plan-chips"))
    assert lanes(tablet)[""] == [code]
    block.click()
    assert axe_findings(tablet) == []
    tablet.locator(".plan-panel").get_by_label(f"Give {code} to").select_option("Thorn")
    assert lanes(tablet)["Thorn"][-1] == code
    tablet.get_by_role("button", name="Save the plan").click()
    expect(tablet.get_by_text("Saved.")).to_be_visible()
    saved = lanes(tablet)

    panel = tablet.locator(".plan-panel")
    panel.get_by_text("Closed for a time").click()
    expect(panel).to_contain_text("It is open, and nothing is planned.")
    panel.get_by_role("button", name="Close the block").click()
    expect(panel.get_by_label("Until", exact=True)).to_be_focused()
    panel.get_by_label("Until", exact=True).fill(f"{int(planted['today'][:4]) + 1}-12-31T18:00")
    panel.get_by_label("Why", exact=True).fill("sprayed")
    assert axe_findings(tablet) == []
    panel.get_by_role("button", name="Close the block").click()
    expect(tablet.get_by_text(f"{code} is closed until")).to_be_visible()
    expect(panel.locator(".plan-facts")).to_contain_text("closed")
    panel.get_by_text("Closed for a time").click()
    panel.get_by_role("button", name="Open it now").click()
    expect(tablet.get_by_text(f"{code}: the closure has ended.")).to_be_visible()
    expect(panel.locator(".plan-facts")).not_to_contain_text("closed")

    tablet.locator(".radio", has_text="list").click()
    expect(tablet.locator(".board-line")).to_have_count(4)
    assert axe_findings(tablet) == []

    service.pair(tablet, planted["farm"], planted["crews"][1])
    tablet.goto(f"{service.address}/rows")
    own = tablet.locator("h2:has-text('Your blocks, in order') ~ ul").first.locator(".block-code")
    expect(own).to_have_text(saved["Thorn"])
    assert axe_findings(tablet) == []

    # and in the rows, where there is no signal
    tablet.wait_for_function(OVERVIEW_HERE)
    expected_trouble.append("ERR_INTERNET_DISCONNECTED")
    tablet.context.set_offline(True)
    tablet.reload()
    expect(own).to_have_text(saved["Thorn"])
