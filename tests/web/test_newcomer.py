"""A newcomer's first hour: what is asked is explained, suggested or folded away, and each step leads to the next."""

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, expect

pytestmark = pytest.mark.browser


def test_new_farm_leads_to_set_up_which_suggests_and_then_folds(
    tablet: Page, own_service: Any, picture: Callable[[Page, str], None]
) -> None:
    tablet.goto(own_service.address)
    tablet.get_by_label("Name of the farm").fill("Quernstone")
    zone = tablet.get_by_label("Time zone")
    zone.fill("Europe/Lndn")
    tablet.get_by_role("button", name="Make the farm").click()
    expect(tablet.get_by_text("This device knows no such time zone")).to_be_visible()
    assert own_service.get("/farms")["farms"] == []
    assert tablet.locator("#time-zones option[value='Europe/London']").count() == 1
    zone.fill("Europe/London")
    tablet.get_by_role("button", name="Make the farm").click()
    expect(tablet.get_by_role("heading", name="Set-up")).to_be_visible()

    season = tablet.locator("section.name-list").first
    expect(season.get_by_label("Name")).to_have_value(re.compile(r"^Winter \d{4}/\d\d$"))
    year = int(season.get_by_label("Opens on").input_value()[:4])
    season.get_by_label("Must finish on").fill(f"{year + 1}-12-20")
    expect(season.get_by_text(f"20 Dec {year + 1}")).to_be_visible()  # the day in words beside the field
    expect(tablet.get_by_text("Open the season")).to_have_count(1)
    season.get_by_role("button", name="Open the season").click()
    expect(tablet.get_by_text("Another season")).to_be_visible()
    for word in ("People", "Varieties"):
        expect(tablet.get_by_role("heading", name=f"{word}, optional")).to_be_visible()
    # what was typed once is corrected where it stands
    season.get_by_role("button", name=re.compile("^Correct Winter")).click()
    field = season.get_by_label("Must finish on").first
    field.fill(f"{year - 1}-01-01")
    season.get_by_role("button", name="Save").click()
    expect(season.get_by_text("Give a must-finish date after the opening date.")).to_be_visible()
    field.fill(f"{year + 1}-12-24")
    picture(tablet, "correct-season")
    season.get_by_role("button", name="Save").click()
    line = re.compile(rf"^Correct Winter .* to 24 Dec {year + 1}$")
    expect(season.get_by_role("button", name=line)).to_be_visible()
    tablet.get_by_label("Name of the crew").fill("Holow")
    tablet.get_by_role("button", name="Add the crew").click()
    tablet.get_by_role("button", name="Correct Holow, ladder").click()
    tablet.locator("li").get_by_label("Name of the crew").fill("Hollow")
    tablet.get_by_role("button", name="Save").click()
    expect(tablet.get_by_text("Hollow, ladder")).to_be_visible()
    tablet.get_by_role("button", name="Correct Hollow, ladder").click()
    tablet.locator("li").get_by_label("Method").select_option("platform")
    tablet.get_by_role("button", name="Save").click()
    expect(tablet.get_by_text("Hollow, platform")).to_be_visible()
    tablet.get_by_role("button", name=re.compile(r"^Correct .*, Europe\/London$")).click()
    own = tablet.locator("section.name-list").last
    own.get_by_label("Name of the farm").fill("Far Meadow")
    own.get_by_label("Time zone").fill("nowhere at all")
    own.get_by_role("button", name="Save").click()
    expect(own.get_by_text("This device knows no such time zone; pick one from the list.")).to_be_visible()
    own.get_by_label("Time zone").fill("Europe/Paris")
    own.get_by_role("button", name="Save").click()
    expect(own.get_by_text("Far Meadow, Europe/Paris")).to_be_visible()
    expect(tablet.get_by_role("banner")).to_contain_text("Far Meadow")
    picture(tablet, "corrected-farm")
    picture(tablet, "corrected")
    tablet.reload()
    expect(tablet.get_by_label("Choose a file")).to_be_attached()
    expect(tablet.get_by_text("Another season")).not_to_be_visible()  # filled in: the file comes first
    # the folded line goes on telling what is there
    folded = tablet.locator(".lists-folded > summary")
    expect(folded).to_contain_text("1 crew")
    folded.click()
    tablet.get_by_text("Another crew").click()
    tablet.get_by_label("Name of the crew").fill("Thorn")
    tablet.get_by_role("button", name="Add the crew").click()
    expect(folded).to_contain_text("2 crews")


def test_what_is_typed_into_the_next_form_while_one_is_saved_stays(tablet: Page, own_service: Any) -> None:
    own_service.post("/farms", {"name": "Quernstone", "time_zone": "Europe/London"})
    tablet.goto(f"{own_service.address}/set-up")
    held: list[Any] = []
    tablet.route("**/seasons", lambda route: held.append(route))
    season = tablet.locator("section.name-list").first
    season.get_by_label("Must finish on").fill("2099-12-20")
    season.get_by_role("button", name="Open the season").click()
    tablet.get_by_label("Name of the variety").fill("Ashm")
    crew = tablet.get_by_label("Name of the crew")
    crew.press_sequentially("Hol")
    while not held:
        tablet.wait_for_timeout(20)
    held.pop().continue_()
    expect(tablet.get_by_text("Another season")).to_be_visible()
    crew.press_sequentially("low")  # the keyboard stands where it stood
    expect(tablet.get_by_label("Name of the crew")).to_have_value("Hollow")
    expect(tablet.get_by_label("Name of the variety")).to_have_value("Ashm")
    tablet.keyboard.press("Enter")
    expect(tablet.get_by_text("Hollow, ladder")).to_be_visible()
    expect(tablet.get_by_label("Name of the crew")).to_have_value("")
    # a crew that is there now can be chosen of where nobody was filling in
    expect(tablet.get_by_label("Crew", exact=True).get_by_role("option", name="Hollow")).to_be_attached()


def test_file_is_brought_into_view_and_says_once_what_holds_for_all(
    tablet: Page, service: Any, planted: dict[str, Any]
) -> None:
    tablet.goto(f"{service.address}/set-up")
    tablet.get_by_label("Choose a file").set_input_files(
        Path("sample_geodata/apple_blocks_california.geojson")
    )
    expect(tablet.locator(".plan-picture")).to_be_in_viewport(ratio=0.9)
    expect(tablet.get_by_text("heights are left aside")).to_have_count(1)
    expect(tablet.get_by_text(re.compile(r"^6 blocks need answers \(B1, "))).to_be_visible()
    expect(tablet.get_by_label("Headland, m")).to_have_value("0")
    expect(tablet.get_by_text("Turning room at each row's end. 0: rows run to the outline.")).to_be_visible()
    expect(tablet.get_by_label("End offset, m")).not_to_be_visible()
    tablet.get_by_text("More: end offset").click()
    field = tablet.get_by_label("End offset, m")
    field.fill("x")
    tablet.get_by_role("button", name=re.compile("^B2")).click()
    tablet.get_by_role("button", name=re.compile("^B1")).click()
    expect(tablet.get_by_label("End offset, m")).to_be_visible()  # what is wrong does not lie folded
    # the arrow of a bearing points where its rows run
    button = tablet.locator("button.bearing").first
    turned = button.locator(".bearing-arrow").get_attribute("transform")
    assert turned is not None
    assert turned.removeprefix("rotate(").removesuffix(")") in button.inner_text()


def test_day_that_has_not_come_is_refused_on_the_overview(
    tablet: Page, service: Any, planted: dict[str, Any]
) -> None:
    tablet.goto(service.address)
    field = tablet.get_by_label("As of")
    expect(field).to_have_attribute("max", planted["today"])
    asked: list[str] = []
    tablet.on("request", lambda request: asked.append(request.url) if "overview" in request.url else None)
    field.fill(f"{int(planted['today'][:4]) + 1}-01-01")
    expect(tablet.get_by_text("That day has not come yet.")).to_be_visible()
    assert [url for url in asked if f"day={int(planted['today'][:4]) + 1}" in url] == []
