"""A file of sixty blocks, most of them other people's: one's own are found, what lies far off is asked, what to look at is named."""

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, expect

pytestmark = pytest.mark.browser

APRICOTS = Path("sample_geodata/apricot_blocks_catalonia.gpkg")

# a path without a length has no box: where it begins, on the page
WHERE = """(path) => { const { x, y } = path.getPointAtLength(0).matrixTransform(path.getScreenCTM()); return { x, y }; }"""


def test_own_blocks_are_found_in_a_long_file_and_far_ones_wait_for_a_word(
    tablet: Page,
    service: Any,
    planted: dict[str, Any],
    picture: Callable[[Page, str], None],
    axe_findings: Callable[..., list[str]],
) -> None:
    tablet.goto(f"{service.address}/set-up")
    tablet.get_by_label("Choose a file").set_input_files(APRICOTS)
    blocks, foot = tablet.locator(".block-list"), tablet.locator(".import-total")
    lines = blocks.locator("li:visible")
    expect(lines).to_have_count(60)
    # area and what the file says of it stand beside the code; "Block 1" is nobody's name
    expect(lines.first).to_contain_text(re.compile(r"B1 0\.69 ha · HOSTALETS DE PIEROLA \(ELS\) · Anoia"))
    expect(tablet.locator(".block-form").get_by_label("Name", exact=True)).to_have_value("")
    expect(blocks.get_by_role("button", name="Take all 60 blocks")).to_be_visible()
    picture(tablet, "sixty-blocks")
    blocks.get_by_role("button", name="Leave out all 60 blocks").click()
    expect(blocks.get_by_role("checkbox", checked=True)).to_have_count(0)
    expect(tablet.get_by_role("button", name="Take these blocks")).to_be_disabled()
    find = tablet.get_by_label("Find blocks")
    find.fill("penedes torrelles")  # in the file: Torrelles de Foix, Alt Penedès
    some = lines.count()
    assert 0 < some < 60
    take_shown = blocks.get_by_role("button", name=f"Take the {some} shown")
    box = take_shown.bounding_box()
    assert box is not None
    assert box["height"] >= 56
    take_shown.focus()
    tablet.keyboard.press("Enter")
    find.fill("nowhere")
    expect(blocks.get_by_text("No block of the file has these words.")).to_be_visible()
    find.fill("")
    expect(blocks.get_by_role("checkbox", checked=True)).to_have_count(some)

    # the planted farm lies on the equator
    far = tablet.locator(".far-ask")
    expect(far).to_contain_text(re.compile(r"4,[5-7]00 km from the farm's others: B"))
    picture(tablet, "far-blocks")
    blocks.locator("li:visible").filter(has=tablet.get_by_role("checkbox", checked=True)).first.locator(
        ".draft-choice"
    ).click()
    tablet.get_by_label("Row spacing, m", exact=True).fill("5")
    tablet.get_by_label("Tree to tree in the row, m").fill("3")
    tablet.get_by_role("button", name="along the longest edge").click()
    expect(tablet.locator(".plan-result")).to_contain_text("Headland 0: the rows run to the outline.")
    tablet.get_by_label("Headland, m").fill("6")
    tablet.get_by_role("button", name="Use these numbers for all blocks").click()
    expect(foot).to_contain_text(re.compile(rf"^{some} blocks?, "))
    expect(tablet.locator(".plan-result")).not_to_contain_text("Headland 0")
    # the foot counts and names the blocks that carry the word
    marked = blocks.locator("li:visible:has(.look-at) strong").all_inner_texts()
    assert marked
    expect(foot).to_contain_text(f"{len(marked)} block")
    expect(foot).to_contain_text(f"to look at: {', '.join(marked[:6])}")
    expect(foot).to_contain_text("Say above whether the far blocks belong to this farm.")
    take = tablet.get_by_role("button", name="Take these blocks")
    expect(take).to_be_disabled()
    picture(tablet, "blocks-to-look-at")
    assert axe_findings(tablet) == []
    tablet.get_by_role("button", name="Show all blocks of the file").click()
    picture(tablet, "whole-file")
    dots = tablet.locator(".plan-dot")
    expect(dots).to_have_count(
        60
    )  # blocks of a few hectares in 150 km: nothing else could be seen or touched
    expect(tablet.locator(".plan-dot.faded")).to_have_count(60 - some)
    at = tablet.locator(".plan-label").all_text_contents().index("B1")
    tablet.locator(".plan-picture").scroll_into_view_if_needed()
    place = dots.nth(at + 1).evaluate(WHERE)  # the chosen one is drawn first
    tablet.touchscreen.tap(place["x"], place["y"])
    expect(blocks.locator(".draft-choice[aria-pressed=true] strong")).to_have_text("B1")
    expect(dots).to_have_count(0)
    far.get_by_label("Take into this farm all the same").check()
    take.click()
    expect(tablet.get_by_role("heading", name="Taken")).to_be_visible()
    held = service.get(f"/farms/{planted['farm']}/overview?day={planted['today']}")["blocks"]
    assert len(held) == 1 + some
