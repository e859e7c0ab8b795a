"""Take the pictures of docs/pictures from the running program: the demo farm, in Chromium, at tablet and desktop size."""

import os
import re
import shutil
import subprocess
import sys
import tempfile
from contextlib import contextmanager
from pathlib import Path

from playwright.sync_api import Page, sync_playwright

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
DESKTOP, TABLET = {"width": 1440, "height": 900}, {"width": 1280, "height": 800}


@contextmanager
def served_demo():
    """Make the demo in a temporary folder, serve it on a free port, yield its address and the manager's link."""
    with tempfile.TemporaryDirectory() as folder:
        command = [
            sys.executable,
            "-m",
            "orchardmap",
            "demo",
            "--file",
            f"{folder}/demo.sqlite",
            "--port",
            "0",
        ]
        server = subprocess.Popen(
            command, stdout=subprocess.PIPE, text=True, env=os.environ | {"PYTHONUNBUFFERED": "1"}
        )
        address = ""
        try:
            for line in server.stdout:
                found = re.search(r"ready at (http://\S+?)/?$", line.strip())
                address = found.group(1) if found else address
                if "/sign-in#link=" in line:  # the first one is the manager's
                    yield address, line.strip().partition("#link=")[2]
                    return
            raise SystemExit("the demo did not start")
        finally:
            server.terminate()
            server.wait(timeout=20)


def take(page: Page, name: str) -> None:
    """Write one picture once the page is quiet."""
    page.wait_for_load_state("networkidle")
    page.wait_for_timeout(700)
    page.screenshot(path=PICTURES / f"{name}.png")
    print(name)


def draw_pages(pdf: bytes, name: str, pages: int, *, dpi: int) -> None:
    """Write the first pages of a PDF side by side, in few colours: paper has few, and pictures are to stay small."""
    import pypdfium2
    from PIL import Image

    document = pypdfium2.PdfDocument(pdf)
    drawn = [document[at].render(scale=dpi / 72).to_pil() for at in range(min(pages, len(document)))]
    gap = 12
    sheet = Image.new(
        "RGB", (sum(one.width + gap for one in drawn) + gap, drawn[0].height + 2 * gap), "#8b8c8d"
    )
    at = gap
    for one in drawn:
        sheet.paste(one, (at, gap))
        at += one.width + gap
    sheet.quantize(96, method=Image.Quantize.FASTOCTREE, dither=Image.Dither.NONE).save(
        PICTURES / f"{name}.png", optimize=True
    )
    print(name)


def draw_paper(page: Page, farm_address: str, block: str) -> None:
    """Draw what is printed: the wall map, a crew sheet and the weekly report, as the service makes them."""
    for name, pages, dpi in (
        ("wall-map.pdf?size=a3", 1, 90),
        (f"crew-sheets.pdf?block={block}", 2, 72),
        ("weekly-report.pdf", 3, 72),
    ):
        answer = page.request.get(f"{farm_address}/{name}", timeout=120_000)
        draw_pages(answer.body(), name.partition(".")[0], pages, dpi=dpi)


def main() -> None:
    """Take all pictures."""
    PICTURES.mkdir(exist_ok=True)
    with served_demo() as (address, link), sync_playwright() as play:
        browser = play.chromium.launch(
            executable_path=shutil.which("chromium"), chromium_sandbox=False, args=FLAGS
        )
        desk = browser.new_context(viewport=DESKTOP, locale="en-GB").new_page()
        desk.request.post(f"{address}/api/sign-in/link", data={"code": link})
        farm = desk.request.get(f"{address}/api/farms").json()["farms"][0]["id"]
        blocks = desk.request.get(f"{address}/api/farms/{farm}/overview").json()["blocks"]
        half = min(blocks, key=lambda b: abs(b["pruned"] / max(b["trees"], 1) - 0.4))
        draw_paper(desk, f"{address}/api/farms/{farm}", half["id"])
        desk.goto(f"{address}/map?farm={farm}")
        take(desk, "map")
        desk.goto(f"{address}/map?farm={farm}&block={half['id']}")
        desk.wait_for_timeout(1500)
        take(desk, "rows-near")
        desk.goto(f"{address}/")
        take(desk, "overview")
        briefs = desk.request.get(f"{address}/api/farms/{farm}/briefs").json()["briefs"]
        revised = max(briefs, key=lambda brief: brief["latest"]["version"])
        desk.goto(f"{address}/briefs?brief={revised['id']}")
        desk.frame_locator("iframe").locator("h1").wait_for()
        take(desk, "brief-editor")
        desk.goto(f"{address}/timing")
        take(desk, "timing")
        for screen in ("quality", "forecast", "plan", "pay"):
            desk.goto(f"{address}/{screen}")
            desk.wait_for_timeout(4_000)  # what is reckoned comes after the page
            take(desk, screen)
        hand = browser.new_context(viewport=TABLET, locale="en-GB", has_touch=True).new_page()
        hand.request.post(f"{address}/api/sign-in/link", data={"code": link})
        hand.goto(f"{address}/rows?block={half['id']}")
        hand.wait_for_load_state("networkidle")
        hand.get_by_role("button", name="Pick the crew").click()
        hand.get_by_role("button", name="Finch").click()
        hand.wait_for_timeout(900)
        take(hand, "brief")
        hand.get_by_role("button", name="Read", exact=True).click()
        take(hand, "rows")
        hand.goto(f"{address}/checks?block={half['id']}")
        take(hand, "checks")
        hand.goto(f"{address}/set-up")
        take(hand, "set-up")
        browser.close()


if __name__ == "__main__":
    main()
