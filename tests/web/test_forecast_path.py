"""The path of the finish forecast: what is missing is said, the season is short of people, some are added, and it is made."""

import re
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from orchardmap.usecases.planting import new_id

pytestmark = pytest.mark.browser

TREES_YESTERDAY = 2


def prune_yesterday(service: Any, farm: dict[str, Any]) -> None:
    """Mark two trees of a crew on the day before today; nobody said its hours."""
    now = datetime.now(UTC).isoformat()
    mark = {
        "id": new_id(),
        "season_id": farm["season"],
        "block_id": farm["block"],
        "row": 1,
        "first": 1,
        "last": TREES_YESTERDAY,
        "crew_id": farm["crews"][0],
        "day": (date.fromisoformat(farm["today"]) - timedelta(1)).isoformat(),
        "method": "ladder",
        "device_at": now,
    }
    answer = service.post(f"/farms/{farm['farm']}/marks", {"sent_at": now, "marks": [mark]})
    assert [one["outcome"] for one in answer["outcomes"]] == ["taken"]


def enter_what_is_missing(page: Page) -> None:
    """Enter the pace that is expected, and the hours of the day that has none: one person, two trees in eight hours."""
    page.get_by_role("button", name="Enter the expected pace").tap()
    page.get_by_label("Expected pace", exact=True).fill("0.25")
    page.get_by_role("button", name="Save").first.tap()
    expect(page.get_by_text("Saved. The forecast is reckoned again.")).to_be_visible()
    page.get_by_text("Crew-days: people and hours").tap()
    page.get_by_role("button", name=re.compile("^Enter the hours of Hollow")).tap()
    page.get_by_label("People", exact=True).fill("1")
    page.get_by_role("button", name="Enter it").tap()
    expect(page.get_by_text(re.compile(r"^Entered: Hollow, "))).to_be_visible()


def test_short_of_people_what_it_would_take_people_added_and_the_forecast_moves(
    tablet: Page,
    service: Any,
    planted_late: dict[str, Any],
    axe_findings: Callable[..., list[str]],
    picture: Callable[[Page, str], None],
) -> None:
    prune_yesterday(service, planted_late)
    tablet.goto(f"{service.address}/forecast")
    expect(tablet.get_by_text("Nothing can be forecast yet.")).to_be_visible()
    assert axe_findings(tablet) == []
    enter_what_is_missing(tablet)

    # a hundred trees at two a day: two weeks are far too short
    answer = tablet.locator(".forecast-answer")
    expect(answer).to_have_text(re.compile(r"; must finish .*: short by \d+ people for 9 in 10\.$"))
    short = int(re.findall(r"short by (\d+)", answer.inner_text())[0])
    takes = tablet.locator(".forecast-takes-lines")
    expect(takes).to_contain_text(f"{short} people more, from the next day on to the end.")
    tablet.get_by_role("radio", name="8 in 10").check()
    expect(takes).to_contain_text(re.compile(r"Or until .*, \d+ days of the calendar later\."))
    tablet.get_by_role("button", name="A week of rain").tap()
    expect(tablet.get_by_role("columnheader", name="The next 5 working days lost")).to_be_visible()
    expect(tablet.locator(".forecast-cases")).not_to_contain_text("Reckoning")
    assert (
        service.get(f"/farms/{planted_late['farm']}/strengths")["strengths"] == []
    )  # nothing of it is saved
    assert axe_findings(tablet) == []
    picture(tablet, "forecast")

    tablet.get_by_role("button", name="People of crews").tap()
    tablet.get_by_role("button", name="Add a span").tap()
    span = tablet.get_by_role("group", name="Span 1")
    # nobody has to say when a crew goes: whoever is entered stays until it is done
    expect(span.get_by_label("Last day")).to_have_value("")
    expect(span).to_contain_text("until the work is done")
    form = tablet.locator("details", has=tablet.get_by_text("People of crews", exact=True))
    span.get_by_label("People").fill("0")
    form.get_by_role("button", name="Save").tap()
    ends = tablet.locator(".forecast-ends")
    expect(ends).to_contain_text(re.compile(r"Nobody is entered for any day ahead: \d+ trees stay\."))
    picture(tablet, "forecast-ends")
    expect(takes).to_contain_text("A later date does not help as long as nobody is entered.")
    assert axe_findings(tablet) == []
    span.get_by_label("People").fill(str(10 * short))
    form.get_by_role("button", name="Save").tap()
    expect(answer).to_have_text(re.compile(r"; must finish .*: in time 9 times in 10\.$"))
    expect(ends).to_have_count(0)
    # as the overview's list leads there from a crew that nothing was heard from
    crew = planted_late["crews"][1]
    tablet.goto(f"{service.address}/forecast?crew={crew}")
    away = tablet.get_by_role("group", name="Span 2")
    expect(away.get_by_label("People")).to_have_value("0")
    expect(tablet).to_have_url(f"{service.address}/forecast")  # loaded again it would not be entered twice
    tablet.locator("details[open]").get_by_role("button", name="Save").tap()
    expect(tablet.get_by_text("Saved.")).to_be_visible()
    kept = service.get(f"/farms/{planted_late['farm']}/strengths")["strengths"]
    today = planted_late["today"]
    assert {"crew_id": crew, "first": today, "last": today, "people": 0} in kept
    tablet.goto(service.address)
    expect(tablet.get_by_role("link", name=re.compile("in time 9 times in 10"))).to_be_visible()
