"""Where the keyboard stands can be seen: no bar at the edge of a page covers what has the focus (WCAG 2.2, 2.4.11 and 2.4.12)."""

from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.web.test_screens_for_all import DESK

pytestmark = pytest.mark.browser

MOST_STOPS = 120
# what covers a corner or the middle of what has the focus: something at an edge of the page that it is not itself part of
COVERED = """() => {
  const it = document.activeElement;
  if (it === document.body || it.matches("iframe, .skip")) return null;
  const {left, top, right, bottom} = (it.closest("label") ?? it).getBoundingClientRect();
  const name = (it.getAttribute("aria-label") ?? (it.textContent || it.id)).slice(0, 60);
  const points = [[(left + right) / 2, (top + bottom) / 2], [left + 4, top + 4], [right - 4, top + 4], [left + 4, bottom - 4], [right - 4, bottom - 4]];
  for (const [x, y] of points) {
    let over = document.elementFromPoint(x, y);
    if (over === null) return `out of sight: ${name} at ${x.toFixed(0)}, ${y.toFixed(0)}`;
    for (; over !== null && !over.contains(it) && !it.contains(over); over = over.parentElement) {
      if (["fixed", "sticky"].includes(getComputedStyle(over).position)) return `${over.className} covers: ${name}`;
    }
  }
  return null;
}"""


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


def test_no_bar_covers_what_the_keyboard_stands_on(
    tablet: Page, service: Any, planted: dict[str, Any]
) -> None:
    """Every screen of a manager, forwards and backwards, and the two that have the most at their foot: a block's ground and its rows."""
    tablet.goto(f"{service.address}/")
    tablet.evaluate("(id) => localStorage.setItem('orchardmap.crew', id)", planted["crews"][0])
    found: list[str] = []
    for address in (*DESK, *(f"/{screen}?block={planted['block']}" for screen in ("set-up", "rows", "checks"))):
        tablet.goto(service.address + address)
        expect(tablet.locator("main :is(h1, h2)").first).to_be_visible()
        expect(tablet.get_by_text("Loading")).to_have_count(0, timeout=30_000)
        for key in ("Tab", "Shift+Tab"):
            found += [f"{address}, {key}: {said}" for said in covered_stops(tablet, key)]
    assert not found, "\n".join(found)
