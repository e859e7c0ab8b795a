"""Checks in browser tests: rows to check, and the page that walks them."""

import re
from datetime import UTC, datetime
from typing import Any

from playwright.sync_api import Page, expect

from orchardmap.usecases.planting import new_id


def prune_row(service: Any, planted: dict[str, Any], row: int) -> None:
    now = datetime.now(UTC).isoformat()
    mark = {
        "id": new_id(),
        "season_id": planted["season"],
        "block_id": planted["block"],
        "row": row,
        "first": 1,
        "last": planted["rows"][row],
        "crew_id": planted["crews"][0],
        "day": planted["today"],
        "method": "ladder",
        "device_at": now,
    }
    service.post(f"/farms/{planted['farm']}/marks", {"sent_at": now, "marks": [mark]})


def open_checks(page: Page, service: Any, planted: dict[str, Any]) -> None:
    page.goto(f"{service.address}/checks?block={planted['block']}")


def go_on(page: Page, done: int, *, of: int = 20) -> None:
    """Save the tree, and wait for the next one."""
    page.locator(".walk-save").tap()
    expect(page.locator(".walk-progress")).to_have_text(re.compile(rf"^{done} of {of} trees"))
