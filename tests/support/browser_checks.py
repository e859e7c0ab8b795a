"""Checks in browser tests: rows to check, and the page that walks them."""

import re
from typing import Any

from playwright.sync_api import Page, expect


def open_checks(page: Page, service: Any, planted: dict[str, Any]) -> None:
    page.goto(f"{service.address}/checks?block={planted['block']}")


def go_on(page: Page, done: int, *, of: int = 20) -> None:
    """Save the tree, and wait for the next one."""
    page.locator(".walk-save").tap()
    expect(page.locator(".walk-progress")).to_have_text(re.compile(rf"^{done} of {of} trees"))


def walk_order(page: Page, lot: dict[str, Any]) -> list[list[int]]:
    """Return a lot's drawn trees as this tablet walks them: a new walk begins at one end of the way or at the other."""
    drawn = [[tree["row"], tree["position"]] for tree in lot["trees"]]
    order = [tree for tree in lot["walk"] if tree in drawn]
    ends = [f"Row {row} Tree {position}" for row, position in (order[0], order[-1])]
    place = page.locator(".walk-where h2")
    expect(place).to_have_text(re.compile(f"^({'|'.join(ends)})$"))
    return order if " ".join(place.inner_text().split()) == ends[0] else order[::-1]
