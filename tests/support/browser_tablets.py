"""Tablets that are closed, killed and started again: browsers with a profile of their own on disk."""

import json
import os
import signal
import time
from contextlib import suppress
from pathlib import Path
from typing import Any

from playwright.sync_api import BrowserContext, BrowserType, Error, Page

READ = """
const read = async (store, what) => {
  // to open a database that the page has yet to make would make an empty one
  if (!(await indexedDB.databases()).some(({ name }) => name === "orchardmap")) return [];
  const base = await new Promise((done, fail) => {
    const opening = indexedDB.open("orchardmap");
    opening.onsuccess = () => done(opening.result);
    opening.onerror = () => fail(opening.error);
  });
  const here = await new Promise((done) => {
    const asked = base.transaction(store).objectStore(store)[what]();
    asked.onsuccess = () => done(asked.result);
  });
  base.close();
  return here;
};
"""
PACKS_HERE = f"""
async (wanted) => {{
  {READ}
  const here = await read("packs", "getAllKeys");
  const worker = await navigator.serviceWorker.ready;
  return here.includes(wanted) && worker.active?.state === "activated";
}}
"""
OVERVIEW_HERE = f"""
async () => {{
  {READ}
  const here = await read("farm", "getAllKeys");
  // and the page's own code: the screen itself may be fetched later
  const worker = await navigator.serviceWorker.ready;
  return here.some((key) => String(key).startsWith("overview:")) && worker.active?.state === "activated";
}}
"""
OUTBOX = f"""
async () => {{
  {READ}
  return read("outbox", "getAll");
}}
"""


class Tablet:
    """A browser with a profile of its own on disk, that can be closed, killed and started again."""

    def __init__(self, kind: BrowserType, arguments: dict[str, Any], profile: Path) -> None:
        self.kind = kind
        self.arguments = arguments
        self.profile = profile
        self.context: BrowserContext | None = None
        self.trouble: list[str] = []

    def start(self) -> Page:
        """Start the browser and return its page."""
        self.context = self.kind.launch_persistent_context(
            str(self.profile), **self.arguments, viewport={"width": 1280, "height": 800}, has_touch=True
        )
        self.context.set_default_timeout(15_000)
        self.context.on("weberror", lambda error: self.trouble.append(str(error.error)))
        return self.context.pages[0]

    def close(self) -> None:
        """Close the browser in good order."""
        if self.context is not None:
            self.context.close()
        self.context = None

    def kill(self) -> None:
        """End every process of this browser without a word."""
        said = f"--user-data-dir={self.profile}".encode()
        for folder in Path("/proc").iterdir():
            if folder.name.isdigit():
                try:
                    if said in (folder / "cmdline").read_bytes().split(b"\0"):
                        os.kill(int(folder.name), signal.SIGKILL)
                except (OSError, ProcessLookupError):
                    continue
        with suppress(Error):  # there is nothing left to close
            self.close()
        self.context = None

    def outbox(self, page: Page) -> list[dict[str, Any]]:
        """Return every record of this tablet, those acknowledged too."""
        found: list[dict[str, Any]] = page.evaluate(OUTBOX)
        return found


def plant_rows(service: Any, planted: dict[str, Any], rows: int) -> str:
    """Make a second block with so many rows of ten positions, and return its id."""
    # on the equator, as in the fixture: 5 m between rows, 2 m between positions
    east, north = (5 * rows - 0.1) / 111_320, 19.9 / 110_574
    ring = [[0.01, 0], [0.01 + east, 0], [0.01 + east, north], [0.01, north], [0.01, 0]]
    outline = {"type": "Feature", "properties": {}, "geometry": {"type": "Polygon", "coordinates": [ring]}}
    file = json.dumps({"type": "FeatureCollection", "features": [outline]}).encode()
    preview = service.upload(planted["farm"], "k2.geojson", file)
    planting = {"bearing_deg": 0.0, "row_spacing_m": 5.0, "tree_spacing_m": 2.0, "first_row_offset_m": 2.0}
    wish = {
        "index": 0,
        "code": "K2",
        "name": "Long Ley",
        "variety_id": planted["variety"],
        "planting": planting,
    }
    taken = service.post(f"/imports/{preview['token']}/take", {"blocks": [wish]})
    found: str = taken["blocks"][0]["id"]
    return found


def wait_for_pack(page: Page, block: str) -> None:
    """Wait until everything of a block is on the tablet, and its pages too."""
    deadline = time.monotonic() + 40
    while not page.evaluate(PACKS_HERE, block):
        assert time.monotonic() < deadline, "the block is not on the tablet"
