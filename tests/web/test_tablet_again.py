"""A return on the tablet: shown with its day and the point that failed, marked in part and by one tap without a service, undone, and sent later."""

import json
import re
from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from browser_briefs import publish_brief
from browser_tablets import wait_for_pack
from browser_trouble import KILLED
from orchardmap.usecases.planting import new_id

pytestmark = pytest.mark.browser


def test_a_return_is_shown_marked_without_a_service_kept_over_a_reload_and_sent(
    own_service: Any,
    own_planted: dict[str, Any],
    tablet: Page,
    picture: Callable[[Page, str], None],
    expected_trouble: list[str],
) -> None:
    service, planted = own_service, own_planted
    brief = publish_brief(service, planted)
    content = service.get(f"/farms/{planted['farm']}/briefs/{brief}")["latest"]["content"]
    key = content["points"][0]["key"]
    service.pair(tablet, planted["farm"], planted["crews"][0])
    tablet.goto(f"{service.address}/rows?block={planted['block']}")
    tablet.get_by_role("button", name="Read", exact=True).tap()
    for row in (1, 2):
        tablet.get_by_role("button", name=re.compile(rf"^Row {row}\b")).tap()
        # one after the other: "All sent." stands there before the first tap as well
        expect(tablet.locator(".row-strip").nth(row - 1)).to_contain_text("done")
    expect(tablet.get_by_text("All sent.").first).to_be_visible()
    assert len(service.get(f"/blocks/{planted['block']}/marks")["marks"]) == 2

    due = date.fromisoformat(planted["today"]) + timedelta(days=5)
    said = {
        "id": new_id(),
        "block_id": planted["block"],
        "crew_id": planted["crews"][0],
        "due_on": due.isoformat(),
    }
    said |= {"points": [key], "note": "The tops first.", "stretches": [[1, 3, 8], [2, 5, 5]]}
    service.post(f"/farms/{planted['farm']}/returns", said)

    def again_of(row: int) -> Any:
        return tablet.locator(".row-strip").nth(row - 1).locator(".row-again")

    expect(again_of(1)).to_contain_text("6 trees again")
    expect(tablet.locator(".row-strip").nth(0)).not_to_contain_text("done")
    expect(tablet.locator(".strip-key")).to_contain_text("to go over again")
    listed = tablet.locator(".again-list")
    expect(listed).to_contain_text(f"7 trees by {due:%a}")
    expect(listed.get_by_role("listitem")).to_contain_text(content["points"][0]["sentences"]["en"])
    expect(listed.get_by_role("listitem").locator("img")).to_be_visible()
    picture(tablet, "rows-again")
    tablet.set_viewport_size({"width": 800, "height": 1280})
    picture(tablet, "rows-again-upright")
    tablet.goto(f"{service.address}/rows")
    tablet.get_by_role("button", name="Other block").tap()
    expect(tablet.get_by_role("button", name=re.compile("^K1"))).to_contain_text(
        f"again: 7 trees by {due:%a}"
    )
    picture(tablet, "blocks-again")
    tablet.get_by_role("button", name=re.compile("^K1")).tap()
    wait_for_pack(tablet, planted["block"])
    expect(again_of(1)).to_be_visible()

    expected_trouble += KILLED
    service.kill()
    # the crew stops in mid-row: as a part of a row is marked
    tablet.get_by_role("button", name="Set how far the crew came in row 1").tap()
    for _ in range(2):
        tablet.get_by_role("button", name="One position more").tap()
    expect(tablet.locator(".choosing")).to_have_text("Gone over again in row 1, positions 3 to 5: 3 trees")
    expect(tablet.get_by_role("button", name="Mark pruned")).to_be_hidden()
    tablet.get_by_role("button", name="Mark gone over again").tap()
    expect(again_of(1)).to_contain_text("3 trees again")
    again_of(1).tap()
    expect(again_of(1)).to_be_hidden()
    expect(tablet.locator(".action-bar")).to_contain_text(
        "Gone over again: row 1, positions 6 to 8: 3 trees."
    )
    tablet.get_by_role("button", name="Undo row 1").first.tap()
    expect(again_of(1)).to_contain_text("3 trees again")
    # with nothing else left of it, a tap on the row says so too
    tablet.get_by_role("button", name=re.compile(r"^Row 1\b")).first.tap()
    again_of(2).tap()
    expect(tablet.locator(".again-list")).to_have_count(0)
    tablet.reload()
    expect(tablet.locator(".row-strip").nth(0)).to_contain_text("done")
    for row in (1, 2):
        expect(again_of(row)).to_be_hidden()
    expect(tablet.get_by_text("Row 1, positions 3 to 5, gone over again")).to_be_attached()

    service.start()
    expect(tablet.locator(".queue-line")).to_contain_text("All sent.", timeout=60_000)
    (told,) = service.get(f"/farms/{planted['farm']}/returns")["returns"]
    assert (told["state"], told["open"]) == ("redone", []), json.dumps(told)
    marks = [one for one in service.get(f"/blocks/{planted['block']}/marks")["marks"] if one["return_id"]]
    assert sorted((one["row"], one["first"], one["last"], one["withdrawn"]) for one in marks) == [
        (1, 3, 5, False), (1, 6, 8, False), (1, 6, 8, True), (2, 5, 5, False),
    ]  # fmt: skip
