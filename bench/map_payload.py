"""Figures of the map at 600 blocks and 50,000 rows: bytes on the wire, and what a pan costs in Chromium.

Run: ``python bench/map_payload.py [--blocks 600]``. Synthetic farm; gzip level 6, compact JSON. Pan
cost is the thread time of the page's main thread from Chromium's own counters (TaskDuration in
thread ticks), per pan of 200 pixels, the median of 15; the same for a farm a tenth as large shows whether it grows with the farm.
Each is panned once more with three weak areas in every block, so that some 40 hatched patches are in view where rows begin to show.
"""

import argparse
import gzip
import json
import shutil
import statistics
import sys
import tempfile
import time
from pathlib import Path

from playwright.sync_api import CDPSession, Page, sync_playwright

from orchardmap.maps.page import asset_files, map_file

sys.path.insert(0, str(Path(__file__).parents[1] / "tests" / "support"))
from map_samples import Sample, copied, sample_farm, weak_area

PARCEL_M = (200.0, 340.0)


def sizes(name: str, text: str) -> None:
    raw = text.encode()
    print(f"{name:<42}{len(raw):>12,} bytes{len(gzip.compress(raw, 6)):>12,} gzip")


def compact(document: object) -> str:
    return json.dumps(document, separators=(",", ":"))


def print_sizes(sample: Sample) -> str:
    facts = sample.overview["figures"]
    print(f"{len(sample.shapes)} blocks, {facts['rows']:,} rows, {facts['trees']:,} trees")
    middle = sorted(sample.shapes, key=lambda key: len(sample.shapes[key]["rows"]))[len(sample.shapes) // 2]
    sizes("overview", compact(sample.overview))
    sizes(f"one shape ({len(sample.shapes[middle]['rows'])} rows)", compact(sample.shapes[middle]))
    sizes("one state", compact(sample.states[middle]))
    each = [len(gzip.compress(compact(shape).encode(), 6)) for shape in sample.shapes.values()]
    print(f"{'all shapes, each by itself':<42}{'':>18}{sum(each):>12,} gzip")
    each = [len(gzip.compress(compact(state).encode(), 6)) for state in sample.states.values()]
    print(f"{'all states, each by itself':<42}{'':>18}{sum(each):>12,} gzip")
    began = time.process_time()
    text = map_file(
        sample.overview,
        sample.shapes,
        sample.states,
        features={},
        farm_name="Bench",
        day=sample.overview["day"],
    )
    print(f"self-contained file made in {time.process_time() - began:.2f} s CPU")
    sizes("self-contained file", text)
    for path, (content, _) in asset_files().items():
        sizes(path.rsplit("/", 1)[1].split("-")[0] + path[path.rfind(".") :], content.decode())
    return text


def task_s(client: CDPSession) -> float:
    metrics = client.send("Performance.getMetrics")["metrics"]
    return float(next(metric["value"] for metric in metrics if metric["name"] == "TaskDuration"))


def pan_ms(page: Page, client: CDPSession) -> float:
    costs = []
    for turn in range(15):
        before = task_s(client)
        page.evaluate(
            "(x) => { orchardMap.app.map.panBy([x, 0], {animate: false}); }", 200 if turn % 2 else -200
        )
        page.wait_for_timeout(120)
        costs.append(1000 * (task_s(client) - before))
    return statistics.median(costs)


def with_patches(sample: Sample) -> Sample:
    """Return the farm with three weak areas in each block."""
    made = copied(sample)
    for facts in made.overview["blocks"]:
        key = facts["id"]
        last = made.shapes[key]["rows"][-1]["n"]
        made.states[key]["weak"] = [
            weak_area(made.shapes[key], (last * part // 4, last * part // 4 + 4), (5, 30), [])
            for part in (1, 2, 3)
        ]
        facts["weak"] = 3
    return made


def print_pans(name: str, text: str) -> None:
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as play:
        path = Path(folder, "map.html")
        path.write_text(text, encoding="utf-8")
        browser = play.chromium.launch(
            executable_path=shutil.which("chromium"), args=["--no-sandbox", "--disable-gpu"]
        )
        page = browser.new_page(viewport={"width": 1280, "height": 800})
        client = page.context.new_cdp_session(page)
        client.send("Performance.enable", {"timeDomain": "threadTicks"})
        began = time.perf_counter()
        page.goto(path.as_uri())
        page.wait_for_function(
            "() => window.orchardMap && orchardMap.app && orchardMap.app.canvasLayer"
            " && orchardMap.app.canvasLayer.lastMs && orchardMap.app.overview"
        )
        print(
            f"{name}: opened and drawn in {time.perf_counter() - began:.2f} s, "
            f"{1000 * task_s(client):.0f} ms of the page's main thread"
        )
        page.wait_for_timeout(2500)
        print(f"{name}: pan, whole farm       {pan_ms(page, client):7.1f} ms")
        at = page.evaluate(
            "() => { const list = orchardMap.app.list; return list[list.length >> 1].facts.lonlat; }"
        )
        for zoom in (17, 18, 20):
            page.evaluate(
                "([lon, lat, zoom]) => { orchardMap.app.map.setView([lat, lon], zoom, {animate: false}); }",
                [*at, zoom],
            )
            page.wait_for_timeout(1500)
            patches = page.evaluate(
                "() => { const {canvasLayer: layer} = orchardMap.app; return layer.blocksIn(layer.view)"
                ".filter((block) => layer.isNear(block)).flatMap((block) => layer.areasIn(block, layer.view)).length; }"
            )
            print(
                f"{name}: pan, rows at zoom {zoom}  {pan_ms(page, client):7.1f} ms, {patches} patches in view"
            )
        heap = page.evaluate("performance.memory.usedJSHeapSize") / 1e6
        print(f"{name}: script heap {heap:.0f} MB")
        browser.close()


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--blocks", type=int, default=600)
    blocks = parser.parse_args().blocks
    for count in (blocks, blocks // 10):
        sample = sample_farm(count, parcel_m=PARCEL_M, pitch_m=3.4)
        text = print_sizes(sample)
        print_pans(f"{count} blocks", text)
        patched = with_patches(sample)
        text = map_file(
            patched.overview,
            patched.shapes,
            patched.states,
            features={},
            farm_name="Bench",
            day=patched.overview["day"],
        )
        print_pans(f"{count} blocks, patched", text)


if __name__ == "__main__":
    main()
