"""How soon the Overview of the demo farm is there: the real service, real Chromium, four ways to come in.

    python bench/first_paint.py [--times 5] [--width 1280] [--height 800] [--waterfall] [--database FILE]

At once: the browser is up, keeps nothing, and asks for the address as soon as the service says that it is ready. Cold: service and
browser have just been started, one after the other, nothing is kept. New: the service has answered before, the browser keeps nothing. Again: the same profile comes back. Told are the moments after the address was asked for at which the three figures stood there, the
map had its rings and "needs you" was whole, and the processor's seconds that service and browser spent until then. Wall times are
those of this machine and this run: its load is printed, and where other work runs beside it the least is the honest figure.
"""

import argparse
import os
import shutil
import statistics
import sys
import tempfile
import time
from collections import defaultdict
from contextlib import ExitStack, closing, contextmanager
from datetime import UTC, datetime
from pathlib import Path

from playwright.sync_api import sync_playwright

from orchardmap.demo.build import build_demo
from orchardmap.demo.people import FARM_NAME
from orchardmap.store import farm as farm_store
from orchardmap.store.session import open_store, sqlite_url

sys.path.insert(0, str(Path(__file__).parents[1] / "tests" / "support"))
from servers import served
from signing import signed_in

TOKEN = "token-of-the-manager-of-this-bench"
TICKS = os.sysconf("SC_CLK_TCK")
# the page itself keeps when something stood there first: whoever asks it from outside would take part of its time
WATCH = """() => {
  window.came = {};
  const looks = {
    figures: () => document.querySelector(".figures .figure-number"),
    map: () => document.querySelector(".map-frame")?.contentWindow?.orchardMap?.app?.overview,
    needs: () => document.querySelector(".needs-you") && !document.querySelector(".needs-you [role=status]")?.textContent,
  };
  const look = () => {
    for (const [name, seen] of Object.entries(looks)) {
      if (window.came[name] !== undefined) continue;
      try { if (seen()) window.came[name] = performance.now(); } catch { /* not there yet */ }
    }
    if (Object.keys(window.came).length < 3) setTimeout(look, 4);
  };
  if (window === window.top) look();
}"""
WATERFALL = """() => performance.getEntriesByType("resource").map((one) => [
  one.name.replace(location.origin, ""), one.startTime, one.responseStart, one.responseEnd])"""


def seconds(pid):
    """Return the processor's seconds that a process and all below it have spent."""
    total = 0.0
    for stat in Path("/proc").glob("[0-9]*/stat"):
        try:
            fields = stat.read_text().rpartition(")")[2].split()
        except OSError:
            continue
        parents[int(stat.parent.name)] = int(fields[1])
        spent[int(stat.parent.name)] = (int(fields[11]) + int(fields[12])) / TICKS
    for one in list(spent):
        above = one
        while above not in (0, 1, pid):
            above = parents.get(above, 0)
        if above == pid:
            total += spent[one]
    return total


parents: dict[int, int] = {}
spent: dict[int, float] = {}


@contextmanager
def browser(play):
    found = shutil.which("chromium") or shutil.which("chromium-browser")
    opened = play.chromium.launch(executable_path=found, args=["--no-sandbox", "--disable-gpu"])
    try:
        yield opened
    finally:
        opened.close()


def context_of(chromium, server, given):
    context = chromium.new_context(viewport={"width": given.width, "height": given.height}, locale="en-GB")
    context.add_cookies([{"name": "orchardmap_session", "value": TOKEN, "url": server.address}])
    context.add_init_script(f"({WATCH})()")
    return context


def wait_for(page, truth):
    """Wait without a string that is evaluated in the page: its policy allows none."""
    until = time.monotonic() + 60
    while not page.evaluate(truth):
        if time.monotonic() > until:
            raise TimeoutError(truth)
        time.sleep(0.05)


def come_in(context, server):
    """Return the moments in milliseconds, the service's seconds, and what was fetched when."""
    page = context.new_page()
    pid = server.process.pid
    before = seconds(pid)
    page.goto(server.address + "/", wait_until="commit")
    wait_for(page, "window.came?.figures !== undefined")
    until_figures = seconds(pid) - before
    wait_for(page, "Object.keys(window.came).length === 3")
    came = page.evaluate("window.came")
    paint = page.evaluate("performance.getEntriesByName('first-contentful-paint')[0]?.startTime ?? null")
    fetched = page.evaluate(WATERFALL)
    page.close()
    found = {"first paint": paint, **came, "service's CPU to figures": 1000 * until_figures}
    return {name: value for name, value in found.items() if value is not None}, fetched


def told(way, runs):
    print(way)
    kept = defaultdict(list)
    for run in runs:
        for name, value in run.items():
            kept[name].append(value)
    for name, values in kept.items():
        print(
            f"  {name:<26} least {min(values):>6.0f} ms   p50 {statistics.median(values):>6.0f}   worst {max(values):>6.0f}   of {len(values)}"
        )


def demo(path):
    now = datetime.now(UTC)
    with closing(open_store(sqlite_url(path))) as store:
        build_demo(store, today=now.date(), now=now)
        with store.read() as conn:
            farm = next(one for one in farm_store.farms(conn) if one.name == FARM_NAME)
        signed_in(store, {farm.id: ("manager", None)}, token=TOKEN, now=now)


def waterfall(fetched):
    for name, start, answered, ended in sorted(fetched, key=lambda one: one[1]):
        print(f"    {start:>6.0f} {answered:>6.0f} {ended:>6.0f}  {name[:90]}")


def main():
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--times", type=int, default=5)
    parser.add_argument("--width", type=int, default=1280)
    parser.add_argument("--height", type=int, default=800)
    parser.add_argument(
        "--waterfall", action="store_true", help="what was asked for when, of the last of each"
    )
    parser.add_argument("--database", type=Path, help="a demo that an earlier run has left there")
    given = parser.parse_args()
    with ExitStack() as held:
        path = given.database or Path(held.enter_context(tempfile.TemporaryDirectory())) / "demo.sqlite"
        if not path.exists():
            demo(path)
        play = held.enter_context(sync_playwright())
        print(f"{os.cpu_count()} cores, load {os.getloadavg()[0]:.1f}, {given.width}x{given.height}")
        runs = {"at once": [], "cold": [], "new": [], "again": []}
        last = {}
        for _ in range(given.times):
            with (
                browser(play) as chromium,
                served(sqlite_url(path)) as server,
                closing(context_of(chromium, server, given)) as context,
            ):
                run, last["at once"] = come_in(context, server)
                runs["at once"].append(run)
            with served(sqlite_url(path)) as server, browser(play) as chromium:
                with closing(context_of(chromium, server, given)) as context:
                    run, last["cold"] = come_in(context, server)
                    runs["cold"].append(run)
                with closing(context_of(chromium, server, given)) as context:
                    run, last["new"] = come_in(context, server)
                    runs["new"].append(run)
                    run, last["again"] = come_in(context, server)
                    runs["again"].append(run)
        for way, found in runs.items():
            told(way, found)
            if given.waterfall:
                waterfall(last[way])
        print(f"load at the end {os.getloadavg()[0]:.1f}")


if __name__ == "__main__":
    main()
