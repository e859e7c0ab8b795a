"""The plan's board shows the whole season at once, however short a block is; each bar can be touched, moved and dragged there."""

import json
import re
from collections.abc import Callable
from itertools import pairwise
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from browser_marks import say_pace_and_people

pytestmark = pytest.mark.browser
PLANTING = {"bearing_deg": 0.0, "row_spacing_m": 5.0, "tree_spacing_m": 2.0, "first_row_offset_m": 2.0}
WIDE_M = {
    "B1": 400,
    "B2": 9,
    "B3": 500,
    "B4": 60,
    "B5": 300,
    "B6": 20,
    "B7": 700,
    "B8": 350,
    "B9": 40,
    "B10": 600,
    "B11": 250,
}
"""From west to east: B2 is done in an hour or two, B7 in weeks."""
BOXES = """() => [...document.querySelectorAll(".plan-lane")].map((lane) => [...lane.querySelectorAll(".plan-block")].map((one) => {
  const { left, right, top, bottom } = one.getBoundingClientRect();
  return [left, right, top, bottom, one.querySelector("strong").textContent];
}))"""


def plant(service: Any, planted: dict[str, Any]) -> None:
    """The blocks side by side on the equator, 100 m long, 12 m of grass between them."""
    features, west = [], 100.0
    for code, wide in WIDE_M.items():
        a, b, top = west / 111_320, (west + wide) / 111_320, 100 / 110_574
        ring = [[a, 0], [b, 0], [b, top], [a, top], [a, 0]]
        features.append({
            "type": "Feature",
            "properties": {"name": code},
            "geometry": {"type": "Polygon", "coordinates": [ring]},
        })
        west += wide + 12
    file = json.dumps({"type": "FeatureCollection", "features": features}).encode()
    preview = service.upload(planted["farm"], "season.geojson", file)
    wishes = [
        {"index": i, "code": code, "variety_id": planted["variety"], "planting": PLANTING}
        for i, code in enumerate(WIDE_M)
    ]
    service.post(f"/imports/{preview['token']}/take", {"blocks": wishes})
    say_pace_and_people(service, planted)


@pytest.mark.parametrize(("wide", "high"), [(1280, 800), (1440, 900)])
def test_all_blocks_and_the_must_finish_line_are_in_view_and_can_be_touched(
    tablet: Page,
    service: Any,
    planted: dict[str, Any],
    axe_findings: Callable[..., list[str]],
    picture: Callable[[Page, str], None],
    wide: int,
    high: int,
) -> None:
    plant(service, planted)
    tablet.set_viewport_size({"width": wide, "height": high})
    tablet.goto(f"{service.address}/plan")
    tablet.get_by_role("button", name="Propose").click()
    tablet.get_by_role("button", name="Take it").click()
    expect(tablet.get_by_text("With this plan:")).to_be_visible()
    expect(tablet.get_by_role("radio", name="whole season")).to_be_checked()
    picture(tablet, f"plan-season-{wide}")

    # the board is drawn anew as the forecast with this plan comes
    tablet.wait_for_function(f"(count) => ({BOXES})().flat().length >= count", arg=len(WIDE_M) + 1)
    lanes = tablet.evaluate(BOXES)
    bars = [bar for lane in lanes for bar in lane]
    assert {bar[4] for bar in bars} == {*WIDE_M, "K1"}
    for left, right, top, bottom, code in bars:
        assert right - left >= 43.9, code
        assert bottom - top >= 44, code
        assert 0 <= left < right <= wide, code
    for lane in lanes:
        for n, one in enumerate(lane):
            assert not any(
                one[0] < other[1] - 0.5
                and other[0] < one[1] - 0.5
                and one[2] < other[3]
                and other[2] < one[3]
                for other in lane[:n]
            ), one[4]
        assert all(sum(one[:2]) <= sum(other[:2]) + 0.5 for one, other in pairwise(lane))
    scroll = tablet.locator(".plan-scroll")
    assert scroll.evaluate("(box) => box.scrollWidth - box.clientWidth") == 0
    for line in tablet.locator(".plan-must").all():
        box = line.bounding_box()
        assert box is not None
        assert wide / 2 < box["x"] < wide
    assert axe_findings(tablet) == []

    short = tablet.locator(".plan-lane .plan-block", has=tablet.get_by_text("B2", exact=True))
    expect(short.locator("xpath=..").locator(".plan-time")).to_have_count(1)
    short.tap()
    expect(tablet.locator(".plan-panel h2")).to_have_text("B2")
    expect(tablet.locator(".plan-words")).to_have_text(re.compile("beside B[13]"))
    picture(tablet, f"plan-season-picked-{wide}")
    short.tap()
    at = next(n for n, lane in enumerate(lanes) if "B2" in [bar[4] for bar in lane])
    short.focus()
    tablet.keyboard.press("ArrowUp" if at else "ArrowDown")
    expect(short).to_be_focused()
    expect(tablet.locator(".plan-lane").nth(1 - at).locator("strong", has_text="B2")).to_have_count(1)

    tablet.locator(".radio", has_text="day by day").click()
    expect(tablet.locator(".plan-wider")).to_be_visible()
    assert scroll.evaluate("(box) => box.scrollWidth - box.clientWidth") > 0
    picture(tablet, f"plan-days-{wide}")
    assert axe_findings(tablet) == []


def test_link_to_a_block_of_the_plan_has_it_picked(
    tablet: Page, service: Any, planted: dict[str, Any]
) -> None:
    """The Overview leads to a block's closure; what nobody knows picks nothing."""
    tablet.goto(f"{service.address}/plan?block={planted['block']}")
    expect(tablet.locator(".plan-picked")).to_contain_text("K1")
    tablet.goto(f"{service.address}/plan?block=nonsense")
    expect(tablet.get_by_role("heading", name="Plan", exact=True)).to_be_visible()
    expect(tablet.locator(".plan-picked")).to_be_empty()
