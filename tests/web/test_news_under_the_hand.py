"""What comes by itself while a hand works: what was moved stays moved, a tap goes to what it was meant for, and what is told is so."""

import re
from datetime import UTC, datetime
from typing import Any

import pytest
from playwright.sync_api import Locator, Page, expect

from browser_marks import prune_row, say_pay_rules
from orchardmap.usecases.planting import new_id

pytestmark = pytest.mark.browser
SOON_MS = 15_000


def held_back(page: Page, method: str) -> list[Any]:
    """Keep each question of one method about the plan until it is let go."""
    asked: list[Any] = []
    page.route(
        "**/queues",
        lambda route: asked.append(route) if route.request.method == method else route.continue_(),
    )
    return asked


def until_asked(page: Page, asked: list[Any]) -> None:
    while not asked:
        page.wait_for_timeout(20)


def lane_of(page: Page, crew: str) -> Locator:
    return page.get_by_role("list", name=crew, exact=True)


def test_a_block_moved_while_newer_work_is_read_stays_where_it_was_moved_to(
    tablet: Page, service: Any, planted: dict[str, Any]
) -> None:
    tablet.goto(f"{service.address}/plan")
    expect(tablet.locator(".plan-chips")).to_contain_text("K1")
    asked = held_back(tablet, "GET")
    prune_row(service, planted, 1)
    until_asked(tablet, asked)
    tablet.locator("[data-block]").first.focus()
    tablet.keyboard.press("ArrowUp")
    expect(lane_of(tablet, "Thorn")).to_contain_text("K1")
    with tablet.expect_response("**/queues"):
        asked.pop(0).continue_()
    tablet.unroute("**/queues")
    tablet.wait_for_timeout(1_000)
    expect(lane_of(tablet, "Thorn")).to_contain_text("K1")
    expect(tablet.get_by_text("1 block stands elsewhere than on the tablets")).to_be_visible()


def test_a_block_moved_while_the_plan_is_saved_stays_where_it_was_moved_to(
    tablet: Page, service: Any, planted: dict[str, Any]
) -> None:
    """What was saved is the plan as it stood when the button was touched; the move after it is not saved yet."""
    tablet.goto(f"{service.address}/plan")
    block = tablet.locator("[data-block]").first
    block.focus()
    tablet.keyboard.press("ArrowUp")
    asked = held_back(tablet, "PUT")
    tablet.get_by_role("button", name="Save the plan").click()
    until_asked(tablet, asked)
    block.focus()
    tablet.keyboard.press("ArrowUp")
    expect(lane_of(tablet, "Hollow")).to_contain_text("K1")
    asked.pop(0).continue_()
    expect(tablet.get_by_text("Saved.")).to_be_visible()
    expect(lane_of(tablet, "Hollow")).to_contain_text("K1")
    expect(tablet.get_by_text("1 block stands elsewhere than on the tablets")).to_be_visible()
    saved = service.get(f"/farms/{planted['farm']}/queues")["queues"]
    assert {one["crew_id"]: one["blocks"] for one in saved} == {
        planted["crews"][0]: [],
        planted["crews"][1]: [planted["block"]],
    }


def test_a_plan_read_before_it_was_saved_does_not_take_the_place_of_what_was_saved(
    tablet: Page, service: Any, planted: dict[str, Any]
) -> None:
    tablet.goto(f"{service.address}/plan")
    expect(tablet.locator(".plan-chips")).to_contain_text("K1")
    old: list[Any] = []

    def answered_late(route: Any) -> None:
        old.append((route, route.fetch()))

    tablet.route(
        "**/queues",
        lambda route: answered_late(route) if route.request.method == "GET" else route.continue_(),
    )
    prune_row(service, planted, 1)
    until_asked(tablet, old)
    tablet.locator("[data-block]").first.focus()
    tablet.keyboard.press("ArrowUp")
    tablet.get_by_role("button", name="Save the plan").click()
    expect(tablet.get_by_text("Saved.")).to_be_visible()
    tablet.evaluate(
        "window.left = 0; new MutationObserver(() => { if (document.querySelector('.plan-chips').textContent.includes('K1')) left++; })"
        ".observe(document.querySelector('.plan-tray').closest('main'), { childList: true, subtree: true })"
    )
    for route, answer in old:
        route.fulfill(response=answer)
    tablet.unroute("**/queues")
    tablet.wait_for_timeout(1_500)
    assert tablet.evaluate("left") == 0, "for a moment the plan stood there as it was before"
    expect(lane_of(tablet, "Thorn")).to_contain_text("K1")


def test_a_tap_meant_for_one_matter_is_not_taken_by_the_next_that_moves_up(
    tablet: Page, service: Any, planted: dict[str, Any]
) -> None:
    """Cards of the same words: the first one is settled elsewhere, and all below move up under the finger."""
    tablet.set_viewport_size({"width": 1280, "height": 2600})
    now = datetime.now(UTC).isoformat()
    ids = sorted(new_id() for _ in range(3))
    for row, one in zip((97, 98, 99), ids, strict=True):
        mark = {
            "id": one,
            "season_id": planted["season"],
            "block_id": planted["block"],
            "row": row,
            "first": 1,
            "last": 3,
            "crew_id": planted["crews"][0],
            "day": planted["today"],
            "method": "ladder",
            "device_at": now,
        }
        sent = service.post(f"/farms/{planted['farm']}/marks", {"sent_at": now, "marks": [mark]})
        assert sent["outcomes"][0]["outcome"] == "set_aside"
    tablet.goto(f"{service.address}/settling")
    cards = tablet.locator(".matter")
    expect(cards).to_have_count(3)
    meant = cards.nth(1).get_by_role("button", name="Leave it out")
    box = meant.bounding_box()
    assert box is not None
    records = service.get(f"/farms/{planted['farm']}/matters")["set_aside"]
    first = next(
        one for one in records if str(one["versions"][0]["row"]) in cards.first.locator("h3").inner_text()
    )
    version = first["versions"][0]
    record = {"kind": "mark", "id": first["id"], "content_hash": None, "reason_code": version["reason_code"]}
    settled = {"id": new_id(), "record": record, "seen": [version["content_hash"]], "note": ""}
    service.post(f"/farms/{planted['farm']}/settlements", settled)
    expect(cards).to_have_count(2, timeout=SOON_MS)
    tablet.mouse.click(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    tablet.wait_for_timeout(1_500)
    left = service.get(f"/farms/{planted['farm']}/matters")["set_aside"]
    assert len(left) == 2, "the tap left out a record that nobody meant"


def test_the_words_of_a_choice_can_be_tapped_when_newer_work_has_just_been_drawn(
    tablet: Page, service: Any, planted: dict[str, Any]
) -> None:
    """A tap on a label comes a second time, to its field, at the label's place."""
    for crew in (0, 1):
        prune_row(service, planted, 2, crew=crew)
    tablet.goto(f"{service.address}/settling")
    choice = tablet.get_by_text("Neither: credit nobody")
    choice.scroll_into_view_if_needed()
    box = choice.bounding_box()
    assert box is not None
    cards = tablet.locator(".matter")
    expect(cards).to_have_count(1)
    for crew in (0, 1):
        prune_row(service, planted, 3, crew=crew)
    expect(cards).to_have_count(2, timeout=SOON_MS)
    tablet.mouse.click(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    expect(tablet.get_by_label("Neither: credit nobody").first).to_be_checked()


def test_what_is_told_is_told_no_longer_once_nothing_newer_than_what_stands_there_is_found(
    tablet: Page, service: Any, planted: dict[str, Any]
) -> None:
    at = f"/farms/{planted['farm']}"
    prune_row(service, planted, 1)
    lot = {"block_id": planted["block"], "crew_id": planted["crews"][0], "until_day": planted["today"]}
    made = service.post(f"{at}/lots", {"id": new_id(), **lot})
    tablet.goto(f"{service.address}/quality?lot={made['id']}")
    head, line = tablet.locator(".lot-head"), tablet.locator(".newer")
    expect(tablet.locator(".lot-picture")).to_be_visible()
    head.locator("h2").evaluate("it => getSelection().selectAllChildren(it)")
    prune_row(service, planted, 2)
    expect(line).to_contain_text("1 new record", timeout=SOON_MS)
    # the hand leaves; the lot is read, and is what it was
    tablet.evaluate("getSelection().removeAllRanges()")
    expect(line).to_be_empty(timeout=SOON_MS)


# also as each answer comes: on a busy machine a timer may rest for as long as a hand does
SCROLL_ON = """() => {
  const turn = () => void document.body.dispatchEvent(new WheelEvent("wheel", { bubbles: true }));
  const turning = setInterval(turn, 200);
  const read = {};
  for (const way of ["json", "text"]) {
    const as = (read[way] = Response.prototype[way]);
    Response.prototype[way] = async function () {
      const said = await as.call(this);
      turn();
      return said;
    };
  }
  window.stopScrolling = () => {
    clearInterval(turning);
    Object.assign(Response.prototype, read);
  };
}"""


def test_somebody_who_scrolls_all_the_time_is_told_that_there_is_newer_work(
    tablet: Page, service: Any, planted: dict[str, Any]
) -> None:
    prune_row(service, planted, 1)
    tablet.goto(f"{service.address}/quality")
    wants = tablet.locator(".quality-wants li")
    expect(wants).to_contain_text("Hollow")
    before = wants.text_content()
    tablet.evaluate(SCROLL_ON)
    prune_row(service, planted, 2)
    line = tablet.locator(".newer")
    expect(line).to_contain_text("1 new record", timeout=SOON_MS)
    assert wants.text_content() == before, "nothing is drawn under a hand that moves"
    tablet.evaluate("() => stopScrolling()")
    expect(wants).to_contain_text(f"{planted['rows'][1] + planted['rows'][2]} trees", timeout=SOON_MS)
    expect(line).to_be_empty()


def test_why_no_lot_was_drawn_stays_to_be_read_while_marks_come(
    tablet: Page, service: Any, planted: dict[str, Any], expected_trouble: list[str]
) -> None:
    expected_trouble.append("503")
    rows = planted["rows"]
    prune_row(service, planted, 1)
    tablet.goto(f"{service.address}/quality?part=new-lot")
    planned = tablet.locator(".new-lot-plan")
    expect(planned).to_contain_text(f"{rows[1]} trees")
    why = {"type": "about:blank", "title": "Busy", "status": 503, "detail": "The store is busy."}
    tablet.route(
        re.compile(r"/lots(\?|$)"),
        lambda route: (
            route.fulfill(status=503, json=why, content_type="application/problem+json")
            if route.request.method == "POST"
            else route.continue_()
        ),
    )
    tablet.get_by_role("button", name="Draw").click()
    expect(planned).to_contain_text("The store is busy.")
    prune_row(service, planted, 2)
    expect(planned).to_contain_text(f"{rows[1] + rows[2]} trees", timeout=SOON_MS)
    expect(planned).to_contain_text("The store is busy.")
    # who changes something is told of that
    tablet.get_by_label("Extra trees").fill("2")
    expect(planned).not_to_contain_text("The store is busy.")


def test_the_way_to_settle_held_trees_keeps_the_keyboard_and_its_words_while_marks_come(
    tablet: Page, service: Any, planted: dict[str, Any]
) -> None:
    rows = planted["rows"]
    say_pay_rules(service, planted)
    for crew in (0, 1):
        prune_row(service, planted, 1, crew=crew)
    tablet.goto(f"{service.address}/pay?part=run&day={planted['today']}")
    result = tablet.locator(".pay-result")
    held = result.locator("section", has_text="row 1").get_by_role("listitem")
    expect(held).to_contain_text("K1")
    held.get_by_role("link").focus()
    tablet.evaluate(
        "window.odd = []; new MutationObserver(() => { const it = [...document.querySelectorAll('.pay-result li')]"
        ".find((one) => one.textContent.includes('row 1')); if (it && !it.textContent.includes('K1')) odd.push(it.textContent); })"
        ".observe(document.querySelector('.pay-result'), { childList: true, subtree: true, characterData: true })"
    )
    prune_row(service, planted, 2)
    expect(result).to_contain_text(str(rows[2]), timeout=SOON_MS)
    tablet.wait_for_timeout(1_500)
    expect(held.get_by_role("link")).to_be_focused()
    assert tablet.evaluate("odd") == [], "a block was called by its id for a moment"


def test_what_is_to_be_settled_comes_in_the_order_in_which_it_would_stand_when_read_anew(
    tablet: Page, service: Any, planted: dict[str, Any]
) -> None:
    tablet.goto(f"{service.address}/settling")
    heads = tablet.locator(".matter h3")
    for n, row in enumerate((3, 1, 4, 2), start=1):
        for crew in (0, 1):
            prune_row(service, planted, row, crew=crew)
        expect(heads).to_have_count(n, timeout=SOON_MS)
    expect(heads).to_have_text([f"Block K1, row {row}" for row in (1, 2, 3, 4)])
