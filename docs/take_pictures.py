"""Take the pictures of docs/pictures from the running program: the demo farm, in Chromium, at tablet and desktop size.

`python docs/take_pictures.py` takes all of them; names after it (manager, ground, adviser, foreman, auditor, paper, screens, papers) only those.
"""

import os
import re
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import partial
from pathlib import Path

import every_screen
import numpy as np
import pypdfium2
from PIL import Image
from playwright.sync_api import Browser, Page, sync_playwright

HERE = Path(__file__).resolve().parent
PICTURES = HERE / "pictures"
FLAGS = [
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
DESKTOP, TABLET, UPRIGHT = (
    {"width": 1440, "height": 900},
    {"width": 1280, "height": 800},
    {"width": 800, "height": 1200},
)
_SLOW_MS = 60_000
"""A page of a busy machine is waited for; nothing here is a test."""
LOTS = "How strictly each crew is checked"


@dataclass(frozen=True)
class Demo:
    """The demo as it is served, and the ways into it that it printed."""

    address: str
    links: dict[str, str]
    """One-time code of each role."""
    tablet: str
    """Code that pairs the foreman's tablet, and the PIN of who holds it."""
    pin: str


@contextmanager
def served_demo() -> Iterator[Demo]:
    """Make the demo in a temporary folder, serve it on a free port, yield the ways into it."""
    with tempfile.TemporaryDirectory() as folder:
        file = f"{folder}/demo.sqlite"
        command = [sys.executable, "-m", "orchardmap", "demo", "--file", file, "--port", "0"]
        server = subprocess.Popen(
            command, stdout=subprocess.PIPE, text=True, env=os.environ | {"PYTHONUNBUFFERED": "1"}
        )
        try:
            yield _ways(iter(server.stdout.readline, ""))
        finally:
            server.terminate()
            server.wait(timeout=20)


def _ways(lines: Iterator[str]) -> Demo:
    address, role, pin, links = "", "", "", {}
    for line in lines:
        if found := re.search(r"ready at (http://\S+?)/?$", line.strip()):
            address = found.group(1)
        if found := re.match(r"\s+(manager|auditor|adviser|foreman)", line):
            role = found.group(1)
            pin = next(iter(re.findall(r"PIN (\d+)", line)), pin)
        if "#link=" in line:
            links[role] = line.strip().partition("#link=")[2]
        if "/pair#" in line:
            return Demo(address, links, line.strip().partition("#")[2], pin)
    raise SystemExit("the demo did not start")


def few_colours(picture: Image.Image) -> Image.Image:
    """Return a picture in the 256 colours that it has most of, each exactly: a mean of several would tint paper and signs."""
    pixels = np.asarray(picture.convert("RGB")).reshape(-1, 3)
    colours, at, counts = np.unique(pixels, axis=0, return_inverse=True, return_counts=True)
    most = colours[np.argsort(-counts, kind="stable")[:256]].astype(np.int32)
    nearest = np.array([((most - colour) ** 2).sum(axis=1).argmin() for colour in colours.astype(np.int32)])
    few = Image.fromarray(nearest[at].reshape(picture.height, picture.width).astype(np.uint8))
    few.putpalette(most.astype(np.uint8).tobytes())
    return few


def take(page: Page, name: str, *, until: str = "", ms: int = 900) -> None:
    """Write one picture once its words are there, in few colours: text stays sharp and files small."""
    # never "networkidle": an open page goes on listening to the service
    if until:
        page.get_by_text(until).first.wait_for(timeout=_SLOW_MS)
    if not page.locator("dialog[open]").count():  # what lies behind an open one may go on loading
        page.get_by_text("Loading…").first.wait_for(state="hidden", timeout=_SLOW_MS)
    page.wait_for_timeout(ms)
    file = PICTURES / f"{name}.png"
    page.screenshot(path=file)
    with Image.open(file) as picture:
        few_colours(picture).save(file, optimize=True)
    print(f"{name}: {file.stat().st_size / 1000:.0f} kB")


def opened(browser: Browser, demo: Demo, role: str, size: dict[str, int], *, touch: bool = False) -> Page:
    """Return a page on which somebody of a role is signed in."""
    page = browser.new_context(viewport=size, locale="en-GB", has_touch=touch).new_page()
    page.set_default_timeout(_SLOW_MS)
    if role != "foreman":
        page.request.post(f"{demo.address}/api/sign-in/link", data={"code": demo.links[role]})
    return page


def blocks_of(page: Page, demo: Demo) -> tuple[str, list[dict]]:
    """Return the farm and its blocks."""
    farm = page.request.get(f"{demo.address}/api/farms").json()["farms"][0]["id"]
    return farm, page.request.get(f"{demo.address}/api/farms/{farm}/overview").json()["blocks"]


def manager(browser: Browser, demo: Demo) -> None:
    """Map, overview, quality, forecast, plan, pay; and what a tablet shows lying on its side."""
    desk = opened(browser, demo, "manager", DESKTOP)
    farm, blocks = blocks_of(desk, demo)
    half = min(blocks, key=lambda b: abs(b["pruned"] / max(b["trees"], 1) - 0.4))
    desk.goto(f"{demo.address}/map?farm={farm}")
    take(desk, "map", ms=2_500)
    desk.goto(f"{demo.address}/map?farm={farm}&block={half['id']}")
    take(desk, "rows-near", ms=15_000)  # rows are drawn once their block has come
    desk.goto(f"{demo.address}/")
    for _ in range(5):
        desk.get_by_text("Needs you").first.wait_for()
        desk.wait_for_timeout(15_000)  # what is reckoned comes after the page
        desk.get_by_text("Looking at quality and weather too").wait_for(state="hidden")
        if not desk.get_by_text("so this list may not be whole").count():
            break
        desk.reload()
    take(desk, "overview", until="Needs you")
    words = {"quality": LOTS, "forecast": "What if", "plan": "Given to nobody", "pay": "Export and lock"}
    for screen, until in words.items():
        desk.goto(f"{demo.address}/{screen}")
        take(desk, screen, until=until, ms=5_000)  # what is reckoned comes after the page
    hand = opened(browser, demo, "manager", TABLET, touch=True)
    hand.goto(f"{demo.address}/rows?block={half['id']}")
    hand.get_by_role("button", name="Pick the crew").click()
    hand.get_by_role("button", name="Finch").click()
    hand.get_by_role("button", name="Read", exact=True).wait_for()
    hand.evaluate("scrollTo(0, 0)")
    take(hand, "brief")
    hand.get_by_role("button", name="Read", exact=True).click()
    hand.evaluate("scrollTo(0, 0)")
    take(hand, "rows")
    hand.goto(f"{demo.address}/checks?block={half['id']}")
    take(hand, "checks", until="All as the brief says")
    hand.goto(f"{demo.address}/set-up")
    take(hand, "set-up")


def ground(browser: Browser, demo: Demo) -> None:
    """The rows of a block while they are edited, with what would change."""
    hand = opened(browser, demo, "manager", TABLET, touch=True)
    _, blocks = blocks_of(hand, demo)
    least = min(blocks, key=lambda b: (b["pruned"] / max(b["trees"], 1), b["code"]))
    hand.goto(f"{demo.address}/set-up?block={least['id']}")
    hand.get_by_role("button", name=re.compile("^Row 4:")).click()
    hand.get_by_role("button", name="Position 3: tree").click()
    for kind in ("tree", "blank"):
        hand.get_by_role("button", name=f"Position 7: {kind}").click()
    hand.get_by_text("1 edit, not taken yet").wait_for()
    hand.get_by_role("button", name="Show it large on the plan").click()
    hand.locator(".ground-plan").evaluate("e => e.scrollIntoView()")
    take(hand, "ground-edit", until="1 blank more, 1 pollinizer more")


def adviser(browser: Browser, demo: Demo) -> None:
    """A brief beside its card, timing, farms side by side."""
    desk = opened(browser, demo, "adviser", DESKTOP)
    farm, _ = blocks_of(desk, demo)
    briefs = desk.request.get(f"{demo.address}/api/farms/{farm}/briefs").json()["briefs"]
    revised = max(briefs, key=lambda brief: brief["latest"]["version"])
    desk.goto(f"{demo.address}/briefs?brief={revised['id']}")
    desk.frame_locator("iframe").locator("h1").wait_for()
    take(desk, "brief-editor")
    desk.goto(f"{demo.address}/timing")
    take(desk, "timing", until="Green tip")
    desk.goto(f"{demo.address}/farms")
    take(desk, "farms", until="Week by week")


def foreman(browser: Browser, demo: Demo) -> None:
    """A day on a crew's own tablet: blocks, brief, rows, part of a row, knock-off."""
    hand = opened(browser, demo, "foreman", UPRIGHT, touch=True)
    hand.goto(f"{demo.address}/pair#{demo.tablet}")
    hand.get_by_role("button", name="Pair", exact=True).click()
    hand.get_by_role("button", name=re.compile("^Ilinca")).click()
    for digit in demo.pin:
        hand.get_by_role("button", name=digit, exact=True).click()
    hand.get_by_text("holds this tablet").wait_for()
    hand.goto(f"{demo.address}/rows")
    hand.get_by_text("On this device: all").wait_for()
    take(hand, "foreman-blocks")
    hand.get_by_role("button", name=re.compile("^H3")).click()
    hand.get_by_role("button", name="Read", exact=True).wait_for()
    take(hand, "foreman-brief")
    hand.get_by_role("button", name="Read", exact=True).click()
    row = hand.get_by_role("button", name=re.compile(r"Row\s*15\b")).first
    row.click(position={"x": 30, "y": 30})  # on its number: at its end lies the handle
    hand.get_by_role("button", name="Undo row 15").wait_for()
    hand.evaluate("scrollTo(0, 0)")
    take(hand, "foreman-rows")
    hand.get_by_role("button", name="Set how far the crew came in row 16").click()
    hand.get_by_role("button", name="Mark pruned").wait_for()
    for _ in range(7):
        hand.get_by_role("button", name="One position less").first.click()
    take(hand, "foreman-part")
    hand.get_by_role("button", name="Leave it").click()
    hand.get_by_role("button", name="Knock-off").click()
    hand.get_by_role("button", name="Enter the day").wait_for()
    take(hand, "foreman-knock-off")


def auditor(browser: Browser, demo: Demo) -> None:
    """Lots to check, the walk through one, a tree, and the words on a lot."""
    hand = opened(browser, demo, "auditor", UPRIGHT, touch=True)
    hand.goto(f"{demo.address}/checks")
    hand.get_by_text("1 lot to check").first.wait_for()
    take(hand, "auditor-lots")
    hand.get_by_role("button", name=re.compile("^R4")).click()
    take(hand, "auditor-tree", until="All as the brief says")
    desk = opened(browser, demo, "auditor", DESKTOP)
    desk.goto(f"{demo.address}/quality")
    take(desk, "auditor-quality", until=LOTS)


def draw_pages(pdf: bytes, name: str, pages: int, *, dpi: int) -> None:
    """Write the first pages of a PDF side by side, in few colours."""
    document, gap = pypdfium2.PdfDocument(pdf), 12
    drawn = [document[at].render(scale=dpi / 72).to_pil() for at in range(min(pages, len(document)))]
    wide = sum(one.width + gap for one in drawn) + gap
    sheet, left = Image.new("RGB", (wide, drawn[0].height + 2 * gap), "#8b8c8d"), gap
    for one in drawn:
        sheet.paste(one, (left, gap))
        left += one.width + gap
    file = PICTURES / f"{name}.png"
    few = sheet.quantize(96, method=Image.Quantize.FASTOCTREE, dither=Image.Dither.NONE)
    few.save(file, optimize=True)
    print(f"{name}: {file.stat().st_size / 1000:.0f} kB")


def paper(browser: Browser, demo: Demo) -> None:
    """What is printed, as the service makes it: wall map, crew sheet, weekly report."""
    desk = opened(browser, demo, "manager", DESKTOP)
    farm, blocks = blocks_of(desk, demo)
    half = min(blocks, key=lambda b: abs(b["pruned"] / max(b["trees"], 1) - 0.4))
    for name, pages, dpi in (
        ("wall-map.pdf?size=a3", 1, 90),
        (f"crew-sheets.pdf?block={half['id']}", 2, 72),
        ("weekly-report.pdf", 3, 72),
    ):
        answer = desk.request.get(f"{demo.address}/api/farms/{farm}/{name}", timeout=4 * _SLOW_MS)
        draw_pages(answer.body(), name.partition(".")[0], pages, dpi=dpi)


THIS = sys.modules[__name__]
GUIDES: dict[str, Callable[[Browser, Demo], None]] = {
    "manager": manager,
    "ground": ground,
    "adviser": adviser,
    "foreman": foreman,
    "auditor": auditor,
    "paper": paper,
    "screens": partial(every_screen.screens, THIS),
    "papers": partial(every_screen.papers, THIS),
}


def main() -> None:
    """Take the pictures of the guides that are named, else all."""
    PICTURES.mkdir(exist_ok=True)
    with served_demo() as demo, sync_playwright() as play:
        chromium = shutil.which("chromium")
        browser = play.chromium.launch(executable_path=chromium, chromium_sandbox=False, args=FLAGS)
        for name in sys.argv[1:] or GUIDES:
            GUIDES[name](browser, demo)
        browser.close()


if __name__ == "__main__":
    main()
