"""The main path by hand, in a real browser, on real apple blocks: from an empty service to a map that shows the work."""

import re
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Locator, Page, expect

pytestmark = pytest.mark.browser

APPLE_BLOCKS = "sample_geodata/apple_blocks_california.geojson"
"""Six real apple blocks; source and licence stand in sample_geodata."""


def row_button(page: Page, number: int) -> Locator:
    return page.get_by_role("button", name=re.compile(rf"^Row {number}\b"))


def set_the_farm_up(page: Page, address: str) -> None:
    page.goto(address)
    page.get_by_label("Name of the farm").fill("Quernstone Orchard")
    page.get_by_label("Time zone").fill("America/Los_Angeles")
    page.get_by_role("button", name="Make the farm").click()
    expect(page.get_by_role("heading", name="Set-up")).to_be_visible()
    season = page.locator("section.name-list", has=page.get_by_role("heading", name="Season"))
    season.get_by_label("Name").fill("Winter")
    year = int(season.get_by_label("Opens on").input_value()[:4])
    season.get_by_label("Must finish on").fill(f"{year + 1}-12-20")
    season.get_by_role("button", name="Open the season").click()
    expect(page.get_by_text("Winter ·")).to_be_visible()
    page.get_by_label("Name of the crew").fill("Hollow")
    page.get_by_role("button", name="Add the crew").click()
    expect(page.get_by_text("Hollow, ladder")).to_be_visible()


def load_the_blocks(page: Page) -> None:
    page.get_by_label("Choose a file").set_input_files(APPLE_BLOCKS)
    expect(page.get_by_text("6 blocks can be taken.")).to_be_visible()
    page.get_by_label("Row spacing, m", exact=True).fill("4,5")
    page.get_by_label("Tree to tree in the row, m").fill("1.8")
    page.get_by_role("button", name="along the longest edge").click()
    expect(page.locator(".plan-count")).to_contain_text("rows")
    page.get_by_role("button", name="Click two points along row 1").click()
    plan = page.locator(".plan-picture").bounding_box()
    assert plan is not None
    for x_share, y_share, said in (
        (0.35, 0.3, "Now click the other end"),
        (0.6, 0.6, "Row 1 is set by two points"),
    ):
        page.mouse.click(plan["x"] + x_share * plan["width"], plan["y"] + y_share * plan["height"])
        expect(page.get_by_text(said)).to_be_visible()
    # the bearing that the form shows is the clicked one, not the edge's that was chosen before
    clicked = re.search(r"\((\d+(?:\.\d)?) degrees\)", page.locator(".points").first.inner_text())
    assert clicked is not None
    assert float(page.get_by_label("Bearing of rows, degrees").input_value()) == pytest.approx(
        float(clicked[1]), abs=0.06
    )
    page.get_by_role("button", name="Use these numbers for all blocks").click()
    expect(page.get_by_text("Row 1 as clicked belongs to this block alone")).to_be_visible()
    expect(page.locator(".import-total")).to_contain_text("6 blocks,")
    page.get_by_role("button", name="Take these blocks").click()
    expect(page.get_by_role("heading", name="Taken")).to_be_visible()
    expect(page.locator(".block-links li")).to_have_count(6)
    expect(page.get_by_text("No block yet")).to_have_count(0)


def mark_one_row_and_a_part(page: Page) -> None:
    page.get_by_role("button", name="Go to Rows").tap()
    page.get_by_role("button", name="Hollow", exact=True).tap()
    page.get_by_role("button", name="B1 ").tap()
    page.get_by_role("button", name="Read", exact=True).tap()
    row_button(page, 1).tap()
    expect(page.get_by_text("Marked: row 1, positions 1 to ")).to_be_visible()
    drag_handle(page, row=2, share=0.4)  # walked from its far end: the crew comes back
    page.get_by_role("button", name="One position less").tap()
    page.get_by_role("button", name="Mark pruned").tap()
    expect(page.get_by_text("Marked: row 2, positions ")).to_be_visible()
    expect(page.get_by_text(re.compile(r"^All sent\."))).to_be_visible()


def drag_handle(page: Page, *, row: int, share: float) -> None:
    strip = page.locator(".row-strip").nth(row - 1)
    strip.scroll_into_view_if_needed()
    strip.locator(".row-tap").tap(trial=True)  # waits until rows take taps
    handle, ground = (
        strip.locator(".row-handle").bounding_box(),
        strip.locator(".strip-ground").bounding_box(),
    )
    assert handle is not None
    assert ground is not None
    middle = handle["y"] + handle["height"] / 2
    page.mouse.move(handle["x"] + handle["width"] / 2, middle)
    page.mouse.down()
    page.mouse.move(ground["x"] + share * ground["width"], middle, steps=5)
    page.mouse.up()


def check_one_tree(page: Page) -> None:
    page.get_by_role("link", name="Checks").tap()
    page.get_by_role("button", name="One position on").tap()
    page.get_by_label("Note").fill("stub left")
    page.get_by_role("button", name="Faulty").tap()
    expect(page.get_by_text("Saved: row 1, position 2, faulty.")).to_be_visible()
    expect(page.get_by_text("Row 1, position 2").last).to_be_visible()


@pytest.mark.parametrize("size", [(1280, 800), (1440, 900)], ids=["tablet", "desk"])
def test_main_path_from_empty_service_to_map(
    tablet: Page,
    own_service: Any,
    picture: Callable[[Page, str], None],
    axe_findings: Callable[..., list[str]],
    size: tuple[int, int],
) -> None:
    tablet.set_viewport_size({"width": size[0], "height": size[1]})
    steps: list[tuple[str, Callable[[], None]]] = [
        ("set-up", lambda: set_the_farm_up(tablet, own_service.address)),
        ("taken", lambda: load_the_blocks(tablet)),
        ("rows", lambda: mark_one_row_and_a_part(tablet)),
        ("checks", lambda: check_one_tree(tablet)),
    ]
    for name, step in steps:
        step()
        picture(tablet, f"{name}-{size[0]}")
        assert axe_findings(tablet) == [], name
    farm = own_service.get("/farms")["farms"][0]
    figures = own_service.get(f"/farms/{farm['id']}/overview?day={farm['today']}")["figures"]
    assert 0 < figures["pruned"] < figures["trees"]
    assert (figures["rows_done"], figures["checked"], figures["faulty"]) == (1, 1, 1)

    tablet.get_by_role("link", name="Overview").click()
    shown = tablet.locator(".figures")
    expect(shown).to_contain_text(f"{figures['pruned']:,} of {figures['trees']:,} trees.")
    expect(shown).to_contain_text(f"{figures['trees_left']:,} trees left")
    expect(shown).to_contain_text("0 of the 1 tree checked;")
    assert framed_map(tablet) == {"pruned": figures["pruned"], "checked": 1, "blocks": 6}
    picture(tablet, f"overview-{size[0]}")
    assert axe_findings(tablet) == []


def framed_map(page: Page) -> Any:
    """Return what the map in its frame has drawn from, once it is drawn."""
    frame = page.locator("iframe.map-frame").element_handle().content_frame()
    assert frame is not None
    # a frame below the fold draws nothing, and is never told that it may
    frame.wait_for_function(
        "() => window.orchardMap && orchardMap.app && orchardMap.app.overview", polling=100
    )
    return frame.evaluate(
        """() => { const {figures, blocks} = orchardMap.app.overview;
        return {pruned: figures.pruned, checked: figures.checked, blocks: blocks.length}; }"""
    )


def test_partial_row_stops_where_the_crew_stopped(
    tablet: Page, service: Any, planted: dict[str, Any]
) -> None:
    # the strip on the screen and the state in the service name the same last tree
    tablet.goto(f"{service.address}/rows?block={planted['block']}")
    tablet.get_by_role("button", name="Pick the crew").tap()
    tablet.get_by_role("button", name="Hollow", exact=True).tap()
    tablet.get_by_role("button", name="Read", exact=True).tap()
    drag_handle(tablet, row=3, share=0.5)
    last = int(tablet.locator(".action-bar .stepper-value").input_value())
    assert 1 < last < planted["rows"][3]
    tablet.get_by_role("button", name="One position more").tap()
    tablet.get_by_role("button", name="Mark pruned").tap()
    expect(tablet.get_by_text(f"Marked: row 3, positions 1 to {last + 1}: {last + 1} trees.")).to_be_visible()
    expect(tablet.get_by_text(re.compile(r"^All sent\."))).to_be_visible()
    runs = service.get(f"/blocks/{planted['block']}/state?day={planted['today']}")["runs"]
    assert [run[:4] for run in runs] == [[3, 1, last + 1, 1]]
    expect(tablet.locator(".row-strip").nth(2)).to_contain_text(f"{last + 1} of {planted['rows'][3]}")
