"""The foreman's tablet at work: touches and seconds to a mark, walking order, several rows, undo after a restart."""

import re
import time
from typing import Any

import pytest
from playwright.sync_api import Locator, Page, expect

from browser_tablets import plant_rows

pytestmark = pytest.mark.browser

COUNT_TOUCHES = "addEventListener('pointerdown', () => { window.touches = (window.touches ?? 0) + 1 }, true)"


def row_button(page: Page, number: int) -> Locator:
    return page.get_by_role("button", name=re.compile(rf"^Row {number}\b"))


def strip(page: Page, number: int) -> Locator:
    return page.locator(".row-strip").filter(has=row_button(page, number))


def tool(page: Page, name: str) -> None:
    page.locator(".bar-tools").get_by_role("button", name=name, exact=True).tap()


def type_rows(page: Page, *keys: str) -> None:
    for key in keys:
        page.locator(".number-pad").get_by_role("button", name=key, exact=True).tap()


def open_rows(page: Page, service: Any, planted: dict[str, Any], *, crew: int = 0) -> None:
    page.goto(f"{service.address}/rows")
    page.locator(
        "main h1"
    ).wait_for()  # a page that is still opening may drop a crew that is not of its first farm
    page.evaluate("(id) => localStorage.setItem('orchardmap.crew', id)", planted["crews"][crew])
    page.goto(f"{service.address}/rows?block={planted['block']}")
    expect(page.locator(".row-list")).to_be_attached(timeout=15_000)  # a browser just started is slow
    read = page.get_by_role("button", name="Read", exact=True)
    if read.is_visible():
        read.tap()
    page.locator(".row-strip:visible .row-tap").first.tap(trial=True)  # waits until rows take taps


def marks_of(service: Any, planted: dict[str, Any]) -> list[dict[str, Any]]:
    """The marks that stand, by row and first position."""
    found: list[dict[str, Any]] = service.get(f"/blocks/{planted['block']}/marks")["marks"]
    return sorted((one for one in found if not one["withdrawn"]), key=lambda one: (one["row"], one["first"]))


def wait_for_marks(page: Page, service: Any, planted: dict[str, Any], count: int) -> list[dict[str, Any]]:
    """The outbox sends by itself: return the marks that stand once there are so many."""
    expect(page.get_by_text("All sent.").first).to_be_visible()
    for _ in range(50):
        found = marks_of(service, planted)
        if len(found) == count:
            break
        page.wait_for_timeout(100)
    assert len(found) == count
    return found


def test_touches_and_seconds_from_a_cold_page_to_a_mark(
    tablet: Page, service: Any, planted: dict[str, Any], capsys: pytest.CaptureFixture[str]
) -> None:
    service.pair(tablet, planted["farm"], planted["crews"][0])  # a crew's own tablet asks for no crew
    tablet.add_init_script(COUNT_TOUCHES)
    figures: dict[str, tuple[int, float]] = {}

    def measured(name: str, row: int, *, block: bool, read: bool) -> None:
        begun = time.monotonic()
        tablet.goto(f"{service.address}/rows")
        if block:
            tablet.get_by_role("button", name="K1 ").tap()
        if read:
            tablet.get_by_role("button", name="Read", exact=True).tap()
        row_button(tablet, row).tap()
        expect(tablet.get_by_text(f"Marked: row {row},")).to_be_visible()
        figures[name] = (tablet.evaluate("window.touches"), time.monotonic() - begun)
        expect(strip(tablet, row)).to_contain_text("done")

    measured("first block of the season", 2, block=True, read=True)
    # the first time on another day: as the device's memory of the cautions has it, yesterday's are none
    tablet.evaluate("(block) => localStorage.removeItem(`orchardmap.cautioned.${block}`)", planted["block"])
    measured("first mark of the day", 3, block=False, read=True)
    measured("later, from a cold page", 4, block=False, read=False)
    with capsys.disabled():
        for name, (touches, seconds) in figures.items():
            print(f"\n{name}: {touches} touches, {seconds:.1f} s", end="")
    assert [touches for touches, _ in figures.values()] == [3, 2, 1]
    # warm: one touch, from the touch to the row that shows pruned
    begun = time.monotonic()
    row_button(tablet, 1).tap()
    expect(strip(tablet, 1)).to_have_attribute("data-done", "true")
    with capsys.disabled():
        print(f"\none more row: 1 touch, {time.monotonic() - begun:.2f} s")
    assert [mark["row"] for mark in wait_for_marks(tablet, service, planted, 4)] == [1, 2, 3, 4]
    # nor does a small screen cost more than that one touch: nobody scrolls for what was read before
    tablet.set_viewport_size({"width": 640, "height": 400})
    tablet.evaluate("(block) => localStorage.removeItem(`orchardmap.cautioned.${block}`)", planted["block"])
    tablet.reload()
    expect(tablet.get_by_role("button", name="Read", exact=True)).to_be_in_viewport(ratio=1)
    expect(tablet.locator(".brief-cautions li").first).to_be_in_viewport()
    # in a language that nobody read them in on this tablet, cautions are read to their end: nothing lies over them
    tablet.locator(".brief").get_by_text("Español", exact=True).tap()
    read = tablet.get_by_role("button", name="Leído", exact=True)
    expect(read).not_to_be_in_viewport()
    read.scroll_into_view_if_needed()
    last, button = tablet.locator(".brief-cautions li").last.bounding_box(), read.bounding_box()
    assert last is not None
    assert button is not None
    assert last["y"] + last["height"] <= button["y"]
    read.tap()
    tablet.evaluate("(block) => localStorage.removeItem(`orchardmap.cautioned.${block}`)", planted["block"])
    tablet.reload()
    expect(read).to_be_in_viewport(ratio=1)  # they were, by now


def test_rows_stand_in_walking_order_and_know_the_end_the_crew_comes_from(
    tablet: Page, service: Any, planted: dict[str, Any]
) -> None:
    open_rows(tablet, service, planted)
    shown = tablet.locator(".row-strip:visible")
    assert shown.locator(".row-arrow").all_inner_texts() == ["→", "←", "→", "←"]
    row_button(tablet, 1).tap()
    expect(strip(tablet, 1)).to_contain_text("done")
    # row 2 is walked from its far end: one position further means one less
    tablet.get_by_role("button", name="Set how far the crew came in row 2", exact=True).focus()
    tablet.keyboard.press("Enter")
    field = tablet.get_by_label("Back to position")
    last = planted["rows"][2]
    expect(field).to_have_value(str(last))
    tablet.get_by_role("button", name="One position less").tap()
    expect(tablet.locator(".choosing")).to_have_text(f"Row 2, positions {last - 1} to {last}: 2 trees")
    # it can be turned, and the positions turn with it
    tablet.get_by_role("button", name="Began at the first end instead").tap()
    expect(tablet.locator(".choosing")).to_have_text(f"Row 2, positions 1 to {last - 1}: {last - 1} trees")
    tablet.get_by_role("button", name="Began at the far end instead").tap()
    tablet.get_by_role("button", name="Mark pruned").tap()
    expect(strip(tablet, 2)).to_contain_text(f"2 of {last}")
    # the crew starts on the other side of the block
    tool(tablet, "Walk")
    tablet.get_by_label("First row").fill("4")
    tablet.get_by_label("First row").press("Enter")
    tablet.get_by_label("go down").check()
    tablet.get_by_label("north (far end)").check()  # the rows of this block run north
    tablet.get_by_label("both rows of an alley").check()
    tablet.get_by_role("button", name="Walk like this").tap()
    walked = [("4", "←"), ("3", "←"), ("2", "→"), ("1", "→")]

    def order() -> list[tuple[str, str]]:
        numbers = tablet.locator(".row-strip:visible .row-number").all()
        texts = [number.inner_text() for number in numbers]
        return [(re.findall(r"\d+", text)[0], text.strip()[-1]) for text in texts]

    assert order() == walked
    # kept for the block; and the list begins at the next row to prune
    row_button(tablet, 4).tap()
    expect(strip(tablet, 4)).to_contain_text("done")
    tablet.reload()
    tablet.locator(".row-strip:visible .row-tap").first.tap(trial=True)
    assert order() == walked[1:]
    tablet.get_by_role("button", name="1 finished row before").tap()
    assert order() == walked
    wait_for_marks(tablet, service, planted, 3)


def test_several_rows_at_once_leave_out_what_others_have_and_are_undone_at_once_after_a_restart(
    tablet: Page, service: Any, planted: dict[str, Any]
) -> None:
    open_rows(tablet, service, planted, crew=1)
    tablet.get_by_role("button", name="Set how far the crew came in row 3", exact=True).focus()
    tablet.keyboard.press("Enter")
    tablet.get_by_label("Up to position").fill("6")
    tablet.get_by_label("Up to position").press("Enter")
    tablet.get_by_role("button", name="Mark pruned").tap()
    expect(tablet.get_by_text("Marked: row 3, positions 1 to 6")).to_be_visible()
    open_rows(tablet, service, planted, crew=0)
    row_button(tablet, 1).tap()
    expect(strip(tablet, 1)).to_contain_text("done")
    tool(tablet, "By number")
    type_rows(tablet, "1", "to", "9")
    rows = planted["rows"]
    left = rows[2] + rows[3] - 6 + rows[4]
    panel = tablet.locator(".by-number")
    expect(panel).to_contain_text(f"3 rows, {left} trees to mark. Done already: row 1.")
    expect(panel).to_contain_text("Partly another crew's, left out: row 3.")
    expect(panel).to_contain_text("5 numbers are no rows of this block.")
    tablet.get_by_role("button", name="Mark 3 rows").tap()
    expect(tablet.get_by_text(f"Marked: rows 2 to 4: {left} trees.")).to_be_visible()
    found = [
        (mark["row"], mark["first"], mark["last"]) for mark in wait_for_marks(tablet, service, planted, 5)
    ]
    assert found == [(1, 1, rows[1]), (2, 1, rows[2]), (3, 1, 6), (3, 7, rows[3]), (4, 1, rows[4])]
    # out of the block, the browser's page gone and come back: the large undo is still the last touch
    tablet.get_by_role("button", name="Other block").tap()
    expect(tablet.get_by_role("button", name="K1 ")).to_be_visible()
    tablet.goto(f"{service.address}/rows?block={planted['block']}")
    tablet.get_by_role("button", name="Undo 3 rows: rows 2 to 4").tap()
    expect(tablet.get_by_text("Taken back: rows 2 to 4.")).to_be_visible()
    expect(strip(tablet, 3)).to_contain_text(f"6 of {rows[3]}")
    assert [mark["row"] for mark in wait_for_marks(tablet, service, planted, 2)] == [1, 3]
    # a typed number shows its row and marks nothing
    tool(tablet, "By number")
    type_rows(tablet, "4")
    tablet.get_by_role("button", name="Show the row").tap()
    expect(strip(tablet, 4)).to_have_attribute("data-found", "true")
    expect(strip(tablet, 4)).to_be_in_viewport()
    assert len(marks_of(service, planted)) == 2


def test_number_pad_stands_still_under_the_finger(
    tablet: Page, service: Any, planted: dict[str, Any]
) -> None:
    """Keys are tapped where they lay when the pad was opened: upright and across, with and without an undo in sight."""
    planted["block"] = plant_rows(service, planted, 20)
    open_rows(tablet, service, planted, crew=0)
    for with_undo in (False, True):
        if with_undo:
            row_button(tablet, 2).tap()
            expect(tablet.get_by_role("button", name="Undo row 2")).to_be_visible()
        for width, height in ((800, 1280), (1280, 800)):
            tablet.set_viewport_size({"width": width, "height": height})
            tool(tablet, "By number")
            keys: dict[str, Any] = {
                key: tablet.get_by_role("button", name=key, exact=True).bounding_box()
                for key in ("1", "2", "8", "to")
            }
            for key in ("1", "2", "to", "1", "8"):
                at = keys[key]
                tablet.touchscreen.tap(at["x"] + at["width"] / 2, at["y"] + at["height"] / 2)
            expect(tablet.locator(".pad-shown")).to_have_text("12 to 18")
            assert tablet.get_by_role("button", name="1", exact=True).bounding_box() == keys["1"]
            tool(tablet, "By number")


def test_blanks_and_pollinizers_are_in_the_strip_and_its_key(
    tablet: Page, service: Any, planted: dict[str, Any]
) -> None:
    path = f"/blocks/{planted['block']}/rows/2"
    service.post(path, {"blanks": [3, 4], "pollinizers": [10]}, method="PATCH")
    open_rows(tablet, service, planted)
    expect(tablet.locator(".strip-key")).to_contain_text("blank")
    expect(tablet.locator(".strip-key")).to_contain_text("pollinizer")
    expect(strip(tablet, 2)).to_contain_text(f"0 of {planted['rows'][2] - 3}")
    plain, gappy = (strip(tablet, n).locator(".strip-picture > svg").count() for n in (1, 2))
    assert (plain, gappy) == (
        1,
        1 + 2 + 1 + 1 + 1,
    )  # two signs of blanks, one of a pollinizer, three stretches


def test_crews_day_is_entered_corrected_and_begins_with_yesterdays(
    tablet: Page, service: Any, planted: dict[str, Any]
) -> None:
    open_rows(tablet, service, planted)
    row_button(tablet, 1).tap()
    row_button(tablet, 2).tap()
    expect(strip(tablet, 2)).to_contain_text("done")
    tool(tablet, "Knock-off")
    trees = planted["rows"][1] + planted["rows"][2]
    panel = tablet.locator(".knock-off")
    expect(panel).to_contain_text(f"Hollow: {trees} trees in 2 rows of K1.")
    for _ in range(3):
        tablet.get_by_role("button", name="One person more").tap()
    tablet.get_by_role("button", name="Half an hour less").tap()
    people = int(tablet.get_by_label("People").input_value())
    assert tablet.get_by_label("Hours each").input_value() == "7.5"
    expect(panel).to_contain_text(
        f"{trees / (people * 7.5):.1f}".rstrip("0").rstrip(".") + " trees per person-hour."
    )
    tablet.get_by_role("button", name="Enter the day").tap()
    expect(panel).to_contain_text(f"Entered: {people} people, 7.5 hours each.")
    tablet.get_by_role("button", name="One person less").tap()
    tablet.get_by_role("button", name="Correct the day").tap()
    expect(panel).to_contain_text(f"Entered: {people - 1} people, 7.5 hours each.")
    expect(tablet.get_by_text("All sent.").first).to_be_visible()
    at = f"/farms/{planted['farm']}/crew-days?day={planted['today']}&crew={planted['crews'][0]}"
    kept = service.get(at)["crew_days"]
    assert sorted((one["people"], one["standing"]) for one in kept) == [(people - 1, True), (people, False)]
    # read anew: the entry that stands, to be corrected
    tablet.get_by_role("button", name="Back", exact=True).tap()
    tool(tablet, "Knock-off")
    expect(panel).to_contain_text(f"Entered: {people - 1} people, 7.5 hours each.")
    expect(tablet.get_by_role("button", name="Correct the day")).to_be_enabled()


def test_position_suggests_and_decides_nothing(tablet: Page, service: Any, planted: dict[str, Any]) -> None:
    tablet.context.grant_permissions(["geolocation"], origin=service.address)
    # 6 m error; row 1 stands 2 m east of the side, the rows 5 m apart: 7.5 m is between rows 2 and 3
    tablet.context.set_geolocation({"longitude": 7.5 / 111_320, "latitude": 26 / 110_574, "accuracy": 6})
    open_rows(tablet, service, planted)
    tool(tablet, "By number")
    tablet.get_by_role("button", name="Where am I?").tap()
    panel = tablet.locator(".where")
    expect(panel).to_contain_text(
        re.compile(r"Within about 6 m: row \d(, \d)* or \d\. Tap the row you stand in")
    )
    assert tablet.locator(".row-strip[data-found='true']").count() == 0
    picks = panel.get_by_role("button").all_inner_texts()
    assert 2 <= len(picks) <= 4
    panel.get_by_role("button").first.tap()
    assert (
        tablet.locator(".row-strip[data-found='true'] .row-number").inner_text().split()[1]
        == picks[0].split()[1]
    )
    assert marks_of(service, planted) == []
    kept = tablet.evaluate("JSON.stringify({...localStorage})")
    assert "0.0000673" not in kept  # the longitude
    assert not re.search(r"6\.73\d*e-0?5", kept)
    tablet.context.set_geolocation({"longitude": 0.02, "latitude": 0.0, "accuracy": 6})
    tool(tablet, "By number")
    tablet.get_by_role("button", name="Where am I?").tap()
    expect(panel).to_contain_text("The position lies in no row of this block. Type the row's number.")
    tablet.context.clear_permissions()
    tablet.get_by_role("button", name="Where am I?").tap()
    expect(panel).to_contain_text("This tablet does not tell its position. Type the row's number.")
    expect(tablet.get_by_role("button", name="Where am I?")).to_be_hidden()  # no nagging
    type_rows(tablet, "3")
    tablet.get_by_role("button", name="Show the row").tap()
    expect(strip(tablet, 3)).to_have_attribute("data-found", "true")


# Chromium on Linux has no BarcodeDetector: the page is given one that reads what the test holds before the camera
READER = """window.BarcodeDetector = class {
  static async getSupportedFormats() { return ["qr_code"]; }
  async detect() { return window.held ? [{ rawValue: window.held }] : []; } };"""


def test_row_end_code_leads_to_its_row_and_is_not_offered_where_nothing_reads_codes(
    camera_tablet: Page, service: Any, camera_planted: dict[str, Any]
) -> None:
    open_rows(camera_tablet, service, camera_planted)
    tool(camera_tablet, "By number")
    expect(camera_tablet.get_by_role("button", name="Where am I?")).to_be_visible()
    expect(camera_tablet.get_by_role("button", name="Scan the row end")).to_be_hidden()
    camera_tablet.add_init_script(READER)
    camera_tablet.context.grant_permissions(["camera"], origin=service.address)
    open_rows(camera_tablet, service, camera_planted)
    tool(camera_tablet, "By number")
    camera_tablet.get_by_role("button", name="Scan the row end").tap()
    live = camera_tablet.locator("video[data-live]")
    failed = camera_tablet.get_by_text("The camera is not to be had")
    expect(live.or_(failed)).to_be_visible(timeout=20_000)
    expect(live, failed.inner_text() if failed.is_visible() else "").to_be_visible()
    camera_tablet.evaluate("window.held = 'https://example.org/R/NOWHERE/3'")
    # a busy machine draws few pictures a second for the camera
    expect(camera_tablet.get_by_text("That code is no row end of this farm.")).to_be_visible(timeout=30_000)
    camera_tablet.evaluate("window.held = 'HTTPS://ORCHARD.LAN/R/K1/3'")
    expect(strip(camera_tablet, 3)).to_have_attribute("data-found", "true", timeout=30_000)
    expect(camera_tablet.locator("video")).to_have_count(0)
    assert marks_of(service, camera_planted) == []
