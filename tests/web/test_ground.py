"""The ground of a block in the browser: by finger and by keyboard, every edit is told before it is taken, and goes back again."""

import re
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, expect

pytestmark = pytest.mark.browser


def rows(service: Any, planted: dict[str, Any]) -> dict[int, dict[str, Any]]:
    return {row["number"]: row for row in service.get(f"/blocks/{planted['block']}/ground")["rows"]}


def test_rows_are_counted_numbered_and_taken_away_after_a_look_and_it_goes_back_again(
    tablet: Page, service: Any, planted: dict[str, Any], axe_findings: Callable[..., list[str]]
) -> None:
    before = rows(service, planted)
    last = max(before)
    tablet.goto(f"{service.address}/set-up")
    tablet.get_by_role("link", name=re.compile("^K1")).click()
    expect(tablet.get_by_role("heading", name="Ground of block K1")).to_be_visible()

    # a finger on the plan chooses a row; fingers and keys turn its places
    tablet.locator(".ground-touch").nth(1).dispatch_event("click")
    expect(tablet.get_by_role("heading", name="Row 2", exact=True)).to_be_visible()
    tablet.get_by_role("button", name="Position 3: tree").tap()
    tablet.get_by_role("button", name="Position 3: blank").focus()
    tablet.keyboard.press("ArrowRight")
    tablet.keyboard.press("Enter")
    tablet.keyboard.press("Enter")
    expect(tablet.get_by_role("button", name="Position 4: pollinizer")).to_be_focused()
    trees = before[2]["trees"]
    expect(tablet.locator(".ground-changes")).to_contain_text(
        f"K1, row 2: {trees} to {trees - 2} trees, 1 blank more, 1 pollinizer more."
    )

    # the list does what the plan does
    tablet.get_by_role("button", name=f"Row {last}: ").click()
    tablet.get_by_role("button", name="Take away").click()
    expect(tablet.locator(".ground-changes")).to_contain_text(f"K1, row {last}: taken away")
    assert axe_findings(tablet) == []
    assert rows(service, planted) == before, "nothing is taken by being looked at"
    tablet.get_by_role("button", name="Take these changes").click()
    expect(tablet.get_by_text("Taken. Tablets fetch the block anew.")).to_be_visible()
    taken = rows(service, planted)
    assert last not in taken
    assert (taken[2]["blanks"], taken[2]["pollinizers"]) == ([3], [4])

    tablet.get_by_text("Changes that were taken").click()
    tablet.get_by_role("button", name="Look what taking it back would do").first.click()
    expect(tablet.locator(".ground-history")).to_contain_text(f"K1, row {last}: new")
    tablet.get_by_role("button", name="Take it back", exact=True).click()
    expect(tablet.get_by_text("Taken back.")).to_be_visible()
    assert rows(service, planted) == before


def test_a_block_is_drawn_by_its_corners_and_opened(
    tablet: Page, service: Any, planted: dict[str, Any], axe_findings: Callable[..., list[str]]
) -> None:
    tablet.goto(f"{service.address}/set-up?block=new")
    tablet.get_by_role("button", name="Tap corners on the plan").click()
    plan = tablet.locator(".plan-picture")
    box = plan.bounding_box()
    assert box is not None
    for x, y in ((0.3, 0.3), (0.6, 0.3), (0.6, 0.7)):
        tablet.touchscreen.tap(box["x"] + x * box["width"], box["y"] + y * box["height"])
    expect(tablet.get_by_text("3 corners so far.")).to_be_visible()
    tablet.get_by_role("button", name="Finish the outline").click()
    tablet.get_by_label("Code").fill("DRAWN")
    tablet.get_by_label("Row spacing, m", exact=True).fill("4")
    tablet.get_by_label("Tree to tree in the row, m").fill("2")
    tablet.get_by_label("Bearing of rows, degrees").fill("90")
    tablet.get_by_role("button", name="Show its rows").click()
    expect(tablet.get_by_text(re.compile(r"Block DRAWN is new: \d+ rows?, "))).to_be_visible()
    assert axe_findings(tablet) == []
    tablet.get_by_role("button", name="Take these changes").click()
    expect(tablet.get_by_role("heading", name="Ground of block DRAWN")).to_be_visible()
    tablet.get_by_text("Take the block away").first.click()
    tablet.get_by_role("button", name="Take the block away").click()
    expect(tablet.get_by_text("Block DRAWN would not be there any more.")).to_be_visible()
    tablet.get_by_role("button", name="Take these changes").click()
    expect(tablet.get_by_role("link", name=re.compile("^K1"))).to_be_visible()
    expect(tablet.get_by_role("link", name="DRAWN")).to_have_count(0)
