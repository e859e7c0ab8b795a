"""The screens and papers that no guide shows, for docs/screens.md: `python docs/take_pictures.py screens papers`."""

import os
import re
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from playwright.sync_api import Browser, Page

Take = Any
"""`take_pictures`: how a picture is taken; it imports this module, so it hands itself over."""


def _at(page: Page, take: Take, address: str, name: str, *, until: str, ms: int = 1_500) -> None:
    page.goto(address)
    take.take(page, name, until=until, ms=ms)


def screens(take: Take, browser: Browser, demo: Any) -> None:
    """Everything that a manager, an adviser and a stranger see beside what the guides show."""
    desk = take.opened(browser, demo, "manager", take.DESKTOP)
    farm, blocks = take.blocks_of(desk, demo)
    half = min(blocks, key=lambda b: abs(b["pruned"] / max(b["trees"], 1) - 0.4))
    for address, name, until in (
        ("settling", "settling", "Claimed by two crews"),
        ("people", "people", "Crews and people"),
        ("quality?part=new-lot", "quality-new-lot", "New lot"),
        ("quality?part=weak", "quality-weak", "How often may chance alone"),
        ("quality?part=crews", "quality-crews", "Crews in the funnel"),
        ("quality?part=auditors", "quality-auditors", "were judged alike"),
        ("quality?part=returns", "quality-returns", "under way"),
        ("pay?part=hours", "pay-hours", "Save hours"),
        ("pay?part=rules", "pay-rules", "Rules of pay"),
        ("pay?part=runs", "pay-runs", "Earlier runs"),
        ("pay?part=cost", "pay-cost", "A pruned hectare"),
        (f"set-up?block={half['id']}", "ground", "Row"),
    ):
        _at(desk, take, f"{demo.address}/{address}", name, until=until, ms=5_000)
    desk.goto(f"{demo.address}/rows?block={half['id']}")
    desk.get_by_role("button", name="Count trees").click()
    take.take(desk, "counting", until="more trees in this round", ms=2_000)
    desk.goto(f"{demo.address}/")
    desk.get_by_role("heading", name="Blocks").wait_for()
    desk.get_by_text("Files for other programs").first.scroll_into_view_if_needed()
    take.take(desk, "paper-and-files", ms=2_000)
    lots = desk.request.get(f"{demo.address}/api/farms/{farm}/lots").json()["lots"]
    sent_back = next(lot["id"] for lot in lots if lot["verdict"] == "send_back")
    _at(desk, take, f"{demo.address}/quality?lot={sent_back}", "quality-lot", until="Work of", ms=5_000)
    desk.goto(f"{demo.address}/")
    desk.get_by_role("button", name="What waits").click()
    take.take(desk, "what-waits")
    _briefs(take, browser, demo)
    _beginnings(take, browser)
    stranger = browser.new_context(viewport=take.UPRIGHT, locale="en-GB").new_page()
    _at(stranger, take, f"{demo.address}/sign-in", "sign-in", until="Sign in")
    _at(stranger, take, f"{demo.address}/pair", "pair", until="Pair this tablet")
    spanish = take.opened(browser, demo, "manager", take.TABLET)
    spanish.goto(f"{demo.address}/")
    spanish.get_by_role("button", name="Español").click()
    take.take(spanish, "overview-spanish", until="Cuarteles", ms=15_000)


def _briefs(take: Take, browser: Browser, demo: Any) -> None:
    """The list of briefs, and two versions of one side by side."""
    desk = take.opened(browser, demo, "adviser", take.DESKTOP)
    farm, _ = take.blocks_of(desk, demo)
    briefs = desk.request.get(f"{demo.address}/api/farms/{farm}/briefs").json()["briefs"]
    revised = max(briefs, key=lambda brief: brief["latest"]["version"])["id"]
    _at(desk, take, f"{demo.address}/briefs", "briefs", until="New variety")
    _at(desk, take, f"{demo.address}/briefs?brief={revised}&compare", "brief-compare", until="Compare")


def _beginnings(take: Take, browser: Browser) -> None:
    """What is seen before there is an account, and where a tablet learns to trust the farm's own service."""
    with tempfile.TemporaryDirectory() as folder:
        of = ["--database", f"sqlite:///{folder}/empty.sqlite"]
        with _service([*of, "--port", "0"]) as lines:
            address = next(line.strip() for line in lines if "/first-start#" in line)
            page = browser.new_context(viewport=take.TABLET, locale="en-GB").new_page()
            _at(page, take, address, "first-start", until="Password")
        made = Path(folder) / "certificates"
        names = ["--for", "localhost", "--for", "127.0.0.1"]
        subprocess.run(
            [sys.executable, "-m", "orchardmap", "certificates", "--folder", str(made), *names], check=True
        )
        with _service([*of, "--port", "0", "--certificates", str(made)]) as lines:
            address = next(
                found.group(0) for line in lines if (found := re.search(r"https://\S+?(?=/?$)", line))
            )
            page = browser.new_context(
                viewport=take.UPRIGHT, locale="en-GB", ignore_https_errors=True
            ).new_page()
            _at(page, take, f"{address}/trust", "trust", until="fingerprint")


@contextmanager
def _service(options: list[str]) -> Iterator[Iterator[str]]:
    """Run a service; yields the lines that it prints."""
    command = [sys.executable, "-m", "orchardmap", "serve", *options]
    unbuffered = os.environ | {"PYTHONUNBUFFERED": "1"}
    server = subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=unbuffered)
    try:
        yield iter(server.stdout.readline, "")
    finally:
        server.terminate()
        server.wait(timeout=20)


def papers(take: Take, browser: Browser, demo: Any) -> None:
    """Every printed document that no guide shows: labels, brief cards, pay sheets, the sheets of an atlas."""
    desk = take.opened(browser, demo, "manager", take.DESKTOP)
    farm, blocks = take.blocks_of(desk, demo)
    of = f"{demo.address}/api/farms/{farm}"
    half = min(blocks, key=lambda b: abs(b["pruned"] / max(b["trees"], 1) - 0.4))
    briefs = desk.request.get(f"{of}/briefs").json()["briefs"]
    card = f"briefs/{briefs[0]['id']}/versions/{briefs[0]['latest']['version']}/card"
    run = desk.request.get(f"{of}/pay-runs").json()["runs"][0]["id"]
    for address, name, pages, dpi in (
        (f"labels.pdf?block={half['code']}&rows=1-12", "labels", 1, 72),
        (f"{card}?size=a4", "brief-card", 2, 72),
        (f"{card}?size=a5&language=es", "brief-card-spanish", 2, 90),
        (f"pay-runs/{run}/sheets.pdf?of=people", "pay-sheets", 2, 72),
        (f"wall-map.pdf?size=a4&block={half['id']}", "wall-map-block", 1, 90),
    ):
        answer = desk.request.get(f"{of}/{address}", timeout=240_000)
        if not re.match("application/pdf", answer.headers["content-type"]):
            raise SystemExit(f"{name}: {answer.text()[:300]}")
        take.draw_pages(answer.body(), name, pages, dpi=dpi)
