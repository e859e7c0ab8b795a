"""A day without a signal on two tablets that also claim each other's rows; kills, cut replies, a restored backup; then all agree."""

import os
import re
import sqlite3
import time
from collections import defaultdict
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Any
from uuid import UUID

import pytest
from playwright.sync_api import BrowserType, Page, expect

from browser_tablets import Tablet, plant_rows, wait_for_pack
from cutting_proxy import CuttingProxy
from ready_processes import ReadyProcess

pytestmark = [pytest.mark.browser, pytest.mark.timeout(600)]
ROWS = 160


@pytest.fixture
def two_tablets(
    browser_type: BrowserType, browser_type_launch_args: dict[str, Any], tmp_path: Path
) -> Iterator[list[Tablet]]:
    """Two tablets; a script of their pages that breaks fails the test."""
    tablets = [Tablet(browser_type, browser_type_launch_args, tmp_path / f"tablet-{n}") for n in (1, 2)]
    yield tablets
    for tablet in tablets:
        tablet.close()
    assert [one for tablet in tablets for one in tablet.trouble] == []


@pytest.fixture
def proxy(own_service: Any) -> Iterator[CuttingProxy]:
    """What both tablets reach the service through."""
    made = CuttingProxy(own_service.port)
    made.start()
    yield made
    made.stop()


def shell(*words: str | Path) -> None:
    done = ReadyProcess([str(word) for word in words], os.environ, Path.cwd())
    with done.stdout:
        said = done.stdout.read()
    assert done.wait(timeout=60) == 0, said


def open_block(page: Page, address: str, block: str) -> None:
    page.goto(f"{address}/rows?block={block}")
    expect(page.locator(".row-list")).to_be_attached()
    read = page.get_by_role("button", name="Read", exact=True)
    if read.is_visible():
        read.tap()
    page.locator(".row-strip:visible .row-tap").first.tap(trial=True)


def row_button(page: Page, number: int) -> Any:
    return page.get_by_role("button", name=re.compile(rf"^Row {number}\b"))


def tap_row(page: Page, number: int) -> None:
    row_button(page, number).tap()
    expect(page.get_by_text(f"Marked: row {number},")).to_be_visible()


def mark_rows(page: Page, first: int, last: int) -> None:
    """Mark several rows by their numbers."""
    page.locator(".bar-tools").get_by_role("button", name="By number", exact=True).tap()
    for key in [*str(first), "to", *str(last)]:
        page.locator(".number-pad").get_by_role("button", name=key, exact=True).tap()
    page.get_by_role("button", name=f"Mark {last - first + 1} rows").tap()
    expect(page.get_by_text(f"Marked: rows {first} to {last}:")).to_be_visible()


def mark_part(page: Page, number: int, positions: int) -> None:
    page.get_by_role("button", name=f"Set how far the crew came in row {number}", exact=True).focus()
    page.keyboard.press("Enter")
    turned = page.get_by_role("button", name="Began at the first end instead")
    if turned.is_visible():
        turned.tap()
    page.get_by_label("Up to position").fill(str(positions))
    page.get_by_label("Up to position").press("Enter")
    page.get_by_role("button", name="Mark pruned").tap()
    expect(page.get_by_text(f"Marked: row {number}, positions 1 to {positions}")).to_be_visible()


def take_back(page: Page, number: int) -> None:
    page.get_by_role("button", name=f"Undo row {number}").tap()
    expect(page.get_by_text(f"Taken back: row {number}.")).to_be_visible()


def waiting(page: Page) -> Any:
    return page.locator(".queue-line")


def kept_on_disk(database: Path) -> dict[str, list[tuple[Any, ...]]]:
    """Every mark and withdrawal of the store, looked at past the service."""
    with closing(sqlite3.connect(f"file:{database}?mode=ro", uri=True)) as base:
        return {
            table: [
                (str(UUID(id_)), *more)
                for id_, *more in base.execute(f"SELECT id, content_hash, set_aside FROM {table}")
            ]
            for table in ("marks", "withdrawals")
        }


def model(entries: list[dict[str, Any]]) -> dict[int, dict[int, set[str]]]:
    """Fold the tablets' own records position by position: row -> position -> crews."""
    gone = {e["record"]["mark_id"] for e in entries if e["kind"] == "withdrawals"}
    rows: dict[int, dict[int, set[str]]] = defaultdict(lambda: defaultdict(set))
    for entry in entries:
        mark = entry["record"]
        if entry["kind"] == "marks" and mark["id"] not in gone:
            for position in range(mark["first"], mark["last"] + 1):
                rows[mark["row"]][position].add(mark["crew_id"])
    return rows


def shown(page: Page) -> dict[int, tuple[int, int]]:
    """What a tablet shows of each row: trees pruned, and those that two crews claim."""
    found = {}
    for text in page.locator(".row-strip").evaluate_all("all => all.map((one) => one.textContent)"):
        row = int(re.search(r"Row (\d+)", text)[1])  # type: ignore[index]
        part = re.search(r"(\d+) of (\d+)", text)
        twice = re.search(r"two crews: (\d+)", text)
        found[row] = (int(part[1]) if part else 10, int(twice[1]) if twice else 0)
    return found


def test_two_tablets_a_day_without_a_signal_then_a_restored_backup(
    two_tablets: list[Tablet],
    own_service: Any,
    own_farm: dict[str, Any],
    proxy: CuttingProxy,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    block = plant_rows(own_service, own_farm, ROWS)
    pages: list[Page] = []
    for tablet, crew in zip(two_tablets, own_farm["crews"], strict=True):
        page = tablet.start()
        code = own_service.post(
            f"/farms/{own_farm['farm']}/devices/codes",
            {"name": f"Tablet of {crew[-4:]}", "role": "foreman", "crew_id": crew},
        )["code"]
        assert page.context.request.post(f"{proxy.address}/api/pair", data={"code": code}).ok
        tablet.close()  # the browser writes its cookies down
        page = tablet.start()
        open_block(page, proxy.address, block)
        wait_for_pack(page, block)
        pages.append(page)
    hollow, thorn = pages

    # the morning, with a signal: what is sent before the backup, and what after it
    mark_rows(hollow, 1, 10)
    expect(waiting(hollow)).to_contain_text("All sent.")
    backup = tmp_path / "backup.sqlite"
    shell("backup", backup, "--database", f"sqlite:///{own_service.database}")
    mark_rows(thorn, 151, 160)
    expect(waiting(thorn)).to_contain_text("All sent.")
    own_service.stop()

    # the day: each works on its own side, and both on rows 38 to 80, and on the far end
    begun = time.monotonic()
    for row in range(11, 17):
        tap_row(hollow, row)
    take_back(hollow, 16)
    mark_rows(hollow, 17, 50)
    two_tablets[0].kill()
    for row in (40, 39):
        tap_row(thorn, row)
    mark_rows(thorn, 41, 120)
    mark_part(thorn, 121, 6)
    take_back(thorn, 121)
    mark_part(thorn, 122, 4)
    two_tablets[1].kill()
    hollow, thorn = (tablet.start() for tablet in two_tablets)
    for page in (hollow, thorn):
        open_block(page, proxy.address, block)
    mark_rows(hollow, 51, 80)
    mark_rows(hollow, 121, 150)
    mark_part(thorn, 38, 7)
    for tablet in two_tablets:
        tablet.kill()
    offline_s = time.monotonic() - begun

    # the evening: the service comes back from the morning's backup, and its first replies get lost
    restored = tmp_path / "restored.sqlite"
    shell("restore", backup, "--database", f"sqlite:///{restored}")
    own_service.database = restored
    own_service.sign_in_anew()
    lost = 4
    proxy.spoil = lambda method, path: (
        method == "POST" and path.endswith(("/marks", "/withdrawals")) and len(proxy.cut) < lost
    )
    own_service.start()
    begun = time.monotonic()
    hollow, thorn = (tablet.start() for tablet in two_tablets)
    for page in (hollow, thorn):
        open_block(page, proxy.address, block)
    entries: list[dict[str, Any]] = []
    for _ in range(120):
        boxes = [tablet.outbox(page) for tablet, page in zip(two_tablets, (hollow, thorn), strict=True)]
        entries = [entry for box in boxes for entry in box]
        marks = {row[0] for row in kept_on_disk(restored)["marks"]}
        sent = {e["id"] for e in entries if e["state"] != "waiting"}
        if len(sent) == len(entries) and {e["id"] for e in entries if e["kind"] == "marks"} <= marks:
            break
        hollow.wait_for_timeout(500)
    drained_s = time.monotonic() - begun
    told = [page.locator(".queue-line").inner_text() for page in (hollow, thorn)]
    assert {e["state"] for e in entries} == {"sent"}, (told, proxy.cut)
    assert len(proxy.cut) == lost

    kept = kept_on_disk(restored)
    stored = [row[0] for row in kept["marks"]] + [row[0] for row in kept["withdrawals"]]
    attempted = {e["id"] for e in entries}
    acknowledged = {e["id"] for e in entries if e["state"] in {"sent", "set_aside"}}
    assert acknowledged <= set(stored) <= attempted
    assert acknowledged == attempted, "nothing is stuck"
    assert len(stored) == len(set(stored)), "nothing is there twice"
    assert [row for table in kept.values() for row in table if row[-1] is not None] == []
    n_marks = len(kept["marks"])
    assert n_marks >= 200

    # service, map and both tablets show what the fold of all records says
    rows = model(entries)
    crews = dict(zip(own_farm["crews"], ("Hollow", "Thorn"), strict=True))
    expected = {
        row: (len(rows[row]), sum(len(c) > 1 for c in rows[row].values())) for row in range(1, ROWS + 1)
    }
    assert sum(twice for _, twice in expected.values()) >= 100
    state = own_service.get(f"/blocks/{block}/state?day={own_farm['today']}")
    names = [crew["name"] for crew in state["crews"]]
    served = {
        (row, position): ("both" if kind == 2 else names[crew])
        for row, first, last, kind, crew in state["runs"]
        for position in range(first, last + 1)
    }
    assert served == {
        (row, position): ("both" if len(found) > 1 else crews[next(iter(found))])
        for row, positions in rows.items()
        for position, found in positions.items()
    }
    for page in (hollow, thorn):
        open_block(page, proxy.address, block)
        expect(waiting(page)).to_contain_text("All sent.")
        deadline = time.monotonic() + 20
        while shown(page) != expected:
            assert time.monotonic() < deadline, [
                (row, a, expected[row]) for row, a in shown(page).items() if a != expected[row]
            ][:5]
            page.wait_for_timeout(250)
    summary = next(
        one
        for one in own_service.get(f"/farms/{own_farm['farm']}/overview?day={own_farm['today']}")["blocks"]
        if one["id"] == block
    )
    assert (summary["pruned"], summary["overlap"]) == (
        sum(done for done, _ in expected.values()),
        sum(twice for _, twice in expected.values()),
    )
    with capsys.disabled():
        print(
            f"\ntwo tablets: {n_marks} marks, {len(kept['withdrawals'])} withdrawals, {offline_s:.0f} s of work without a "
            f"service, {len(proxy.cut)} replies cut, drained and equal after {drained_s:.0f} s"
        )
