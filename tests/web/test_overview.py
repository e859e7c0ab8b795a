"""The Overview in a browser: others' marks show by themselves, any day and crew is looked at by keyboard, and its address tells which."""

import re
import sys
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import openpyxl
import pytest
import shapely
from playwright.sync_api import Page, Request, expect
from pyogrio import raw
from pyproj import Geod

from browser_marks import prune_row
from orchardmap.cli.main import run

# the promise of two seconds is measured by bench/live.py: here other tests run beside it
SOON_MS = 15_000
ROOM = """() => {
  const at = (selector) => document.querySelector(selector).getBoundingClientRect();
  const [map, table] = [at(".map-frame"), document.querySelector(".blocks .table-frame")];
  return { figures: at(".figures").bottom, map: (map.top + map.bottom) / 2, needs: at(".needs-you h2").bottom, wide: document.documentElement.scrollWidth,
    table: table.scrollWidth - table.clientWidth };
}"""


def test_marks_show_by_themselves_and_any_day_and_crew_is_looked_at_by_keyboard(
    tablet: Page, service: Any, planted: dict[str, Any], axe_findings: Any
) -> None:
    rows, trees = planted["rows"], sum(planted["rows"].values())
    prune_row(service, planted, row=1, crew=0, days_ago=3)
    prune_row(service, planted, row=2, crew=1, days_ago=1)
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
    prune_row(service, planted, row=3, crew=0, days_ago=0)
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
    waited = tablet.get_by_role("heading", name=re.compile("^Waited for you on "))
    expect(waited).to_be_visible()  # a day that is over asks for nothing any more
    tablet.get_by_role("button", name="Today").click()
    expect(figures).to_contain_text(f"{rows[1] + rows[2] + rows[3]} of {trees} trees")
    expect(tablet.get_by_role("heading", name="Needs you", exact=True)).to_be_visible()
    expect(waited).to_have_count(0)

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


def saved(tablet: Page, kind: str, name: str, folder: Path) -> Path:
    """Click what is offered and return the file that the browser saved."""
    with tablet.expect_download() as fetched:
        tablet.locator(".files-section").get_by_role(kind, name=name, exact=True).click()  # type: ignore[arg-type]
    assert fetched.value.failure() is None
    path = folder / fetched.value.suggested_filename
    fetched.value.save_as(path)
    return path


def rows_of(path: Path, layer: str | None = None) -> dict[tuple[str, int], tuple[float, float, int]]:
    """Length as measured by PROJ and as told, and trees pruned, of each row as GDAL reads it."""
    meta, _, shapes, columns = raw.read(path, layer=layer)
    told = dict(zip(meta["fields"], columns, strict=True))
    measured = [Geod(ellps="WGS84").geometry_length(line) for line in shapely.from_wkb(shapes)]
    told_rows = zip(told["block"], told["row"], measured, told["length_m"], told["pruned_trees"], strict=True)
    return {(block, int(row)): (length, float(said), int(pruned)) for block, row, length, said, pruned in told_rows}  # fmt: skip


def test_files_for_other_programs_are_saved_and_the_whole_farm_goes_to_an_empty_server(
    tablet: Page,
    own_service: Any,
    own_planted: dict[str, Any],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """By Chromium, read again by GDAL and openpyxl: counts and lengths are the service's own; a server that took the zip by the command line writes the same."""
    rows = own_planted["rows"]
    prune_row(own_service, own_planted, row=2, crew=0, days_ago=0)
    tablet.goto(own_service.address)
    lines = rows_of(
        saved(tablet, "link", "Blocks, rows, marks and checks for a GIS (GeoPackage)", tmp_path), "rows"
    )
    assert {row: one[2] for (_, row), one in lines.items()} == {
        row: rows[2] if row == 2 else 0 for row in rows
    }
    assert all(abs(measured - told) < 0.006 and 48 < told < 52 for measured, told, _ in lines.values())
    book = openpyxl.load_workbook(saved(tablet, "link", "Tables for a spreadsheet (xlsx)", tmp_path))
    heads, *told = book["Rows"].iter_rows(values_only=True)
    length, pruned = heads.index("Length (m)"), heads.index("Trees pruned")
    assert {("K1", one[1]): (one[length], one[pruned]) for one in told} == {key: one[1:] for key, one in lines.items()}  # fmt: skip
    tablet.get_by_label("One layer").select_option("rows")
    assert rows_of(saved(tablet, "link", "For a map (GeoJSON)", tmp_path)).keys() == lines.keys()
    whole = saved(tablet, "button", "The whole farm, for another server (zip)", tmp_path)
    new = f"sqlite:///{tmp_path}/new.sqlite"
    for command in (["import", str(whole)], ["export", "orchard.gpkg", "--out", str(tmp_path / "new.gpkg")]):
        monkeypatch.setattr(sys, "argv", ["orchardmap", *command, "--database", new])
        with pytest.raises(SystemExit) as ended:
            run()
        assert ended.value.code == 0
    assert rows_of(tmp_path / "new.gpkg", "rows") == lines


def test_farms_side_by_side_show_a_mark_that_somebody_makes_by_themselves(
    tablet: Page, own_service: Any, own_planted_besides: dict[str, Any], own_planted: dict[str, Any]
) -> None:
    """Also of another farm than the one that was shown last, and the keyboard stays where it stands."""
    tablet.goto(f"{own_service.address}/farms")
    rows, trees = own_planted["rows"], sum(own_planted["rows"].values())
    for farm in (own_planted_besides, own_planted):
        name = own_service.get(f"/farms/{farm['farm']}")["name"]
        line = tablet.locator("tr", has=tablet.get_by_role("button", name=name, exact=True)).first
        expect(line).to_contain_text(f"0 of {trees}")
        prune_row(own_service, farm, row=1, crew=0, days_ago=0)
        expect(line).to_contain_text(f"{rows[1]} of {trees}", timeout=SOON_MS)
        line.get_by_role("button").click(trial=True)  # what came by itself takes no touch for a moment
    line.get_by_role("button").focus()
    prune_row(own_service, own_planted, row=2, crew=0, days_ago=0)
    expect(line).to_contain_text(f"{rows[1] + rows[2]} of {trees}", timeout=SOON_MS)
    expect(line.get_by_role("button")).to_be_focused()
    expect(tablet.locator(".newer")).to_be_empty()
