"""The foreman's screen in the hand: upright and across, light and dark, right and left hand; sizes, contrast, axe."""

import re
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, expect

pytestmark = pytest.mark.browser

SIZES = {"portrait": (800, 1280), "landscape": (1280, 800)}
SMALL = """(least) => [...document.querySelectorAll("main button, main summary, main input, main select")]
  .filter((one) => one.checkVisibility() && !one.closest(".radio"))
  .map((one) => [one, one.getBoundingClientRect()])
  .filter(([, box]) => box.width > 0 && (box.height < least - 0.5 || box.width < least - 0.5))
  .map(([one, box]) => `${one.className} ${one.textContent}: ${box.width} x ${box.height}`)"""
"""Targets under 56 px each way; a radio button's own target is the line that it stands in."""
RADIOS = """(least) => [...document.querySelectorAll("main .radio")].filter((one) => one.checkVisibility())
  .map((one) => one.getBoundingClientRect().height).filter((height) => height < least - 0.5)"""
FAINT = """(least) => { const small = new Set();
  const walk = document.createTreeWalker(document.querySelector("main"), NodeFilter.SHOW_TEXT);
  while (walk.nextNode()) { const text = walk.currentNode, box = text.parentElement;
    if (text.data.trim() === "" || !box.checkVisibility() || box.closest(".unseen")) continue;
    const size = parseFloat(getComputedStyle(box).fontSize);
    if (size < least - 0.01) small.add(`${box.className} ${text.data}: ${size}`); }
  return [...small]; }"""


def open_rows(page: Page, service: Any, planted: dict[str, Any]) -> None:
    page.goto(f"{service.address}/rows")
    page.evaluate("(id) => localStorage.setItem('orchardmap.crew', id)", planted["crews"][0])
    page.goto(f"{service.address}/rows?block={planted['block']}")
    read = page.get_by_role("button", name="Read", exact=True)
    expect(read).to_be_visible()


def assert_fit_for_gloves(page: Page, where: str) -> None:
    assert page.evaluate(SMALL, 56) == [], where
    assert page.evaluate(RADIOS, 56) == [], where
    assert page.evaluate(FAINT, 18) == [], where
    wide = page.evaluate("[document.documentElement.scrollWidth, document.documentElement.clientWidth]")
    assert wide[0] <= wide[1], where  # nothing is to be pushed sideways


def tool(page: Page, name: str) -> None:
    page.locator(".bar-tools").get_by_role("button", name=name, exact=True).tap()


@pytest.mark.parametrize("light", ["light", "dark"])
@pytest.mark.parametrize("size", SIZES)
def test_every_tool_fits_the_hand_and_the_light(
    tablet: Page,
    service: Any,
    planted: dict[str, Any],
    picture: Callable[[Page, str], None],
    axe_findings: Callable[..., list[str]],
    size: str,
    light: Any,
) -> None:
    tablet.set_viewport_size({"width": SIZES[size][0], "height": SIZES[size][1]})
    tablet.emulate_media(color_scheme=light)
    open_rows(tablet, service, planted)
    name = f"tablet-{size}-{light}"

    def look(part: str) -> None:
        picture(tablet, f"{name}-{part}")
        assert_fit_for_gloves(tablet, f"{name} {part}")
        assert axe_findings(tablet) == [], part
        assert axe_findings(tablet, "color-contrast-enhanced") == [], part

    look("cautions")
    tablet.get_by_role("button", name="Read", exact=True).tap()
    tablet.get_by_role("button", name=re.compile(r"^Row 2\b")).tap()
    expect(tablet.get_by_text("Marked: row 2")).to_be_visible()
    look("rows")
    tool(tablet, "By number")
    for key in ("1", "to", "4"):
        tablet.get_by_role("button", name=key, exact=True).tap()
    expect(tablet.get_by_role("button", name="Mark 3 rows")).to_be_visible()
    look("by-number")
    tool(tablet, "Walk")
    look("walk")
    tool(tablet, "Knock-off")
    expect(tablet.get_by_text("26 trees in 1 row of K1")).to_be_visible()
    look("knock-off")
    tool(tablet, "Tablet")
    tablet.get_by_label("right hand, left hand taps").check()
    look("tablet")
    tool(tablet, "Tablet")
    # with the other hand number and tally change places, and the row is drawn as before
    numbers = tablet.locator(".row-number").first.bounding_box()
    ground = tablet.locator(".strip-ground").first.bounding_box()
    assert numbers is not None
    assert ground is not None
    assert numbers["x"] > ground["x"] + ground["width"] - 1
    tablet.get_by_role("button", name="Set how far the crew came in row 3", exact=True).press("Enter")
    look("left-part")
    bar, view = tablet.locator(".action-bar").bounding_box(), SIZES[size][1]
    assert bar is not None
    assert bar["y"] > view / 2, "the main controls lie in the lower half"
    mark = tablet.get_by_role("button", name="Mark pruned").bounding_box()
    assert mark is not None
    assert mark["x"] < SIZES[size][0] / 2
    # a choice of the tablet's own outlives the browser's wish and a reload
    tool(tablet, "Tablet")
    tablet.get_by_label("dark" if light == "light" else "light", exact=True).check()
    tablet.reload()
    expect(tablet.locator("html")).to_have_attribute("data-light", "night" if light == "light" else "day")
    expect(tablet.locator("html")).to_have_attribute("data-hand", "left")
