"""The manager settles in the browser: overlaps, records set aside, crew-days entered twice; nothing is lost on the way."""

import re
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from playwright.sync_api import Locator, Page, expect

pytestmark = pytest.mark.browser


def new_id(number: int) -> str:
    """Return an id of a record; each test works on a farm of its own, and names its records apart."""
    return f"0198c000-0000-7000-8000-{number:012d}"


def mark(
    service: Any, planted: dict[str, Any], row: int, stretch: tuple[int, int], *, crew: int, id: str
) -> Any:
    now = datetime.now(UTC).isoformat()
    sent = {
        "id": id,
        "season_id": planted["season"],
        "block_id": planted["block"],
        "row": row,
        "first": stretch[0],
        "last": stretch[1],
        "crew_id": planted["crews"][crew],
        "day": planted["today"],
        "method": "ladder",
        "device_at": now,
    }
    return service.post(f"/farms/{planted['farm']}/marks", {"sent_at": now, "marks": [sent]})["outcomes"][0]


def runs_of(service: Any, planted: dict[str, Any], row: int) -> list[list[int]]:
    runs = service.get(f"/blocks/{planted['block']}/state?day={planted['today']}")["runs"]
    return [run[1:] for run in runs if run[0] == row]


def open_settling(page: Page, service: Any) -> None:
    page.goto(f"{service.address}/settling")
    expect(page.get_by_role("heading", name="To settle")).to_be_visible()
    expect(page.locator(".settling-counts")).not_to_have_text("Loading…")


def card(page: Page, title: str) -> Locator:
    return page.locator(".matter").filter(has=page.get_by_role("heading", name=title, exact=True))


def test_overlap_is_split_and_opens_again_when_a_later_mark_comes(
    tablet: Page,
    service: Any,
    planted: dict[str, Any],
    axe_findings: Callable[..., list[str]],
    picture: Callable[[Page, str], None],
) -> None:
    mark(service, planted, 1, (1, 20), crew=0, id=new_id(101))
    mark(service, planted, 1, (10, 26), crew=1, id=new_id(102))
    tablet.goto(service.address)
    tablet.locator(".needs-you").get_by_role("button", name="Settle").tap()  # the overview leads here
    one = card(tablet, "Block K1, row 1")
    expect(one).to_contain_text("Contested: positions 10 to 20, 11 trees.")
    expect(one).to_contain_text("Hollow claims positions 1 to 20; Thorn claims positions 10 to 26")
    assert axe_findings(tablet) == []

    one.get_by_role("button", name="Settle").tap()
    expect(one).to_contain_text("Choose first who pruned these trees.")
    one.get_by_text("Both: split at a position").tap()
    field = one.get_by_label("Second part begins at position")
    field.fill("14")
    field.press("Enter")
    expect(one).to_contain_text("Up to position 13: Hollow. From position 14: Thorn.")
    one.get_by_label("Note, optional").fill("asked both foremen")
    picture(tablet, "settling-split")
    one.get_by_role("button", name="Settle").tap()
    expect(one).to_contain_text(
        "Settled: positions 10 to 13 credited to Hollow; positions 14 to 20 credited to Thorn."
    )
    expect(tablet.locator(".settling-counts")).to_have_text("Nothing waits to be settled.")
    state = service.get(f"/blocks/{planted['block']}/state?day={planted['today']}")
    crews = [crew["name"] for crew in state["crews"]]
    credited = {
        position: crews[crew]
        for _, first, last, _, crew in state["runs"]
        for position in range(first, last + 1)
    }
    assert credited == {position: "Hollow" if position < 14 else "Thorn" for position in range(1, 27)}
    assert {kind for _, _, _, kind, _ in state["runs"]} == {1}

    mark(service, planted, 1, (12, 16), crew=0, id=new_id(103))
    tablet.get_by_role("button", name="Read again").tap(timeout=20_000)  # the screen follows the service
    again = card(tablet, "Block K1, row 1").first
    expect(again).to_contain_text("Re-opened. Settled")
    expect(again).to_contain_text("asked both foremen")
    expect(again.get_by_role("row").filter(has_text="came in since")).to_have_count(1)
    expect(again.get_by_role("row").filter(has_text="came in since")).to_contain_text("positions 12 to 16")
    assert axe_findings(tablet) == []


def test_lost_connection_keeps_choice_and_note_and_settles_once(
    tablet: Page, own_service: Any, own_planted: dict[str, Any], expected_trouble: list[str]
) -> None:
    expected_trouble.extend(["Failed to load resource", "net::ERR", "status of 502"])
    mark(own_service, own_planted, 2, (1, 12), crew=0, id=new_id(201))
    mark(own_service, own_planted, 2, (8, 26), crew=1, id=new_id(202))
    open_settling(tablet, own_service)
    one = card(tablet, "Block K1, row 2")
    one.get_by_text("Neither: credit nobody").tap()
    one.get_by_label("Note, optional").fill("nobody knows")

    # the service commits, and its answer is lost on the way
    def cut(route: Any) -> None:
        route.fetch()
        route.abort()

    tablet.route("**/settlements", cut, times=1)
    one.get_by_role("button", name="Settle").tap()
    expect(one).to_contain_text("Not settled yet: no answer from the service. Your choice is kept here")
    expect(one.get_by_label("Note, optional")).to_have_value("nobody knows")
    expect(one.get_by_label("Neither: credit nobody")).to_be_checked()
    one.get_by_role("button", name="Settle").tap()
    expect(one).to_contain_text("Settled: positions 8 to 12 credited to nobody.")
    assert own_service.get(f"/farms/{own_planted['farm']}/matters")["overlaps"] == []
    log = own_service.get(f"/blocks/{own_planted['block']}/log")
    assert [settlement[2:6] for settlement in log["settlements"]] == [[2, 8, 12, -1]]  # one, not two
    assert [run[:3] for run in runs_of(own_service, own_planted, 2)] == [[1, 7, 1], [8, 12, 1], [13, 26, 1]]


def test_record_set_aside_counts_or_is_left_out_and_two_contents_stand_side_by_side(
    tablet: Page, service: Any, planted: dict[str, Any], axe_findings: Callable[..., list[str]]
) -> None:
    now = datetime.now(UTC)
    closure = {
        "starts_at": (now - timedelta(hours=1)).isoformat(),
        "ends_at": (now + timedelta(hours=30)).isoformat(),
        "reason": "spray re-entry",
    }
    mark(service, planted, 4, (1, 9), crew=0, id=new_id(301))
    # the same id with other content: both are kept, and neither counts
    assert mark(service, planted, 4, (1, 12), crew=1, id=new_id(301))["outcome"] == "set_aside"
    assert mark(service, planted, 99, (1, 3), crew=0, id=new_id(302))["outcome"] == "set_aside"
    service.post(f"/blocks/{planted['block']}/closures", closure)
    assert mark(service, planted, 3, (5, 26), crew=0, id=new_id(303))["outcome"] == "set_aside"
    tablet.goto(service.address)
    expect(tablet.locator(".needs-you")).to_contain_text("3 records set aside")
    open_settling(tablet, service)
    expect(tablet.locator(".settling-counts")).to_have_text("3 records set aside")
    assert axe_findings(tablet) == []

    closed = card(tablet, "Mark, block K1, row 3")
    expect(closed).to_contain_text("the block was closed then")
    closed.get_by_role("button", name="Let it count").tap()
    expect(closed).to_contain_text("It counts from now on.")
    assert [run[:3] for run in runs_of(service, planted, 3)] == [[5, 26, 1]]

    nowhere = card(tablet, "Mark, block K1, row 99")
    expect(nowhere).to_contain_text("The block has no such row. Ask the foreman which row it was")
    expect(nowhere.get_by_role("button", name=re.compile("count"))).to_have_count(0)
    nowhere.get_by_role("button", name="Leave it out").tap()
    expect(nowhere).to_contain_text("It is left out; it stays stored.")

    twice = card(tablet, "Mark, block K1, row 4")
    expect(twice).to_contain_text("2 versions came in under one id.")
    for word in ("Positions", "Crew"):
        expect(twice.get_by_role("rowheader", name=f"{word} (differs)")).to_be_visible()
    expect(twice.get_by_role("rowheader", name="Row", exact=True)).to_be_visible()
    column = twice.get_by_role("row").filter(has_text="Positions").get_by_role("cell").all_inner_texts()
    wanted = column.index("positions 1 to 12") + 1
    twice.get_by_role("button", name=f"Let version {wanted} count").tap()
    expect(twice).to_contain_text("It counts from now on.")
    assert [run[:3] for run in runs_of(service, planted, 4)] == [[1, 12, 1]]
    expect(tablet.locator(".settling-counts")).to_have_text("Nothing waits to be settled.")


def test_of_crew_days_entered_twice_one_stands(tablet: Page, service: Any, planted: dict[str, Any]) -> None:
    now = datetime.now(UTC).isoformat()
    crew = planted["crews"][0]
    entered = [
        {
            "id": new_id(400 + people),
            "season_id": planted["season"],
            "crew_id": crew,
            "day": planted["today"],
            "people": people,
            "hours": 7.5,
            "method": "ladder",
            "device_at": now,
        }
        for people in (6, 5)
    ]
    at = f"/farms/{planted['farm']}/crew-days"
    service.post(at, {"sent_at": now, "crew_days": entered, "schema": 2})
    open_settling(tablet, service)
    twice = tablet.locator(".matter").filter(has_text="Hollow")
    twice.get_by_role("button", name="This one stands").tap()
    expect(twice).to_contain_text("Choose first the entry that stands.")
    twice.get_by_text("5 people, 7.5 hours each").tap()
    twice.get_by_role("button", name="This one stands").tap()
    expect(twice).to_contain_text("It stands; the others are left out and stay stored.")
    kept = service.get(f"{at}?day={planted['today']}&crew={crew}")["crew_days"]
    assert {one["people"]: one["standing"] for one in kept} == {6: False, 5: True}
    expect(tablet.locator(".settling-counts")).to_have_text("Nothing waits to be settled.")


def test_screen_says_what_it_is_for_and_works_by_keyboard(
    tablet: Page, service: Any, planted: dict[str, Any], axe_findings: Callable[..., list[str]]
) -> None:
    open_settling(tablet, service)
    expect(tablet.get_by_text("Here you settle what the rules cannot")).to_be_visible()
    expect(tablet.locator(".settling-counts")).to_have_text("Nothing waits to be settled.")
    assert axe_findings(tablet) == []
    for crew in (0, 1):
        mark(service, planted, 2, (3, 3), crew=crew, id=new_id(500 + crew))
    open_settling(tablet, service)
    one = card(tablet, "Block K1, row 2")
    expect(one.get_by_text("Both: split at a position")).to_have_count(0)  # one position cannot be split
    one.get_by_label("Hollow, all of them").focus()
    tablet.keyboard.press("ArrowDown")
    expect(one.get_by_label("Thorn, all of them")).to_be_checked()
    tablet.keyboard.press("Tab")
    tablet.keyboard.press("Tab")
    expect(one.get_by_role("button", name="Settle")).to_be_focused()
    tablet.keyboard.press("Enter")
    expect(one).to_contain_text("Settled: position 3 credited to Thorn.")
    state = service.get(f"/blocks/{planted['block']}/state?day={planted['today']}")
    assert state["crews"][state["runs"][0][4]]["name"] == "Thorn"
