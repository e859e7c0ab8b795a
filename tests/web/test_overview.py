"""The Overview in a browser: others' marks show by themselves, any day and crew is looked at by keyboard, and its address tells which."""

import re
from datetime import UTC, date, datetime, timedelta
from typing import Any

from playwright.sync_api import Page, Request, expect

from orchardmap.usecases.planting import new_id

# the promise of two seconds is measured by bench/live.py: here other tests run beside it
SOON_MS = 15_000
ROOM = """() => {
  const at = (selector) => document.querySelector(selector).getBoundingClientRect();
  const [map, table] = [at(".map-frame"), document.querySelector(".blocks .table-frame")];
  return { figures: at(".figures").bottom, map: (map.top + map.bottom) / 2, needs: at(".needs-you h2").bottom, wide: document.documentElement.scrollWidth,
    table: table.scrollWidth - table.clientWidth };
}"""


def mark(service: Any, planted: dict[str, Any], row: int, crew: int, days_ago: int) -> None:
    """Let somebody else mark a row."""
    now = datetime.now(UTC).isoformat()
    one = {
        "id": new_id(),
        "season_id": planted["season"],
        "block_id": planted["block"],
        "row": row,
        "first": 1,
        "last": planted["rows"][row],
        "crew_id": planted["crews"][crew],
        "day": (date.fromisoformat(planted["today"]) - timedelta(days_ago)).isoformat(),
        "method": "ladder",
        "device_at": now,
    }
    answer = service.post(f"/farms/{planted['farm']}/marks", {"sent_at": now, "marks": [one]})
    assert answer["outcomes"][0]["outcome"] == "taken", answer


def test_marks_show_by_themselves_and_any_day_and_crew_is_looked_at_by_keyboard(
    tablet: Page, service: Any, planted: dict[str, Any], axe_findings: Any
) -> None:
    rows, trees = planted["rows"], sum(planted["rows"].values())
    mark(service, planted, row=1, crew=0, days_ago=3)
    mark(service, planted, row=2, crew=1, days_ago=1)
    asked = 0

    def count(request: Request) -> None:
        nonlocal asked
        asked += request.url.endswith("/needs-today")

    tablet.on("request", count)
    tablet.goto(service.address)
    figures, total = tablet.locator(".figures"), tablet.locator(".blocks tfoot")
    expect(figures).to_contain_text(f"{rows[1] + rows[2]} of {trees} trees")
    expect(figures).to_contain_text("No season before this one to compare with.")
    # the days of the season are here: nothing is asked for while the slider moves
    slider = tablet.get_by_role("slider", name="Day shown")
    expect(slider).to_be_enabled()
    framed = tablet.locator(".map-frame").element_handle().content_frame()
    assert framed is not None
    framed.wait_for_function("() => window.orchardMap?.app?.overview !== undefined", polling=100)
    expect(tablet.get_by_text("Looking at quality")).to_be_hidden()
    assert asked == 1  # what waits was asked for once, though the days of the season came later

    # ten seconds: figures, half of the map and what waits are there without scrolling, on either side of a tablet
    for wide, high in ((1280, 800), (1024, 768), (800, 1280)):
        tablet.set_viewport_size({"width": wide, "height": high})
        room = tablet.evaluate(ROOM)
        assert max(room["figures"], room["map"], room["needs"]) < high, (wide, room)
        assert room["wide"] == wide
        assert room["table"] <= 0, (wide, room)
    tablet.set_viewport_size({"width": 1280, "height": 800})

    # somebody marks a row, and nobody touches this page
    mark(service, planted, row=3, crew=0, days_ago=0)
    expect(figures).to_contain_text(f"{rows[1] + rows[2] + rows[3]} of {trees} trees", timeout=SOON_MS)
    now = rows[1] + rows[2] + rows[3]
    framed.wait_for_function(
        f"() => window.orchardMap.app.overview.figures.pruned === {now}", timeout=SOON_MS, polling=100
    )

    # two days back by key, and the address tells it
    slider.focus()
    tablet.keyboard.press("ArrowLeft")
    tablet.keyboard.press("ArrowLeft")
    expect(figures).to_contain_text(f"{rows[1]} of {trees} trees")
    expect(figures).to_contain_text(re.compile(r"pruned · \d"))  # of which day
    then = date.fromisoformat(planted["today"]) - timedelta(2)
    expect(tablet).to_have_url(re.compile(rf"/\?day={then}$"))
    tablet.reload()
    expect(figures).to_contain_text(f"{rows[1]} of {trees} trees")
    tablet.get_by_role("button", name="Today").click()
    expect(figures).to_contain_text(f"{rows[1] + rows[2] + rows[3]} of {trees} trees")

    # one crew alone, on figures, table, map and in the address; a link to it shows the same
    tablet.get_by_label("Crew", exact=True).select_option(label="Thorn")
    expect(figures).to_contain_text(f"{rows[2]} trees pruned by Thorn")
    expect(total).to_contain_text(f"{rows[2]} trees by Thorn")
    expect(tablet.frame_locator(".map-frame").get_by_text("Trees pruned by Thorn.")).to_be_visible()
    tablet.goto(tablet.url)
    expect(figures).to_contain_text(f"{rows[2]} trees pruned by Thorn")
    assert axe_findings(tablet) == []
    tablet.get_by_role("button", name="Show everything").click()
    tablet.get_by_label("Find blocks").fill("nowhere")
    expect(tablet.get_by_text("No block has these words.")).to_be_visible()
    expect(total).to_contain_text("0 of 1 blocks")
