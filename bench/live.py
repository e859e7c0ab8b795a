"""How soon a mark that somebody makes shows on pages that others have open: the demo farm, the real service, real Chromium.

    python bench/live.py [--marks 50] [--engine sqlite|postgres] [--opens 5] [--forms 5]

On PostgreSQL two services share one database: marks are handed in at one, pages follow the other. Prints, from the moment a mark
is sent: when its answer came, when a stream told of it, and when Overview, map and Rows had drawn it. With `--forms`, so many marks
each for the screens that hold forms, one open at a time: they show it by themselves while no hand is on them. With `--opens`, how
long a cold browser takes from the address to the three figures and to the rings of the map. Wall times of this machine and this run.
"""

import argparse
import json
import os
import shutil
import statistics
import sys
import tempfile
import threading
import time
from contextlib import ExitStack, closing
from datetime import UTC, datetime
from itertools import islice
from pathlib import Path

import httpx2 as httpx
from playwright.sync_api import sync_playwright

from orchardmap.demo.build import build_demo
from orchardmap.demo.people import FARM_NAME
from orchardmap.store import farm as farm_store
from orchardmap.store import orchard
from orchardmap.store.session import open_store, sqlite_url
from orchardmap.usecases.planting import new_id
from orchardmap_api.upcasting import WIRE_VERSION

sys.path.insert(0, str(Path(__file__).parents[1] / "tests" / "support"))
from postgis import Cluster
from servers import served
from signing import signed_in

TOKEN = "token-of-the-manager-of-this-bench"
# what a page shows, looked at every 10 ms: [moment, text] whenever it has changed; its plain text, for to see how it is laid out would take most of the time
WATCH = """look => { window.seen = []; let last = null; setInterval(() => {
  const now = String((0, eval)(look)()); if (now !== last) window.seen.push([Date.now(), last = now]); }, 10); }"""
LOOKS = {
    "Overview": ("/", "() => document.querySelector('.figures')?.textContent ?? ''"),
    "map alone": ("/map?farm={farm}", "() => window.orchardMap?.app?.overview?.figures?.pruned ?? ''"),
    "map in the Overview": (
        "/",
        "() => document.querySelector('.map-frame')?.contentWindow?.orchardMap?.app?.overview?.figures?.pruned ?? ''",
    ),
    "Rows": ("/rows?block={block}", "() => document.querySelector('main')?.textContent ?? ''"),
}
# what of each tells how much is pruned or left; the cost of trees without hours is told once there are hours
FORMS = {
    "Farms": ("/farms", "() => document.querySelector('main table')?.textContent ?? ''"),
    "Forecast": ("/forecast", "() => document.querySelector('.forecast-below')?.textContent ?? ''"),
    "Plan": ("/plan?block={block}", "() => document.querySelector('.plan-facts')?.textContent ?? ''"),
    "Pay run": ("/pay?part=run&day={day}", "() => document.querySelector('.pay-result table')?.textContent ?? ''"),
    "Lots": ("/quality", "() => document.querySelector('.quality-content')?.textContent ?? ''"),
    "New lot": (
        "/quality?part=new-lot&block={block}",
        "() => document.querySelector('.new-lot-plan')?.textContent ?? ''",
    ),
}  # fmt: skip


def told(name, times_ms):
    times = sorted(times_ms)
    p95 = times[min(len(times) - 1, int(0.95 * len(times)))]
    print(
        f"{name:<28} p50 {statistics.median(times):>7.0f} ms   p95 {p95:>7.0f} ms   worst {times[-1]:>7.0f} ms   of {len(times)}"
    )


class Follower(threading.Thread):
    """Follows the stream of a farm and keeps when each place of the log was told."""

    def __init__(self, address, farm):
        super().__init__(daemon=True)
        self.url, self.heard = f"{address}/api/farms/{farm}/events", {}
        self.start()

    def run(self):
        with httpx.stream(
            "GET", self.url, headers={"Authorization": f"Bearer {TOKEN}"}, timeout=60
        ) as answer:
            for line in answer.iter_lines():
                if line.startswith("data: "):
                    self.heard.setdefault(json.loads(line[6:])["cursor"], time.time())

    def when(self, cursor):
        while not any(at >= cursor for at in self.heard):
            time.sleep(0.002)
        return min(moment for at, moment in self.heard.items() if at >= cursor)


def demo_farm(url):
    now = datetime.now(UTC)
    with closing(open_store(url)) as store:
        build_demo(store, today=datetime.now(UTC).date(), now=now)
        with store.read() as conn:
            farm = next(one for one in farm_store.farms(conn) if one.name == FARM_NAME)
            season, crew = farm_store.seasons(conn, farm.id)[-1], farm_store.crews(conn, farm.id)[0]
            block = next(one for one in orchard.blocks(conn, farm.id) if one.code == "L6")
            rows = [(row.number, row.positions) for row in orchard.rows(conn, block.id)]
        signed_in(store, {farm.id: ("manager", None)}, token=TOKEN, now=now)
    return farm.id, season.id, crew.id, block.id, rows


def browser(held):
    play = held.enter_context(sync_playwright())
    found = shutil.which("chromium") or shutil.which("chromium-browser")
    return play.chromium.launch(executable_path=found, args=["--no-sandbox"])


def context_of(chromium, address):
    context = chromium.new_context(bypass_csp=True, viewport={"width": 1280, "height": 800}, locale="en-GB")
    context.add_cookies([{"name": "orchardmap_session", "value": TOKEN, "url": address}])
    return context


def mark_of(farm, number, first, last):
    _, season, crew, block, _ = farm
    now = datetime.now(UTC)
    return {
        "id": new_id(), "season_id": season, "block_id": block, "row": number, "first": first, "last": last, "crew_id": crew,
        "day": now.date().isoformat(), "method": "ladder", "device_at": now.isoformat(),
    }  # fmt: skip


def hand_in(asks, farm_id, mark):
    """Hand in a mark; returns when it was sent and the answer."""
    sent = time.time()
    body = {"schema": WIRE_VERSION, "sent_at": mark["device_at"], "marks": [mark]}
    answer = asks.post(f"/api/farms/{farm_id}/marks", json=body).json()
    assert answer["outcomes"][0]["outcome"] == "taken", answer
    return sent, answer


def stretches(rows, trees, begin=1):
    """Return ever new stretches of so many trees, row by row, from a position on."""
    for first in range(begin, 1000, trees):
        for number, positions in rows:
            if first <= positions:
                yield number, first, min(first + trees - 1, positions)


def measure_marks(chromium, servers, farm, marks):
    farm_id, _, _, block, rows = farm
    at, seen_at = servers[0].address, servers[-1].address
    asks = httpx.Client(base_url=at, headers={"Authorization": f"Bearer {TOKEN}"}, timeout=30)
    context, pages = context_of(chromium, seen_at), {}
    for name, (path, look) in LOOKS.items():
        page = pages[name] = context.new_page()
        page.goto(seen_at + path.format(farm=farm_id, block=block))
        page.evaluate(WATCH, look)
    follower, found = Follower(seen_at, farm_id), {name: [] for name in ("answer", "stream", *LOOKS)}
    time.sleep(20)
    for number, first, last in islice(stretches(rows, 4), marks):
        for page in pages.values():
            page.evaluate("window.seen = window.seen.slice(-1)")
        sent, answer = hand_in(asks, farm_id, mark_of(farm, number, first, last))
        found["answer"].append(1000 * (time.time() - sent))
        found["stream"].append(1000 * (follower.when(answer["cursor"]) - sent))
        for name, page in pages.items():
            page.wait_for_function("window.seen.length > 1", timeout=60_000)
            found[name].append(page.evaluate("window.seen[1][0]") - 1000 * sent)
        time.sleep(0.5)
    for name, times in found.items():
        told(name, times)
    context.close()


def measure_forms(chromium, servers, farm, marks):
    farm_id, _, _, block, rows = farm
    at, seen_at = servers[0].address, servers[-1].address
    asks = httpx.Client(base_url=at, headers={"Authorization": f"Bearer {TOKEN}"}, timeout=30)
    # behind what the marks before took
    left = stretches(rows[::-1], 3, 40)
    day = datetime.now(UTC).date().isoformat()
    for name, (path, look) in FORMS.items():
        context, times = context_of(chromium, seen_at), []
        page = context.new_page()
        page.goto(seen_at + path.format(farm=farm_id, block=block, day=day))
        page.evaluate(WATCH, look)
        time.sleep(5)
        for number, first, last in islice(left, marks):
            page.evaluate("window.seen = window.seen.slice(-1)")
            sent, _ = hand_in(asks, farm_id, mark_of(farm, number, first, last))
            page.wait_for_function("window.seen.length > 1", timeout=60_000)
            times.append(page.evaluate("window.seen[1][0]") - 1000 * sent)
            time.sleep(3)
        told(name, times)
        context.close()


def measure_opens(chromium, server, opens):
    figures, rings = [], []
    for _ in range(opens):
        context = context_of(chromium, server.address)
        page = context.new_page()
        page.goto(server.address + "/", wait_until="commit")
        page.wait_for_selector(".figures .figure-number", timeout=60_000)
        figures.append(page.evaluate("performance.now()"))
        page.wait_for_function(
            "document.querySelector('.map-frame')?.contentWindow?.orchardMap?.app?.overview", timeout=60_000
        )
        rings.append(page.evaluate("performance.now()"))
        context.close()
    told("cold: figures", figures)
    told("cold: map has its figures", rings)


def main():
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--marks", type=int, default=50)
    parser.add_argument("--engine", choices=["sqlite", "postgres"], default="sqlite")
    parser.add_argument("--opens", type=int, default=5)
    parser.add_argument("--forms", type=int, default=5)
    given = parser.parse_args()
    with ExitStack() as held:
        if given.engine == "sqlite":
            url = sqlite_url(Path(held.enter_context(tempfile.TemporaryDirectory())) / "live.sqlite")
        else:
            cluster = Cluster("-c fsync=on -c full_page_writes=on -c synchronous_commit=on")
            held.callback(cluster.close)
            url = cluster.new_database()
        farm = demo_farm(url)
        servers = [held.enter_context(served(url)) for _ in range(1 if given.engine == "sqlite" else 2)]
        print(
            f"{given.engine}, {len(servers)} service(s), {os.cpu_count()} cores, load {os.getloadavg()[0]:.1f}"
        )
        chromium = browser(held)
        if given.opens:
            measure_opens(chromium, servers[-1], given.opens)
        if given.marks:
            measure_marks(chromium, servers, farm, given.marks)
        if given.forms:
            measure_forms(chromium, servers, farm, given.forms)
        print(f"load at the end {os.getloadavg()[0]:.1f}")


if __name__ == "__main__":
    main()
