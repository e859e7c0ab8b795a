"""Marking in the rows: undo, the other end, closures, overlaps, records set aside, the keyboard."""

import re
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from playwright.sync_api import Error, Locator, Page, expect

from browser_briefs import publish_again, publish_brief

pytestmark = pytest.mark.browser


def row_button(page: Page, number: int) -> Locator:
    return page.get_by_role("button", name=re.compile(rf"^Row {number}\b"))


def work_for(page: Page, service: Any, planted: dict[str, Any], crew: int) -> None:
    page.goto(f"{service.address}/rows")
    page.evaluate("(id) => localStorage.setItem('orchardmap.crew', id)", planted["crews"][crew])


def open_rows(page: Page, service: Any, planted: dict[str, Any], *, crew: int = 0) -> None:
    work_for(page, service, planted, crew)
    page.goto(f"{service.address}/rows?block={planted['block']}")
    expect(page.locator(".row-strip")).to_have_count(len(planted["rows"]))
    read = page.get_by_role("button", name="Read", exact=True)
    if read.is_visible():
        read.tap()
    page.locator(".row-strip:visible .row-tap").first.tap(trial=True)  # waits until rows take taps


def all_sent(page: Page) -> None:
    """Wait until the service has acknowledged everything."""
    expect(page.get_by_text(re.compile(r"^All sent\."))).to_be_visible()


def runs_of(service: Any, planted: dict[str, Any]) -> list[list[int]]:
    found: list[list[int]] = service.get(f"/blocks/{planted['block']}/state?day={planted['today']}")["runs"]
    return found


def close_block(service: Any, planted: dict[str, Any]) -> None:
    now = datetime.now(UTC)
    closure = {
        "starts_at": (now - timedelta(hours=1)).isoformat(),
        "ends_at": (now + timedelta(hours=30)).isoformat(),
        "reason": "spray re-entry",
    }
    service.post(f"/blocks/{planted['block']}/closures", closure)


def test_undo_takes_the_mark_back(tablet: Page, service: Any, planted: dict[str, Any]) -> None:
    open_rows(tablet, service, planted)
    row_button(tablet, 2).tap()
    tablet.get_by_role("button", name="Undo").tap()
    expect(tablet.get_by_text("Taken back: row 2.")).to_be_visible()
    all_sent(tablet)
    assert runs_of(service, planted) == []
    marks = service.get(f"/blocks/{planted['block']}/marks")["marks"]
    assert [mark["withdrawn"] for mark in marks] == [True]
    expect(tablet.locator(".row-strip").nth(1)).to_contain_text(f"0 of {planted['rows'][2]}")


def test_a_second_tap_marks_nothing_twice(tablet: Page, service: Any, planted: dict[str, Any]) -> None:
    open_rows(tablet, service, planted)
    row_button(tablet, 2).tap()
    expect(tablet.locator(".row-strip").nth(1)).to_contain_text("done")
    row_button(tablet, 2).tap()
    expect(tablet.get_by_text("Row 2 is done already")).to_be_visible()
    all_sent(tablet)
    assert len(service.get(f"/blocks/{planted['block']}/marks")["marks"]) == 1


def test_other_end_counts_from_the_last_tree(tablet: Page, service: Any, planted: dict[str, Any]) -> None:
    open_rows(tablet, service, planted)
    # by keyboard, as somebody does who cannot drag
    tablet.get_by_role("button", name="Set how far the crew came in row 1", exact=True).focus()
    tablet.keyboard.press("Enter")
    tablet.get_by_role("button", name="Began at the far end instead").tap()
    field = tablet.get_by_label("Back to position")
    field.fill("20")
    field.press("Enter")
    tablet.get_by_role("button", name="Mark pruned").tap()
    expect(tablet.get_by_text(f"Marked: row 1, positions 20 to {planted['rows'][1]}")).to_be_visible()
    all_sent(tablet)
    assert [run[:4] for run in runs_of(service, planted)] == [[1, 20, planted["rows"][1], 1]]


def test_second_crew_goes_on_where_the_first_stopped(
    tablet: Page, service: Any, planted: dict[str, Any]
) -> None:
    open_rows(tablet, service, planted)
    tablet.get_by_role("button", name="Set how far the crew came in row 1", exact=True).focus()
    tablet.keyboard.press("Enter")
    field = tablet.get_by_label("Up to position")
    field.fill("10")
    field.press("Enter")
    tablet.get_by_role("button", name="Mark pruned").tap()
    expect(tablet.get_by_text("Marked: row 1, positions 1 to 10: 10 trees.")).to_be_visible()
    open_rows(tablet, service, planted, crew=1)
    row_button(tablet, 1).tap()
    expect(tablet.get_by_text(f"Marked: row 1, positions 11 to {planted['rows'][1]}")).to_be_visible()
    all_sent(tablet)
    figures = service.get(f"/farms/{planted['farm']}/overview?day={planted['today']}")["figures"]
    assert (figures["overlap_trees"], figures["pruned"]) == (0, planted["rows"][1])


def test_overlap_is_shown_kept_and_settled_by_taking_one_mark_back(
    tablet: Page, service: Any, planted: dict[str, Any]
) -> None:
    open_rows(tablet, service, planted)
    row_button(tablet, 1).tap()
    expect(tablet.get_by_text("Marked: row 1")).to_be_visible()
    all_sent(tablet)
    open_rows(tablet, service, planted, crew=1)
    tablet.get_by_role("button", name="1 finished row before").tap()
    row_button(tablet, 1).tap()
    expect(tablet.get_by_text("Marked by Hollow.")).to_be_visible()
    tablet.get_by_role("button", name="Our crew pruned it").tap()
    positions = planted["rows"][1]
    expect(tablet.locator(".row-strip").first).to_contain_text(f"two crews: {positions}")
    all_sent(tablet)
    tablet.goto(service.address)
    expect(tablet.locator(".needs-you")).to_contain_text(f"{positions} trees claimed by two crews.")
    tablet.goto(f"{service.address}/rows?block={planted['block']}&row=1")
    claimed = tablet.locator(".marks-list ul").first
    expect(claimed.get_by_role("listitem")).to_have_count(2)
    thorn = claimed.get_by_role("listitem").filter(has_text="Thorn")
    thorn.get_by_role("button", name="Take back").tap()
    expect(
        tablet.get_by_text(f"another mark still claims positions 1 to {positions} of row 1.")
    ).to_be_visible()
    all_sent(tablet)
    assert [run[3] for run in runs_of(service, planted)] == [1]


def test_closed_block_cannot_be_opened_and_says_when_it_opens(
    tablet: Page, service: Any, planted: dict[str, Any]
) -> None:
    close_block(service, planted)
    work_for(tablet, service, planted, 0)
    tablet.goto(f"{service.address}/rows?block={planted['block']}")  # not by its address either
    expect(tablet.locator("main .notice").first).to_contain_text("K1: Closed: spray re-entry.")
    choice = tablet.get_by_role("button", name="K1 ")
    expect(choice).to_be_disabled()
    expect(choice).to_contain_text(
        re.compile(r"Closed: spray re-entry\. It opens again \w{3},? \d+ \w+,? (at )?\d\d:\d\d")
    )
    expect(tablet.locator(".row-strip")).to_have_count(0)


def test_mark_inside_a_closure_is_set_aside_and_says_why(
    tablet: Page, service: Any, planted: dict[str, Any]
) -> None:
    open_rows(tablet, service, planted)
    close_block(service, planted)  # while the foreman already stands in the block
    row_button(tablet, 4).tap()
    expect(tablet.locator(".action-bar")).to_contain_text("Row 4 set aside, stored but not counted:")
    expect(tablet.get_by_role("heading", name="Not counted")).to_be_visible()
    expect(tablet.get_by_role("button", name="Undo")).to_have_count(0)
    expect(tablet.locator(".row-strip").nth(3)).to_contain_text("0 of")
    assert runs_of(service, planted) == []
    tablet.goto(service.address)
    expect(tablet.locator(".needs-you")).to_contain_text("1 record set aside")


def test_another_tablets_mark_shows_without_a_reload(
    tablet: Page, service: Any, planted: dict[str, Any]
) -> None:
    open_rows(tablet, service, planted)
    mark = {
        "id": "0198c000-0000-7000-8000-000000000001",
        "season_id": planted["season"],
        "block_id": planted["block"],
        "row": 3,
        "first": 1,
        "last": 7,
        "crew_id": planted["crews"][1],
        "day": planted["today"],
        "method": "ladder",
        "device_at": datetime.now(UTC).isoformat(),
    }
    service.post(
        f"/farms/{planted['farm']}/marks", {"sent_at": datetime.now(UTC).isoformat(), "marks": [mark]}
    )
    expect(tablet.locator(".row-strip").nth(2)).to_contain_text(f"7 of {planted['rows'][3]}")


def test_brief_and_cautions_come_until_they_are_read_and_each_version_again(
    tablet: Page, service: Any, planted: dict[str, Any]
) -> None:
    work_for(tablet, service, planted, 0)
    tablet.goto(f"{service.address}/rows?block={planted['block']}")
    card = tablet.locator(".brief")
    read = tablet.get_by_role("button", name="Read", exact=True)
    expect(card).to_contain_text("No brief is published for this block yet.")
    for word in ("Ladder", "Powered secateurs", "Eyes", "Power lines", "Cold", "Alone", "Sprayed"):
        expect(card).to_contain_text(word)
    expect(card).to_contain_text("Local law, the product label and licensed practice decide.")
    # a look at them is no reading
    tablet.reload()
    expect(card).to_be_visible()
    with pytest.raises(Error, match=r"inert|intercepts pointer events"):
        row_button(tablet, 1).tap(timeout=500)
    read.tap()
    tablet.get_by_role("button", name="By number").tap()
    expect(tablet.locator(".number-pad")).to_be_visible()
    tablet.reload()
    expect(tablet.locator(".row-strip")).to_have_count(len(planted["rows"]))
    expect(card).to_have_count(0)

    # published on the same day: it is read through before the next mark, drawings and all
    brief = publish_brief(service, planted)
    tablet.reload()
    expect(card).to_contain_text("new on this tablet. Read it through.")
    drawings = card.get_by_role("img")
    sentences = card.locator(".brief-sentence").all_inner_texts()
    assert [drawn.get_attribute("alt") for drawn in drawings.all()] == sentences
    assert drawings.first.evaluate("(drawn) => drawn.decode().then(() => drawn.naturalWidth)") > 0
    read.tap()
    row_button(tablet, 1).tap()
    expect(tablet.locator(".row-strip").first).to_contain_text("done")
    first, gone, *points = service.get(f"/blocks/{planted['block']}/brief")["brief"]["content"]["points"]
    first |= {"sentences": {"en": "Burn dead wood.", "es": "Queme la madera muerta."}}
    publish_again(service, planted, brief, points=[first, *points])
    tablet.reload()
    expect(card).to_contain_text("New version of")
    expect(card.locator(".brief-news")).to_contain_text(f"No longer in it: “{gone['sentences']['en']}”")
    expect(card.locator("[data-changed='true'] .brief-sentence")).to_have_text(["Burn dead wood."])
    read.tap()
    # at any time by its tool, over the rows, and everything is where it was
    tablet.get_by_role("button", name="Brief", exact=True).tap()
    expect(card.locator(".brief-sentence")).to_have_count(len(sentences) - 1)
    tablet.get_by_role("button", name="Back to the rows").tap()
    expect(card).to_have_count(0)
    row_button(tablet, 2).tap()
    expect(tablet.locator(".row-strip").nth(1)).to_contain_text("done")


def test_overlap_opens_with_its_list_on_top_and_needs_no_crew(
    tablet: Page, service: Any, planted: dict[str, Any]
) -> None:
    for crew in (0, 1):
        mark = {
            "id": f"0198c000-0000-7000-8000-0000000c0a{crew:02d}",
            "season_id": planted["season"],
            "block_id": planted["block"],
            "row": 3,
            "first": 2,
            "last": 8,
            "crew_id": planted["crews"][crew],
            "day": planted["today"],
            "method": "ladder",
            "device_at": datetime.now(UTC).isoformat(),
        }
        service.post(
            f"/farms/{planted['farm']}/marks", {"sent_at": datetime.now(UTC).isoformat(), "marks": [mark]}
        )
    tablet.goto(f"{service.address}/rows?block={planted['block']}&row=3")
    claimed = tablet.locator(".overlaps")
    expect(claimed.get_by_role("listitem")).to_have_count(2)
    expect(claimed).to_be_in_viewport()
    top, rows = claimed.bounding_box(), tablet.locator(".row-list").bounding_box()
    assert top is not None
    assert rows is not None
    assert top["y"] < rows["y"]
    row_button(tablet, 1).tap()  # looking is for anybody, marking for a crew
    expect(tablet.get_by_text("Pick the crew first")).to_be_visible()
    assert len(service.get(f"/blocks/{planted['block']}/marks")["marks"]) == 2
    claimed.get_by_role("listitem").filter(has_text="Thorn").get_by_role("button", name="Take back").tap()
    expect(tablet.locator(".overlaps")).to_be_empty()


def test_list_of_all_marks_holds_the_ones_set_aside_with_their_reason(
    tablet: Page, service: Any, planted: dict[str, Any]
) -> None:
    open_rows(tablet, service, planted)
    row_button(tablet, 1).tap()
    expect(tablet.get_by_text("Marked: row 1")).to_be_visible()
    all_sent(tablet)
    close_block(service, planted)
    row_button(tablet, 4).tap()
    expect(tablet.get_by_role("heading", name="Not counted")).to_be_visible()
    everything = tablet.locator(".marks-list details")
    everything.get_by_text("All marks of this block, every crew").tap()
    expect(everything.get_by_role("listitem")).to_have_count(2)
    expect(everything).to_contain_text("set aside: the block was closed then")


def test_choice_of_a_row_at_the_foot_is_not_hidden_by_its_bar(
    tablet: Page, service: Any, planted: dict[str, Any]
) -> None:
    tablet.set_viewport_size({"width": 1280, "height": 560})
    open_rows(tablet, service, planted)
    end = tablet.get_by_role("button", name="Set how far the crew came in row 4", exact=True)
    end.focus()
    tablet.keyboard.press("Enter")
    strip, bar = (
        tablet.locator(".row-strip").nth(3).bounding_box(),
        tablet.locator(".action-bar").bounding_box(),
    )
    assert strip is not None
    assert bar is not None
    assert strip["y"] + strip["height"] <= bar["y"] + 1
    # the keyboard goes on in the bar, and Escape leaves it
    expect(tablet.get_by_role("button", name="One position more")).to_be_focused()
    tablet.keyboard.press("Escape")
    expect(end).to_be_focused()
    tablet.keyboard.press("Enter")
    tablet.get_by_role("button", name="Mark pruned").press("Enter")
    expect(tablet.get_by_role("button", name="Undo row 4")).to_be_focused()


def test_drag_given_up_to_the_left_chooses_nothing(
    tablet: Page, service: Any, planted: dict[str, Any]
) -> None:
    open_rows(tablet, service, planted)
    handle = tablet.locator(".row-strip").nth(2).locator(".row-handle").bounding_box()
    assert handle is not None
    x, y = handle["x"] + handle["width"] / 2, handle["y"] + handle["height"] / 2
    tablet.mouse.move(x, y)
    tablet.mouse.down()
    tablet.mouse.move(x + 300, y, steps=4)
    tablet.mouse.move(x - 40, y, steps=4)
    tablet.mouse.up()
    expect(tablet.locator(".action-bar .stepper")).to_have_count(0)
    # a few pixels sideways are a thumb that scrolls, no drag
    tablet.mouse.move(x, y)
    tablet.mouse.down()
    tablet.mouse.move(x + 6, y, steps=2)
    expect(tablet.locator(".row-handle[data-position]")).to_have_count(0)
    tablet.mouse.up()
