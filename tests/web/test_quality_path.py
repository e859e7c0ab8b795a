"""The path of spot checks in one go: a plan, a walk without a service, a verdict, a weak area, its return, and a map that clears."""

import re
from collections.abc import Callable, Sequence
from datetime import UTC, datetime
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from browser_briefs import publish_brief
from browser_checks import go_on, open_checks, walk_order
from browser_maps import at_position, wait_for_colours, wait_for_some
from browser_marks import prune_row
from browser_tablets import wait_for_pack
from browser_trouble import KILLED
from orchardmap.maps import signs
from orchardmap.usecases.planting import new_id

pytestmark = pytest.mark.browser

WEAK_ROWS, WEAK_TO = (3, 4), 18
"""No drawn tree of these rows up to this position meets the brief; every other one does."""
BY_HAND = 2
"""So many trees of the recheck are touched; the others come from another tablet."""


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


def walk(page: Page, trees: list[list[int]], of: int, *, is_faulty: Callable[[int, int], bool]) -> None:
    """Check the last trees of a lot of so many in walking order, by touches."""
    for done, (row, position) in enumerate(trees, start=of - len(trees) + 1):
        expect(page.locator(".walk-where h2")).to_have_text(f"Row {row} Tree {position}")
        page.get_by_role("button", name="All as the brief says").tap()
        if is_faulty(row, position):
            page.get_by_role("button", name=re.compile("^Not OK: ")).first.tap()
        go_on(page, done, of=of)


def check_clean(service: Any, planted: dict[str, Any], lot: dict[str, Any], trees: list[list[int]]) -> None:
    """Find trees of a lot as the brief says."""
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
    checks = [{"id": new_id(), "row": row, "position": position} | of for row, position in trees]
    answer = service.post(f"/farms/{planted['farm']}/checks", {"sent_at": now, "schema": 5, "checks": checks})
    assert {one["outcome"] for one in answer["outcomes"]} == {"taken"}


def places_within(area: dict[str, Any]) -> list[tuple[int, float]]:
    """Return rows and positions inside a weak area, two for each tree: signs and words stand over some of them, wherever trees were drawn."""
    first, last = area["positions"]
    return [(row, half / 2) for row in WEAK_ROWS for half in range(2 * first + 1, 2 * last)]


def test_a_weak_area_is_found_offline_sent_back_gone_over_again_and_cleared(
    tablet: Page,
    own_service: Any,
    own_planted: dict[str, Any],
    expected_trouble: list[str],
    picture: Callable[[Page, str], None],
) -> None:
    expected_trouble += KILLED
    service, planted = own_service, own_planted
    browser = tablet.context.browser
    assert browser is not None
    desk = browser.new_context(viewport={"width": 1280, "height": 800}, locale="en-GB").new_page()
    desk.set_default_timeout(15_000)
    service.as_manager(desk)
    publish_brief(service, planted)
    for row in planted["rows"]:
        prune_row(service, planted, row)
    shape = service.get(f"/blocks/{planted['block']}/shape")

    def map_shows(
        areas: int, places: Sequence[tuple[int, float, float]], *colours: str, but: str = ""
    ) -> None:
        """The map comes to show so many weak areas, and within so many pixels of places these colours but not that one."""
        spots = [(*at_position(planted, shape, row, position), reach) for row, position, reach in places]
        wait_for_colours(desk, spots, areas=areas, all_of=colours, none_of=[but])

    def open_map() -> None:
        desk.goto(f"{service.address}/map?farm={planted['farm']}&block={planted['block']}")

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
    order = walk_order(tablet, lot)
    walk(tablet, order, of=20, is_faulty=is_weak)
    expect(tablet.locator(".walk-verdict")).to_have_text("Send back")
    service.start()
    tablet.reload()
    expect(tablet.locator(".queue-line")).to_contain_text("All sent.", timeout=70_000)

    # at the desk: the verdict, and the weak area that explains it, on the lot's page and on the map
    desk.goto(f"{service.address}/quality?part=lot&lot={lot['id']}")
    expect(desk.locator(".lot-verdict")).to_have_text("send back")
    (area,) = service.get(f"/lots/{lot['id']}")["weak_areas"]
    assert (area["state"], area["faulty"], area["checked"]) == ("suspect", len(weak), len(weak))
    assert area["rows"] == list(WEAK_ROWS)
    inside = [(*at_position(planted, shape, *place), 4.0) for place in places_within(area)]
    open_map()
    map_shows(1, [(row, position, 8) for row, position in weak], signs.AGAIN)
    bare = wait_for_some(desk, inside, areas=1, colour=signs.PRUNED, but=signs.AGAIN)
    picture(desk, "path-weak")

    # the return for the area alone
    desk.goto(f"{service.address}/quality?part=lot&lot={lot['id']}")
    desk.get_by_text("The weak area: ").click()
    desk.get_by_role("button", name="Make the return").click()
    expect(desk.get_by_role("heading", name="Return 1: K1, Hollow")).to_be_visible()
    open_map()
    wait_for_some(desk, bare, areas=1, colour=signs.AGAIN, but=signs.PRUNED)
    wait_for_colours(desk, inside, areas=1, none_of=[signs.PRUNED])
    picture(desk, "path-return")

    # the crew's tablet shows it, and one tap a row marks it
    tablet.goto("about:blank")  # no page asks for anything while nobody is signed in
    service.pair(tablet, planted["farm"], planted["crews"][0])
    tablet.goto(f"{service.address}/rows?block={planted['block']}")
    tablet.get_by_role("button", name="Read", exact=True).tap()
    again = tablet.locator(".row-again:visible")
    expect(again).to_have_count(len(WEAK_ROWS))
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
    recheck = newest_lot(service, planted)
    trees = recheck["walk"]
    assert all(is_weak(*tree) for tree in trees)
    check_clean(service, planted, recheck, trees[:-BY_HAND])
    tablet.goto("about:blank")
    service.pair(tablet, planted["farm"], None, "auditor")
    open_checks(tablet, service, planted)
    by_hand = [tree for tree in recheck["trees"] if [tree["row"], tree["position"]] in trees[-BY_HAND:]]
    order = walk_order(tablet, recheck | {"trees": by_hand})
    walk(tablet, order, of=len(trees), is_faulty=lambda *_: False)
    expect(tablet.locator(".walk-verdict")).to_have_text("Accepted")
    expect(tablet.locator(".queue-line")).to_contain_text("All sent.")
    desk.goto(f"{service.address}/quality?part=returns")
    desk.get_by_text("1 return that is over").click()
    expect(desk.locator(".return-card")).to_contain_text("confirmed")
    open_map()
    map_shows(0, [(WEAK_ROWS[0], WEAK_TO / 2, 120)], signs.PRUNED, but=signs.AGAIN)
    picture(desk, "path-clear")
    (block,) = service.get(f"/farms/{planted['farm']}/overview?day={planted['today']}")["blocks"]
    assert (block["weak"], block["again"]) == (0, 0)
    desk.context.close()
