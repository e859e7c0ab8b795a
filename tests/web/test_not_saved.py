"""No false "safe": what this tablet's disk refuses says so and stays; what the disk has goes by itself and arrives once."""

import json
import re
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Locator, Page, expect

from browser_tablets import OVERVIEW_HERE
from browser_trouble import KILLED

pytestmark = pytest.mark.browser

NO_DISK = """
Object.defineProperty(window, "indexedDB", { get: () => ({ open() { throw new DOMException("denied", "SecurityError"); } }) });
"""


def row_button(page: Page, number: int) -> Locator:
    return page.get_by_role("button", name=re.compile(rf"^Row {number}\b"))


def row_strip(page: Page, number: int) -> Locator:
    return page.locator(".row-strip").nth(number - 1)


def open_rows(page: Page, service: Any, planted: dict[str, Any]) -> None:
    page.goto(f"{service.address}/rows")
    page.evaluate("(id) => localStorage.setItem('orchardmap.crew', id)", planted["crews"][0])
    page.goto(f"{service.address}/rows?block={planted['block']}")
    page.get_by_role("button", name="Read", exact=True).tap()


def marks_of(service: Any, planted: dict[str, Any]) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = service.get(f"/blocks/{planted['block']}/marks")["marks"]
    return found


def test_without_a_disk_nothing_is_called_safe_before_the_service_has_it(
    tablet: Page,
    own_service: Any,
    own_planted: dict[str, Any],
    expected_trouble: list[str],
    picture: Callable[[Page, str], None],
) -> None:
    expected_trouble += KILLED
    tablet.add_init_script(NO_DISK)
    open_rows(tablet, own_service, own_planted)
    row_button(tablet, 1).tap()
    expect(row_strip(tablet, 1)).to_contain_text("done")
    assert [mark["row"] for mark in marks_of(own_service, own_planted)] == [1]

    expect(tablet.locator(".queue-line")).to_contain_text(
        "All sent."
    )  # the page has heard so too: nothing of that moves any more
    own_service.kill()
    before = row_strip(tablet, 2).bounding_box()
    row_button(tablet, 2).tap()
    alert = tablet.get_by_role("alert").filter(has_text="NOT SAFE")
    expect(alert).to_contain_text("1 record is NOT SAFE: it is only on this open page.")
    expect(tablet.get_by_role("alert").filter(has_text="refuses to keep anything")).to_be_visible()
    expect(row_strip(tablet, 2)).to_contain_text("NOT safe")
    row_button(tablet, 2).tap()  # a second tap makes no second record
    expect(alert).to_contain_text("1 record is NOT SAFE")
    expect(tablet.locator(".queue-line")).not_to_contain_text("safe")
    # the banner stays in sight and moves nothing
    after = row_strip(tablet, 2).bounding_box()
    assert before is not None
    assert after is not None
    assert abs(after["y"] - before["y"]) < 1
    # a banner whose neighbour changes is not made anew: it would be read out again, and lose a touch begun on it
    refuses = tablet.get_by_role("alert").filter(has_text="refuses to keep anything")
    refuses.evaluate("box => { box.dataset.stood = '1' }")
    row_button(tablet, 3).tap()
    expect(alert).to_contain_text("2 records are NOT SAFE")
    expect(refuses).to_have_attribute("data-stood", "1")
    tablet.mouse.wheel(0, 2000)
    expect(alert).to_be_in_viewport()
    picture(tablet, "not-safe")
    # another language would load the page again, and lose it
    tablet.get_by_role("button", name="Español").tap()
    expect(tablet.locator(".announced")).to_contain_text("Keep this page open until they are sent")
    expect(alert).to_contain_text("2 records are NOT SAFE")

    own_service.start()
    expect(alert).to_have_count(0, timeout=60_000)
    expect(row_strip(tablet, 2)).to_contain_text("done")
    assert sorted(mark["row"] for mark in marks_of(own_service, own_planted)) == [1, 2, 3]


def test_full_disk_is_said_and_the_record_is_safe_once_there_is_room(
    tablet: Page, own_service: Any, own_planted: dict[str, Any], expected_trouble: list[str]
) -> None:
    expected_trouble += ["ERR_", "404 (Not Found)"]
    browser = tablet.context.new_cdp_session(tablet)
    tablet.goto(f"{own_service.address}/app/icon.svg")
    browser.send("Storage.overrideQuotaForOrigin", {"origin": own_service.address, "quotaSize": 1})
    open_rows(tablet, own_service, own_planted)
    own_service.kill()
    row_button(tablet, 2).tap()
    expect(tablet.get_by_role("alert").filter(has_text="NOT SAFE")).to_be_visible()
    expect(tablet.get_by_role("alert").filter(has_text="storage is full")).to_be_visible()
    browser.send("Storage.overrideQuotaForOrigin", {"origin": own_service.address})
    row_button(tablet, 3).tap()
    expect(tablet.locator(".queue-line")).to_contain_text("2 records wait on this tablet, safe.")
    expect(tablet.get_by_role("alert")).to_have_count(0)
    own_service.start()
    expect(tablet.locator(".queue-line")).to_contain_text("All sent.", timeout=60_000)
    assert sorted(mark["row"] for mark in marks_of(own_service, own_planted)) == [2, 3]


def test_answer_lost_on_the_way_back_does_not_make_two_marks(
    tablet: Page, own_service: Any, own_planted: dict[str, Any], expected_trouble: list[str]
) -> None:
    expected_trouble.append("ERR_FAILED")
    open_rows(tablet, own_service, own_planted)
    sent: list[str] = []

    def lose_answer(route: Any) -> None:
        sent.append(route.request.post_data_json["marks"][0]["id"])
        if len(sent) > 1:
            route.continue_()
            return
        route.fetch()  # the service takes the mark ...
        route.abort()  # ... and the tablet never hears of it

    tablet.route("**/api/farms/*/marks", lose_answer)
    row_button(tablet, 1).tap()
    expect(tablet.locator(".queue-line")).to_contain_text("1 record waits on this tablet, safe.")
    expect(tablet.locator(".queue-line")).to_contain_text("All sent.", timeout=60_000)
    assert len(set(sent)) == 1
    assert len(sent) >= 2
    assert len(marks_of(own_service, own_planted)) == 1
    figures = own_service.get(f"/farms/{own_planted['farm']}/overview?day={own_planted['today']}")["figures"]
    assert (figures["pruned"], figures["overlap_trees"]) == (own_planted["rows"][1], 0)


def test_what_the_service_does_not_count_is_listed_with_what_to_do_and_a_file(
    tablet: Page,
    own_service: Any,
    own_planted: dict[str, Any],
    expected_trouble: list[str],
    axe_findings: Callable[..., list[str]],
    picture: Callable[[Page, str], None],
) -> None:
    expected_trouble += ["ERR_FAILED", "422"]
    open_rows(tablet, own_service, own_planted)
    holding = [True]

    def hold_or_spoil(route: Any) -> None:
        if holding:
            route.abort()
            return
        body = route.request.post_data_json
        for mark in body["marks"]:
            if mark["row"] == 2:
                mark["first"] = "x"  # as a fault of the page would: the service can make nothing of it
        route.continue_(post_data=json.dumps(body))

    tablet.route("**/api/farms/*/marks", hold_or_spoil)
    for number in (1, 2):
        row_button(tablet, number).tap()
        expect(row_strip(tablet, number)).to_contain_text("done")
    # felling keeps everybody out of the block since yesterday: marks of today are set aside
    closure = {
        "starts_at": f"{own_planted['today']}T00:00:00Z",
        "ends_at": f"{own_planted['today'][:4]}-12-31T23:00:00Z",
        "reason": "felling",
    }
    own_service.post(f"/blocks/{own_planted['block']}/closures", closure)

    holding.clear()
    expect(tablet.locator(".queue-line")).to_contain_text(
        "1 record set aside: stored, not counted.", timeout=60_000
    )
    refused = tablet.get_by_role("alert").filter(
        has_text="1 record refused by the service; kept on this tablet."
    )
    refused.get_by_role("button", name="See why").tap()
    queue = tablet.get_by_role("dialog", name="What is on this tablet")
    expect(queue).to_contain_text(re.compile(r"Mark, K1 row 2, positions 1 to 26.*: .*integer"))
    expect(queue).to_contain_text(re.compile(r"Mark, K1 row 1, .*: the block was closed then"))
    picture(tablet, "queue")
    assert axe_findings(tablet) == []
    with tablet.expect_download() as download:
        queue.get_by_role("button", name="Save as a file").tap()
    saved = json.loads(download.value.path().read_text("utf-8"))
    assert {(one["record"]["row"], one["state"]) for one in saved["records"]} == {
        (1, "set_aside"),
        (2, "refused"),
    }
    queue.get_by_role("button", name="Understood").tap()
    expect(tablet.get_by_role("alert")).to_have_count(0)
    line = tablet.locator(".queue-line")
    expect(line).not_to_contain_text("set aside")
    expect(line).to_contain_text("1 record refused: not sent, kept here.")
    tablet.unroute("**/api/farms/*/marks")  # as an update of the pages mends it
    queue.get_by_role("button", name="Send the refused ones again").tap()
    expect(queue).not_to_contain_text("Refused by the service")
    queue.get_by_role("button", name="Close").tap()
    expect(line).to_contain_text("1 record set aside: stored, not counted.")
    expect(line).not_to_contain_text("All sent.")
    assert sorted(mark["row"] for mark in marks_of(own_service, own_planted)) == [1, 2]


def test_page_without_service_says_so_and_comes_back(
    tablet: Page, own_service: Any, expected_trouble: list[str]
) -> None:
    expected_trouble += KILLED
    tablet.goto(own_service.address)
    expect(tablet.get_by_label("Name of the farm")).to_be_visible()
    own_service.kill()
    tablet.get_by_label("Name of the farm").fill("Quernstone")
    tablet.get_by_role("button", name="Make the farm").click()
    expect(tablet.get_by_text("The service did not answer.")).to_be_visible()
    own_service.start()
    tablet.get_by_role("button", name="Make the farm").click()
    expect(tablet.get_by_role("heading", name="Set-up")).to_be_visible()


def test_after_an_outage_everything_goes_by_itself(
    tablet: Page, own_service: Any, own_planted: dict[str, Any], expected_trouble: list[str]
) -> None:
    expected_trouble += ["ERR_", "status of 503"]
    open_rows(tablet, own_service, own_planted)
    name = tablet.locator(".farm-name").inner_text()
    # what was never read cannot be shown: a slow machine had not read it yet when the service was killed
    tablet.wait_for_function(OVERVIEW_HERE)
    own_service.kill()
    for number in (1, 2, 3):
        row_button(tablet, number).tap()
        expect(row_strip(tablet, number)).to_contain_text("done")
    tablet.get_by_role("link", name="Overview").tap()
    # farm and screens stay, shown from the tablet with their age
    expect(tablet.locator(".figures")).to_be_visible()
    expect(tablet.locator(".farm-name")).to_have_text(name)
    expect(tablet.locator(".connection")).to_contain_text("No connection: shown as of")

    own_service.start()
    # nobody taps anything
    expect(tablet.locator(".queue-line")).to_contain_text("All sent.", timeout=60_000)
    expect(tablet.get_by_text("Connected.")).to_be_visible(timeout=20_000)
    assert sorted(mark["row"] for mark in marks_of(own_service, own_planted)) == [1, 2, 3]
