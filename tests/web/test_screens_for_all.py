"""Screens for gloves, sun, keyboards and telephones: target sizes, text size, contrast, axe, bars; and names that are not run."""

import re
from collections.abc import Callable
from dataclasses import dataclass, field
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


@pytest.fixture(scope="module")
def crew_tablet(shared_tablet: Page, shared_planted: dict[str, Any]) -> Page:
    """The shared tablet, which works for a crew."""
    crew = shared_planted["crews"][0]
    shared_tablet.add_init_script(
        f"if (self === top && origin !== 'null') localStorage.setItem('orchardmap.crew', '{crew}')"
    )
    return shared_tablet


@pytest.mark.parametrize("screen", ["rows", "checks"])
def test_tablet_screens_have_large_targets_text_and_contrast(
    crew_tablet: Page,
    service: Any,
    shared_planted: dict[str, Any],
    axe_findings: Callable[..., list[str]],
    screen: str,
) -> None:
    tablet = crew_tablet
    for address in (f"/{screen}", f"/{screen}?block={shared_planted['block']}"):
        tablet.goto(service.address + address)
        expect(tablet.locator(".block-choice, .row-strip, .tree-choice").first).to_be_visible()
        assert tablet.evaluate(TARGETS) == [], address
        assert tablet.evaluate(SMALL_TEXT) == [], address
        assert axe_findings(tablet, besides=("color-contrast-enhanced",)) == [], address


DESK = (
    "/", "/rows", "/checks", "/quality", "/settling", "/forecast", "/plan", "/briefs", "/timing", "/farms", "/people", "/set-up",
    *(f"/pay?part={part}" for part in ("run", "hours", "rules")),
)  # fmt: skip

OPENS_BY_WIDTH = ("/plan",)
"""How these open depends on how wide the window is then; others are laid out anew when it becomes narrower."""
FEWEST_STOPS, MOST_STOPS, AT_ONCE = 10, 120, 12
"""The menu alone has ten; how many keys come before it is asked whether the page has ended."""
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
# Each stop is judged when the next key comes, when what the one before scrolled stands where it will. The walk ends with the page,
# or where it comes round to its first stop, as it does when the browser gives the focus back; from then on the page holds the key.
WALK = f"""() => {{
  let begun = false, first = null;
  window.__walk = {{ found: [], stops: 0, ended: false }};
  const look = () => {{
    const at = document.activeElement;
    if (__walk.ended || (at === document.body && __walk.stops === 0)) return;
    if (at === document.body || at === first) return void (__walk.ended = true);
    // what lies in a frame is stopped at there
    if (at.tagName !== "IFRAME") first ??= at;
    __walk.stops += 1;
    const said = ({COVERED})();
    if (said !== null) __walk.found.push(said);
  }};
  const pressed = (event) => {{
    if (event.key !== "Tab") return;
    if (begun) look();
    begun = true;
    if (__walk.ended) event.preventDefault();
  }};
  addEventListener("keydown", pressed, true);
  __walk.over = () => {{ look(); removeEventListener("keydown", pressed, true); return __walk; }};
}}"""


def covered_stops(page: Page, back: bool) -> list[str]:
    """Hold the Tab key until the page ends and return what was covered where it stopped."""
    page.evaluate(WALK)
    if back:
        page.keyboard.down("Shift")
    for _ in range(MOST_STOPS // AT_ONCE):
        for _ in range(AT_ONCE):
            page.keyboard.down("Tab")
        if page.evaluate("() => __walk.ended"):
            break
    page.keyboard.up("Tab")
    if back:
        page.keyboard.up("Shift")
    seen = page.evaluate("() => __walk.over()")
    assert seen["stops"] >= FEWEST_STOPS, f"the key stopped at {seen['stops']} places only: {page.url}"
    found: list[str] = seen["found"]
    return found


def sideways(page: Page, wide: int) -> int:
    """Return by how many pixels a page is wider than a telephone."""
    page.set_viewport_size({"width": wide, "height": 780})
    # a service in a house has a longer name than this one
    page.evaluate(
        """() => { for (const one of document.querySelectorAll("main p, main li"))
        if (one.childElementCount === 0 && one.textContent.includes(location.origin))
          one.textContent = one.textContent.replace(location.origin, "https://orchard-tablet-service.fritz.box:8420"); }"""
    )
    # two frames: what looks after its own width has drawn itself anew
    page.evaluate("() => new Promise((drawn) => requestAnimationFrame(() => requestAnimationFrame(drawn)))")
    return int(page.evaluate("document.documentElement.scrollWidth")) - wide


def opened_desk(page: Page, address: str) -> None:
    """Open a screen, and wait until what it asks the service for is there."""
    page.goto(address)
    expect(page.locator("main :is(h1, h2)").first).to_be_visible()
    expect(page.get_by_text("Loading")).to_have_count(0, timeout=30_000)


@dataclass
class Seen:
    """What was found on the screens of a manager, each opened once and looked at in three ways."""

    by_axe: dict[str, list[str]] = field(default_factory=dict)
    covered: list[str] = field(default_factory=list)
    sideways: list[str] = field(default_factory=list)
    """Where a page is wider than a telephone, and by how much."""


@pytest.fixture(scope="module")
def seen(
    crew_tablet: Page, service: Any, shared_planted: dict[str, Any], axe_findings: Callable[..., list[str]]
) -> Seen:
    found = Seen()
    size = crew_tablet.viewport_size
    assert size is not None
    most_at_the_foot = [
        f"/{screen}?block={shared_planted['block']}" for screen in ("set-up", "rows", "checks")
    ]
    for address in (*DESK, *most_at_the_foot):
        opened_desk(crew_tablet, service.address + address)
        if address in DESK:
            found.by_axe[address] = axe_findings(crew_tablet)
        for back in (False, True):
            key = "Shift+Tab" if back else "Tab"
            found.covered += [f"{address}, {key}: {said}" for said in covered_stops(crew_tablet, back)]
        for wide in (360, 390) if address in DESK else ():
            if address in OPENS_BY_WIDTH:
                crew_tablet.set_viewport_size({"width": wide, "height": 780})
                opened_desk(crew_tablet, service.address + address)
            if (over := sideways(crew_tablet, wide)) > 0:
                found.sideways.append(f"{address} at {wide}: {over} px")
        crew_tablet.set_viewport_size(size)
    return found


def test_desk_screens_have_no_axe_findings(seen: Seen) -> None:
    """Every screen of a manager, once what it asks the service for is there."""
    assert list(seen.by_axe) == list(DESK)
    assert {address: said for address, said in seen.by_axe.items() if said} == {}


def test_no_screen_scrolls_sideways_on_a_telephone(seen: Seen) -> None:
    """WCAG 2.2, 1.4.10, on the narrowest telephones that are common: nothing but tables and plans, which scroll by themselves."""
    assert not seen.sideways, "\n".join(seen.sideways)


def test_no_bar_covers_what_the_keyboard_stands_on(seen: Seen) -> None:
    """WCAG 2.2, 2.4.11 and 2.4.12: every screen of a manager, forwards and backwards, and the three that have the most at their foot: a block's ground, rows and checks."""
    assert not seen.covered, "\n".join(seen.covered)


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
