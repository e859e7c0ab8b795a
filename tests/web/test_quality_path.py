"""The path of spot checks in one go: a plan, a walk without a service, a verdict, a weak area, its return, and a map that clears."""

import re
from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from browser_briefs import publish_brief
from browser_checks import go_on, open_checks, prune_row
from browser_maps import LOOK, at_position
from browser_tablets import wait_for_pack
from orchardmap.maps import signs
from orchardmap.usecases.planting import new_id

pytestmark = pytest.mark.browser

WEAK_ROWS, WEAK_TO = (3, 4), 18
"""No drawn tree of these rows up to this position meets the brief; every other one does."""


def is_weak(row: int, position: int) -> bool:
    return row in WEAK_ROWS and position <= WEAK_TO


def draw_lot(page: Page, service: Any, planted: dict[str, Any]) -> dict[str, Any]:
    """Plan a lot of 20 trees on the desk, draw it, and return it in full."""
    page.goto(f"{service.address}/quality")
    page.get_by_role("link", name="Plan a lot: K1, Hollow").click()
    page.get_by_text("By published tables").click()
    page.get_by_label("Level", exact=True).select_option("II")
    expect(page.locator(".plan-figures")).to_contain_text("Check 20 trees")
    page.get_by_role("button", name="Draw ").click()
    expect(page.get_by_role("heading", name="Lot 1: K1, Hollow")).to_be_visible()
    return newest_lot(service, planted)


def newest_lot(service: Any, planted: dict[str, Any]) -> dict[str, Any]:
    lots = service.get(f"/farms/{planted['farm']}/lots")["lots"]
    found: dict[str, Any] = service.get(f"/lots/{max(lots, key=lambda one: one['number'])['id']}")
    return found


def walk_lot(page: Page, lot: dict[str, Any]) -> None:
    """Check the trees of a lot in walking order, by touches."""
    for done, (row, position) in enumerate(lot["walk"], start=1):
        expect(page.locator(".walk-where h2")).to_have_text(f"Row {row} Tree {position}")
        page.get_by_role("button", name="All as the brief says").tap()
        if is_weak(row, position):
            page.get_by_role("button", name=re.compile("^No: ")).first.tap()
        go_on(page, done)


def check_clean(service: Any, planted: dict[str, Any], lot: dict[str, Any]) -> None:
    """Find every tree of a lot as the brief says."""
    now = datetime.now(UTC).isoformat()
    of = {
        "season_id": planted["season"],
        "block_id": planted["block"],
        "day": planted["today"],
        "auditor_id": planted["auditor"],
        "verdict": "meets",
        "drawn": True,
        "lot_id": lot["id"],
        "device_at": now,
    }
    checks = [{"id": new_id(), "row": row, "position": position} | of for row, position in lot["walk"]]
    answer = service.post(f"/farms/{planted['farm']}/checks", {"sent_at": now, "schema": 5, "checks": checks})
    assert {one["outcome"] for one in answer["outcomes"]} == {"taken"}


def map_shows(
    page: Page, service: Any, planted: dict[str, Any], keep: Callable[[Page, str], None], name: str
) -> tuple[int, bool]:
    """Return how many weak areas the map knows, and whether anything in the block is in the colour of "again"."""
    page.goto(f"{service.address}/map?farm={planted['farm']}&block={planted['block']}")
    page.wait_for_function("() => window.orchardMap?.app?.overview && orchardMap.app.map.getZoom() > 17")
    page.wait_for_function("() => orchardMap.app.list[0].state && orchardMap.app.list[0].shape")
    page.wait_for_timeout(1000)  # what was fetched is drawn in the next frames
    keep(page, name)
    shape = service.get(f"/blocks/{planted['block']}/shape")
    found = [page.evaluate(LOOK, [*at_position(planted, shape, row, 13.5), 60]) for row in planted["rows"]]
    areas: int = page.evaluate("() => (orchardMap.app.list[0].areas ?? []).length")
    return areas, any(signs.AGAIN in colours for colours in found)


def test_a_weak_area_is_found_offline_sent_back_gone_over_again_and_cleared(
    tablet: Page,
    own_service: Any,
    own_planted: dict[str, Any],
    expected_trouble: list[str],
    picture: Callable[[Page, str], None],
) -> None:
    expected_trouble += ["ERR_CONNECTION", "ERR_FAILED", "ERR_EMPTY", "ERR_SOCKET"]
    service, planted = own_service, own_planted
    browser = tablet.context.browser
    assert browser is not None
    desk = browser.new_page(viewport={"width": 1280, "height": 800}, locale="en-GB")
    service.as_manager(desk)
    publish_brief(service, planted)
    for row in planted["rows"]:
        prune_row(service, planted, row)
    lot = draw_lot(desk, service, planted)
    assert len(lot["walk"]) == 20
    weak = [tree for tree in lot["walk"] if is_weak(*tree)]

    # the auditor walks it all without a service
    service.pair(tablet, planted["farm"], None, "auditor")
    open_checks(tablet, service, planted)
    wait_for_pack(tablet, planted["block"])
    expect(tablet.get_by_role("button", name="All as the brief says")).to_be_visible()
    service.kill()
    tablet.reload()
    walk_lot(tablet, lot)
    expect(tablet.locator(".walk-verdict")).to_have_text("Send back")
    service.start()
    tablet.reload()
    expect(tablet.locator(".queue-line")).to_contain_text("All sent.", timeout=60_000)

    # at the desk: the verdict, and the weak area that explains it, on the lot's page and on the map
    desk.goto(f"{service.address}/quality?part=lot&lot={lot['id']}")
    expect(desk.locator(".lot-verdict")).to_have_text("send back")
    (area,) = service.get(f"/lots/{lot['id']}")["weak_areas"]
    assert (area["state"], area["faulty"], area["checked"]) == ("suspect", len(weak), len(weak))
    assert map_shows(desk, service, planted, picture, "path-weak") == (1, True)

    # the return for the area alone
    desk.goto(f"{service.address}/quality?part=lot&lot={lot['id']}")
    desk.get_by_text("The weak area: ").click()
    desk.get_by_role("button", name="Make the return").click()
    expect(desk.get_by_role("heading", name="Return 1: K1, Hollow")).to_be_visible()
    assert map_shows(desk, service, planted, picture, "path-return") == (1, True)

    # the crew's tablet shows it, and one tap a row marks it
    service.pair(tablet, planted["farm"], planted["crews"][0])
    tablet.goto(f"{service.address}/rows?block={planted['block']}")
    tablet.get_by_role("button", name="Read", exact=True).tap()
    again = tablet.locator(".row-again:visible")
    expect(again).to_have_count(2)
    picture(tablet, "path-tablet")
    for left in (1, 0):
        again.first.tap()
        expect(again).to_have_count(left)
    expect(tablet.locator(".queue-line")).to_contain_text("All sent.")

    # the recheck: drawn at the desk, found as the brief says, and nothing is left on the map
    desk.goto(f"{service.address}/quality?part=returns")
    desk.get_by_role("link", name="Draw the recheck").click()
    desk.get_by_role("button", name="Draw ").click()
    expect(desk.get_by_role("heading", name="Lot 2: K1, Hollow")).to_be_visible()
    check_clean(service, planted, newest_lot(service, planted))
    desk.goto(f"{service.address}/quality?part=returns")
    desk.get_by_text("1 return that is over").click()
    expect(desk.locator(".return-card")).to_contain_text("confirmed")
    assert map_shows(desk, service, planted, picture, "path-clear") == (0, False)
    (block,) = service.get(f"/farms/{planted['farm']}/overview?day={planted['today']}")["blocks"]
    assert (block["verdict"], block["weak"], block["again"]) == ("accepted", 0, 0)
    desk.context.close()
