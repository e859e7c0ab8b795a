"""Quality on the desk, from the plan to the return: the page reckons nothing by itself, and every part of it can be read by all."""

from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from browser_briefs import publish_brief
from orchardmap.usecases.planting import new_id

pytestmark = pytest.mark.browser

EMPTY = {
    "Lots": "Nothing is pruned yet",
    "New lot": "No block has pruned trees without a lot.",
    "Weak areas": "No block has enough checks",
    "Crews": "No tree of any crew is checked yet.",
    "Auditors": "No tree has two looks yet.",
    "Returns": "No return is made yet.",
}


def prune_all(service: Any, planted: dict[str, Any]) -> int:
    """Let the crews prune the whole block, the second one the last row; return the last row."""
    now = datetime.now(UTC).isoformat()
    of = {
        "season_id": planted["season"],
        "block_id": planted["block"],
        "day": planted["today"],
        "method": "ladder",
    }
    last_row: int = max(planted["rows"])
    marks = [
        {"id": new_id(), "row": row, "first": 1, "last": last, "crew_id": planted["crews"][row == last_row]}
        | of
        | {"device_at": now}
        for row, last in planted["rows"].items()
    ]
    service.post(f"/farms/{planted['farm']}/marks", {"sent_at": now, "marks": marks})
    return last_row


def check_trees(
    service: Any, planted: dict[str, Any], lot: dict[str, Any], *, faulty: int, other_row: int
) -> None:
    """Check the lot's trees, so many of them faulty, and a tree of the other crew without a lot.

    A second auditor looks at three of the lot's trees and finds no fault.
    """
    now = datetime.now(UTC).isoformat()
    other = service.post(f"/farms/{planted['farm']}/people", {"name": "Bram Quern", "role": "auditor"})["id"]
    of = {
        "season_id": planted["season"],
        "block_id": planted["block"],
        "day": planted["today"],
        "lot_id": lot["id"],
    }

    def check(tree: dict[str, Any], auditor: str, verdict: str, **more: Any) -> dict[str, Any]:
        place = {"row": tree["row"], "position": tree["position"], "auditor_id": auditor, "verdict": verdict}
        return {"id": new_id(), "drawn": not tree["is_extra"], "device_at": now} | of | place | more

    trees = lot["trees"]
    first = [
        check(tree, planted["auditor"], "faulty" if at < faulty else "meets") for at, tree in enumerate(trees)
    ]
    second = [check(tree, other, "meets", second=True) for tree in trees[:3]]
    apart = check({"row": other_row, "position": 2, "is_extra": False}, planted["auditor"], "meets") | {
        "lot_id": None
    }
    sent = {"sent_at": now, "schema": 5, "checks": [*first, *second, apart]}
    outcomes = service.post(f"/farms/{planted['farm']}/checks", sent)["outcomes"]
    assert {one["outcome"] for one in outcomes} == {"taken"}


def check_apart(service: Any, planted: dict[str, Any], *, row: int, position: int) -> None:
    """Check a tree without a lot."""
    now = datetime.now(UTC).isoformat()
    of = {"season_id": planted["season"], "block_id": planted["block"], "day": planted["today"]}
    check = {"id": new_id(), "row": row, "position": position, "verdict": "meets", "drawn": True}
    sent = of | check | {"auditor_id": planted["auditor"], "device_at": now}
    service.post(f"/farms/{planted['farm']}/checks", {"sent_at": now, "schema": 5, "checks": [sent]})


def go_over_again(service: Any, planted: dict[str, Any]) -> None:
    """Let the crew go over all that its return asks for."""
    now = datetime.now(UTC).isoformat()
    (made,) = service.get(f"/farms/{planted['farm']}/returns")["returns"]
    of = {"season_id": planted["season"], "block_id": planted["block"], "crew_id": made["crew_id"]}
    marks = [
        {
            "id": new_id(),
            "row": row,
            "first": first,
            "last": last,
            "return_id": made["id"],
            "method": "ladder",
        }
        | of
        | {"day": planted["today"], "device_at": now}
        for row, first, last in made["open"]
    ]
    service.post(f"/farms/{planted['farm']}/marks", {"sent_at": now, "marks": marks})


def test_a_lot_goes_from_its_plan_to_its_return_and_on_to_the_recheck(
    tablet: Page, service: Any, planted: dict[str, Any], axe_findings: Callable[..., list[str]]
) -> None:
    def part(name: str) -> None:
        tablet.get_by_role("navigation", name="Parts of quality").get_by_role("link", name=name).click()

    # a farm where nothing is pruned yet: each part says what it waits for
    tablet.goto(f"{service.address}/quality")
    for name, says in EMPTY.items():
        part(name)
        expect(tablet.get_by_text(says)).to_be_visible()
        assert axe_findings(tablet) == []

    other_row = prune_all(service, planted)
    publish_brief(service, planted)

    # the farm's plan is set here, and what wants a lot leads to it
    tablet.goto(f"{service.address}/quality")
    tablet.get_by_text("The farm's plan").click()
    tablet.get_by_label("Level of the tables").select_option("III")
    tablet.get_by_role("button", name="Save").click()
    expect(tablet.get_by_text("Saved.")).to_be_visible()
    tablet.get_by_role("link", name="Plan a lot: K1, Hollow").click()
    expect(tablet.get_by_label("Whose trees").locator("option:checked")).to_contain_text("Hollow")
    at = f"/farms/{planted['farm']}/lots/plan"
    wish = {"block_id": planted["block"], "crew_id": planted["crews"][0]}
    by_farm = service.post(at, wish)
    assert by_farm["plan"]["level"] == "III"
    figures = tablet.locator(".plan-figures")
    expect(figures).to_contain_text(f"Check {by_farm['n']} trees")
    # another plan is told at once
    tablet.get_by_text("By published tables").click()
    tablet.get_by_label("Level", exact=True).select_option("II")
    planned = service.post(at, wish | {"plan": {"kind": "attributes", "level": "II", "aql": 4.0}})
    assert planned["n"] != by_farm["n"]
    expect(figures).to_contain_text(f"Check {planned['n']} trees")
    expect(figures).to_contain_text(f"Sent back from {planned['reject']} faulty tree")
    # the curve is read by keyboard: more faulty trees are accepted less often
    tablet.get_by_label("Faulty trees in the lot").focus()
    tablet.keyboard.press("End")
    share, chance = planned["oc"][-1]
    expect(tablet.locator(".curve-says")).to_contain_text(f"With {round(100 * share, 1):g}\xa0%")
    expect(tablet.locator(".curve-says")).to_contain_text(f"{round(100 * chance, 1):g} times")
    assert axe_findings(tablet) == []

    tablet.get_by_role("button", name="Draw ").click()
    expect(tablet.get_by_role("heading", name="Lot 1: K1, Hollow")).to_be_visible()
    (listed,) = service.get(f"/farms/{planted['farm']}/lots")["lots"]
    lot = service.get(f"/lots/{listed['id']}")
    expect(tablet.get_by_role("region", name="The drawn trees").get_by_role("row")).to_have_count(
        planned["n"] + 1
    )

    check_trees(service, planted, lot, faulty=planned["reject"], other_row=other_row)
    tablet.reload()
    expect(tablet.locator(".lot-verdict")).to_have_text("send back")
    expect(tablet.locator(".lot-picture")).to_be_visible()
    expect(tablet.get_by_role("heading", name="Second looks")).to_be_visible()
    assert axe_findings(tablet) == []
    # a list that could not be read whole says so
    tablet.route(
        "**/lots?*",
        lambda route: route.fulfill(body="<p>Sign in to the network.</p>", content_type="text/html"),
    )
    tablet.goto(service.address)
    needs = tablet.locator(".needs-you")
    expect(needs).to_contain_text("No answer about Quality")
    tablet.unroute("**/lots?*")
    # what was sent back leads to its return from the overview too
    tablet.reload()
    tablet.get_by_role("button", name="Lot 1, K1").click()
    tablet.get_by_role("button", name="Make a return").click()
    expect(tablet.locator(".return-form > summary")).to_be_focused()
    tablet.get_by_label("Note for the crew").fill("Begin at the gate.")
    tablet.get_by_role("button", name="Make the return").click()
    expect(tablet.get_by_role("heading", name="Return 1: K1, Hollow")).to_be_visible()
    expect(tablet.get_by_text("Begin at the gate.")).to_be_visible()
    assert axe_findings(tablet) == []
    # once the crew went over all of it, one click leads to its recheck
    go_over_again(service, planted)
    tablet.reload()
    tablet.get_by_role("link", name="Draw the recheck").click()
    expect(figures).to_contain_text("Check ")
    tablet.get_by_role("button", name="Draw ").click()
    expect(tablet.get_by_role("heading", name="Lot 2: K1, Hollow")).to_be_visible()
    expect(tablet.get_by_text("It is the recheck of a return.")).to_be_visible()

    part("Crews")
    expect(tablet.locator(".funnel-crew")).to_have_count(2)
    assert axe_findings(tablet) == []
    # a check that arrives meanwhile is shown by itself
    checked = tablet.locator(".quality-content table").first
    before = checked.inner_text()
    check_apart(service, planted, row=other_row, position=3)
    expect(checked).not_to_have_text(before, use_inner_text=True)
    expect(tablet.locator(".newer")).to_be_empty()
    part("Auditors")
    expect(tablet.get_by_role("heading", name="Ada Quern and Bram Quern")).to_be_visible()
    assert axe_findings(tablet) == []
    part("Weak areas")
    expect(tablet.get_by_text("No block has enough checks")).to_be_visible()
    assert axe_findings(tablet) == []
