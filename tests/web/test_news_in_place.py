"""What is drawn by itself leaves the page where it was: nothing is made anew that need not be, nothing moves, no tap goes astray or is lost."""

from typing import Any

from playwright.sync_api import Locator, Page, expect

from browser_marks import prune_row, say_pay_rules
from orchardmap.usecases.planting import new_id

SOON_MS = 15_000
# longer than a tap is kept from what has just come under it
SEEN_MS = 1_500


def made_known(one: Locator) -> None:
    """Sign an element, so that another one in its place is told from it."""
    one.evaluate("it => { it.isOld = true; }")


def is_the_old_one(one: Locator) -> bool:
    return bool(one.evaluate("it => it.isOld === true"))


def tap(page: Page, one: Locator) -> None:
    """Tap where it stands, at once: no waiting for it to stand still."""
    box = one.bounding_box()
    assert box is not None
    page.mouse.click(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)


def test_a_new_lot_is_offered_newer_trees_in_the_form_that_stands_there(
    tablet: Page, service: Any, planted: dict[str, Any]
) -> None:
    rows = planted["rows"]
    prune_row(service, planted, 1)
    tablet.goto(f"{service.address}/quality?part=new-lot")
    planned, crew = tablet.locator(".new-lot-plan"), tablet.get_by_label("Whose trees")
    expect(planned).to_contain_text(f"{rows[1]} trees")
    with_scroll = "() => new Promise((done) => { addEventListener('scroll', () => done(), { once: true }); scrollTo(0, 120); })"
    tablet.evaluate(with_scroll)
    at = tablet.evaluate("scrollY")
    made_known(tablet.locator(".new-lot"))
    tablet.evaluate(
        "window.places = []; addEventListener('scroll', () => places.push(scrollY)); window.shortest = Infinity;"
        "new ResizeObserver(() => { shortest = Math.min(shortest, document.querySelector('.new-lot-plan').offsetHeight); })"
        ".observe(document.querySelector('.new-lot-plan'))"
    )
    height = planned.evaluate("it => it.offsetHeight")
    prune_row(service, planted, 2)
    expect(planned).to_contain_text(f"{rows[1] + rows[2]} trees", timeout=SOON_MS)
    expect(crew.locator("option:checked")).to_contain_text(f"{rows[1] + rows[2]} trees", timeout=SOON_MS)
    assert is_the_old_one(tablet.locator(".new-lot"))
    assert tablet.evaluate("places") == []
    assert tablet.evaluate("scrollY") == at
    # the plan was never empty between two answers
    assert tablet.evaluate("shortest") > height / 2


def test_a_lot_is_not_drawn_anew_for_work_that_does_not_touch_it(
    tablet: Page, service: Any, planted: dict[str, Any]
) -> None:
    prune_row(service, planted, 1)
    at = f"/farms/{planted['farm']}"
    lot = {"block_id": planted["block"], "crew_id": planted["crews"][0], "until_day": planted["today"]}
    made = service.post(f"{at}/lots", {"id": new_id(), **lot})
    tablet.goto(f"{service.address}/quality?lot={made['id']}")
    picture = tablet.locator(".lot-picture")
    expect(picture).to_be_visible()
    made_known(picture)
    with tablet.expect_response("**/lots/*", timeout=SOON_MS):
        prune_row(service, planted, 2)
    # its picture is read after it
    tablet.wait_for_timeout(500)
    assert is_the_old_one(picture)
    # what touches it is drawn
    service.post(f"/lots/{made['id']}/cancel", {"reason": "The ladder broke"})
    expect(tablet.locator(".lot-head")).to_contain_text("Cancelled", timeout=SOON_MS)


def test_a_box_that_scrolls_by_itself_stays_where_it_was_scrolled_to(
    tablet: Page, service: Any, planted: dict[str, Any]
) -> None:
    rows = planted["rows"]
    say_pay_rules(service, planted)
    prune_row(service, planted, 1)
    tablet.set_viewport_size({"width": 240, "height": 780})
    tablet.goto(f"{service.address}/pay?part=run&day={planted['today']}")
    crews = tablet.locator(".pay-scroll").filter(has_text="Hollow").first
    expect(crews).to_contain_text(str(rows[1]))
    assert crews.evaluate("it => it.scrollWidth - it.clientWidth") > 40
    crews.evaluate("it => it.scrollTo(40, 0)")
    tablet.wait_for_timeout(SEEN_MS)
    prune_row(service, planted, 2)
    expect(crews).to_contain_text(str(rows[1] + rows[2]), timeout=SOON_MS)
    assert crews.evaluate("it => it.scrollLeft") == 40


TAP_WHAT_COMES = """(what) => void new MutationObserver((_, watch) => {
  const one = document.querySelector(what);
  if (one === null) return;
  watch.disconnect();
  setTimeout(() => {
    const {left, top, width, height} = one.getBoundingClientRect();
    const at = {detail: 1, clientX: left + width / 2, clientY: top + height / 2};
    one.dispatchEvent(new MouseEvent("click", {bubbles: true, cancelable: true, ...at}));
    window.__tapped = true;
  }, 100);
}).observe(document.body, {childList: true, subtree: true})"""
"""Tap what is not there yet a tenth of a second after it has come."""


def test_a_tap_goes_to_what_was_seen_and_never_to_what_has_just_come(
    tablet: Page, service: Any, planted: dict[str, Any]
) -> None:
    tablet.goto(f"{service.address}/quality")
    way = tablet.locator(".quality-wants a")
    expect(tablet.locator(".quality-content")).not_to_contain_text("Loading")
    # by the page itself: on a busy machine a tap from here comes when there was time to see it
    tablet.evaluate(TAP_WHAT_COMES, ".quality-wants a")
    prune_row(service, planted, 1)
    tablet.wait_for_function("() => window.__tapped", timeout=SOON_MS)
    tablet.wait_for_timeout(300)
    assert "part=new-lot" not in tablet.url, "nobody can have meant what was not there yet"
    tablet.wait_for_timeout(SEEN_MS)
    counted = tablet.locator(".quality-wants li").text_content()
    assert counted is not None
    prune_row(service, planted, 2)
    expect(tablet.locator(".quality-wants li")).not_to_have_text(counted, timeout=SOON_MS)
    tap(tablet, way)
    tablet.wait_for_url("**part=new-lot**", timeout=2_000)


def test_the_plan_is_not_drawn_anew_from_under_what_is_held_down(
    tablet: Page, service: Any, planted: dict[str, Any]
) -> None:
    rows, trees = planted["rows"], sum(planted["rows"].values())
    tablet.goto(f"{service.address}/plan")
    facts = tablet.locator(".plan-facts")
    block = tablet.locator(f"[data-block='{planted['block']}']:visible").first
    block.hover()
    asked: list[Any] = []
    tablet.route("**/queues", lambda route: asked.append(route))
    prune_row(service, planted, 1)
    while not asked:
        tablet.wait_for_timeout(20)
    # the finger comes down between the question and its answer
    tablet.mouse.down()
    made_known(block)
    with tablet.expect_response("**/queues"):
        asked.pop(0).continue_()
    tablet.wait_for_timeout(1_000)
    assert is_the_old_one(block)
    tablet.unroute("**/queues")
    tablet.mouse.up()
    # the tap went to the block that was under the finger all the time
    expect(facts).to_contain_text(f"{trees - rows[1]} trees left", timeout=SOON_MS)
