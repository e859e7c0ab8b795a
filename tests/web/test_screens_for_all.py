"""Screens for gloves, sun and keyboards: target sizes, text size, contrast, axe; and names that are not run."""

import re
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from several_blocks import codes, opened, several_blocks

pytestmark = pytest.mark.browser

TARGETS = """() => [...document.querySelectorAll("button, a, input, select, summary, label.radio")]
  .filter((it) => it.checkVisibility() && !it.closest("label.radio, .skip") && !it.matches(".skip"))
  .map((it) => ({what: it.textContent || it.id, box: it.getBoundingClientRect()}))
  .filter(({box}) => box.width < 55.5 || box.height < 55.5)
  .map(({what, box}) => `${what} ${box.width.toFixed(0)} x ${box.height.toFixed(0)}`)"""
SMALL_TEXT = """() => { const walk = document.createTreeWalker(document.querySelector("main"), NodeFilter.SHOW_TEXT);
  const small = []; while (walk.nextNode()) { const {parentElement: it, textContent: text} = walk.currentNode;
  if (text.trim() && it.checkVisibility() && parseFloat(getComputedStyle(it).fontSize) < 18) small.push(text); }
  return small; }"""


@pytest.mark.parametrize("screen", ["rows", "checks"])
def test_tablet_screens_have_large_targets_text_and_contrast(
    tablet: Page,
    service: Any,
    planted: dict[str, Any],
    axe_findings: Callable[..., list[str]],
    screen: str,
) -> None:
    tablet.goto(f"{service.address}/{screen}")
    tablet.evaluate("(id) => localStorage.setItem('orchardmap.crew', id)", planted["crews"][0])
    for address in (f"/{screen}", f"/{screen}?block={planted['block']}"):
        tablet.goto(service.address + address)
        expect(tablet.locator(".block-choice, .row-strip, .tree-choice").first).to_be_visible()
        assert tablet.evaluate(TARGETS) == [], address
        assert tablet.evaluate(SMALL_TEXT) == [], address
        assert axe_findings(tablet, "color-contrast-enhanced") == [], address
        assert axe_findings(tablet) == [], address


DESK = (
    "/", "/rows", "/checks", "/quality", "/settling", "/forecast", "/plan", "/briefs", "/timing", "/farms", "/people", "/set-up",
    *(f"/pay?part={part}" for part in ("run", "hours", "rules")),
)  # fmt: skip

MOST_STOPS = 120
# what covers a corner or the middle of what has the focus: something at an edge of the page that it is not itself part of
COVERED = """() => {
  const it = document.activeElement;
  if (it === document.body || it.matches("iframe, .skip")) return null;
  const {left, top, right, bottom} = (it.closest("label") ?? it).getBoundingClientRect();
  if (bottom - top > 0.7 * innerHeight) return null;  // no bar hides it
  const name = (it.getAttribute("aria-label") ?? (it.textContent || it.id)).slice(0, 60);
  const points = [[(left + right) / 2, (top + bottom) / 2], [left + 4, top + 4], [right - 4, top + 4], [left + 4, bottom - 4], [right - 4, bottom - 4]]
    .filter(([x, y]) => x >= 0 && y >= 0 && x < innerWidth && y < innerHeight);
  if (points.length === 0) return `out of sight: ${name}`;
  for (const [x, y] of points) {
    let over = document.elementFromPoint(x, y);
    if (over === null) continue;
    for (; over !== null && !over.contains(it) && !it.contains(over); over = over.parentElement) {
      if (["fixed", "sticky"].includes(getComputedStyle(over).position)) return `${over.className} covers: ${name}`;
    }
  }
  return null;
}"""


def test_desk_screens_have_no_axe_findings(
    tablet: Page, service: Any, planted: dict[str, Any], axe_findings: Callable[..., list[str]]
) -> None:
    """Every screen of a manager, once what it asks the service for is there."""
    found = {}
    for address in DESK:
        tablet.goto(service.address + address)
        expect(tablet.locator("main :is(h1, h2)").first).to_be_visible()
        expect(tablet.get_by_text("Loading")).to_have_count(0, timeout=30_000)
        found[address] = axe_findings(tablet)
    assert {address: said for address, said in found.items() if said} == {}


def test_names_from_people_are_text_wherever_they_stand(tablet: Page, service: Any) -> None:
    name = "<img src=x onerror=window.__ran.push(1)>${window.__ran.push(2)}\"'`</script>"
    service.post("/farms", {"name": name, "time_zone": "UTC"})
    farm = next(one for one in service.get("/farms")["farms"] if one["name"] == name)
    tablet.add_init_script(f"localStorage.setItem('orchardmap.farm', '{farm['id']}')")
    at = f"/farms/{farm['id']}"
    year = int(farm["today"][:4])
    service.post(
        f"{at}/seasons",
        {"name": name, "opens_on": f"{year - 1}-09-01", "must_finish_on": f"{year + 1}-03-20"},
    )
    service.post(f"{at}/crews", {"name": name, "method": "ladder"})
    service.post(f"{at}/people", {"name": name, "role": "auditor"})
    service.post(f"{at}/varieties", {"name": name, "habit": "tip"})
    for address in ("/", "/rows", "/checks", "/set-up"):
        tablet.goto(service.address + address)
        expect(tablet.locator(".title-block")).to_contain_text(name)
        expect(tablet.locator("main :is(h1, h2)").first).to_be_attached()
        assert tablet.evaluate("window.__ran") == []
        assert tablet.locator("main img").count() == 0


def test_blocks_table_is_sorted_by_keyboard(tablet: Page, service: Any) -> None:
    """By code K2 stands before K10; by trees and by share the lines follow, either way."""
    farm = several_blocks(service, "Quernstone Sorted")
    marks = [("K1", 1), ("K1", 2), ("K2", 1)]
    assert [farm.mark(code, row, "Hollow") for code, row in marks] == ["taken"] * 3
    assert farm.mark("K10", 1, "Hollow", last=20) == "taken"
    opened(tablet, farm)
    assert codes(tablet) == ["K1", "K2", "K10"]
    sizes = {code: farm.trees(code) for code in farm.blocks}
    overview = service.get(f"/farms/{farm.farm}/overview")["blocks"]
    shares = {one["code"]: one["pruned"] / one["trees"] for one in overview}
    assert len(set(sizes.values())) == len(set(shares.values())) == 3
    for name, worth in (("Trees", sizes), ("Pruned", shares)):
        head = tablet.get_by_role("columnheader", name=re.compile(f"^{name}"))
        upwards = sorted(worth, key=lambda code: worth[code])
        assert upwards != ["K1", "K2", "K10"]
        tablet.get_by_role("button", name=name, exact=True).focus()
        tablet.keyboard.press("Enter")
        expect(head).to_have_attribute("aria-sort", "ascending")
        assert codes(tablet) == upwards
        tablet.keyboard.press("Space")
        expect(head).to_have_attribute("aria-sort", "descending")
        assert codes(tablet) == upwards[::-1]


def covered_stops(page: Page, key: str) -> list[str]:
    """Walk through a page by a key and return what was covered where it stopped."""
    found: list[str] = []
    for _ in range(MOST_STOPS):
        page.keyboard.press(key)
        said = page.evaluate(f"() => document.activeElement === document.body ? 'end' : ({COVERED})()")
        if said == "end":
            break
        if said is not None:
            found.append(said)
    return found


def test_no_screen_scrolls_sideways_on_a_telephone(
    tablet: Page, service: Any, planted: dict[str, Any]
) -> None:
    """WCAG 2.2, 1.4.10, on the narrowest telephones that are common: nothing but tables and plans, which scroll by themselves."""
    found = []
    for wide in (360, 390):
        tablet.set_viewport_size({"width": wide, "height": 780})
        for address in DESK:
            tablet.goto(service.address + address)
            expect(tablet.locator("main :is(h1, h2)").first).to_be_visible()
            expect(tablet.get_by_text("Loading")).to_have_count(0, timeout=30_000)
            # a service in a house has a longer name than this one
            tablet.evaluate(
                """() => { for (const one of document.querySelectorAll("main p, main li"))
                if (one.childElementCount === 0 && one.textContent.includes(location.origin))
                  one.textContent = one.textContent.replace(location.origin, "https://orchard-tablet-service.fritz.box:8420"); }"""
            )
            over = tablet.evaluate("document.documentElement.scrollWidth") - wide
            if over > 0:
                found.append(f"{address} at {wide}: {over} px")
    assert not found, "\n".join(found)


def test_no_bar_covers_what_the_keyboard_stands_on(
    tablet: Page, service: Any, planted: dict[str, Any]
) -> None:
    """WCAG 2.2, 2.4.11 and 2.4.12: every screen of a manager, forwards and backwards, and the three that have the most at their foot: a block's ground, rows and checks."""
    tablet.goto(f"{service.address}/")
    tablet.evaluate("(id) => localStorage.setItem('orchardmap.crew', id)", planted["crews"][0])
    found: list[str] = []
    for address in (
        *DESK,
        *(f"/{screen}?block={planted['block']}" for screen in ("set-up", "rows", "checks")),
    ):
        tablet.goto(service.address + address)
        expect(tablet.locator("main :is(h1, h2)").first).to_be_visible()
        expect(tablet.get_by_text("Loading")).to_have_count(0, timeout=30_000)
        for key in ("Tab", "Shift+Tab"):
            found += [f"{address}, {key}: {said}" for said in covered_stops(tablet, key)]
    assert not found, "\n".join(found)
