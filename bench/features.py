"""Features of a whole farm by OGC API - Features over HTTP: 600 blocks, about 51,000 rows, half of them pruned.

    python bench/features.py [--blocks 600] [--file kept.sqlite]

Prints what the first answer costs, what the next one after a mark costs, and requests a second, the 95th percentile and the service's processor time of pages of
rows, of the blocks of a view and of all blocks, by one client over one connection to `orchardmap serve` on this machine. SQLite, one process; with --file the
farm is kept for the next run. Processor time (Linux) holds on a busy machine too, the others do not. Design 08, line 5, wants twenty times a general feature server of its notes: 18.8 requests/s (p95 101 ms) of a view, 13.3 of all blocks.
"""

import argparse
import http.client
import json
import os
import platform
import statistics
import sys
import tempfile
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path
from urllib.parse import urlsplit

sys.path.insert(0, str(Path(__file__).parent))
sys.path.insert(0, str(Path(__file__).parents[1] / "tests" / "support"))
from rows import farm as synthetic_farm
from whole_farm import half_a_season

from orchardmap.store import farm as farm_store
from orchardmap.store.session import open_store, sqlite_url
from orchardmap.usecases import planting
from orchardmap.usecases.planting import BlockPlan, new_id
from servers import served
from signing import signed_in

SERVICE = {"pid": 0}


def make_farm(store, n_blocks, now):
    outlines, plantings = synthetic_farm(n_blocks)
    farm = planting.create_farm(store, name="Bench", time_zone="UTC", now=now)
    opens, ends = (now - timedelta(days=60)).date(), (now + timedelta(days=60)).date()
    season = planting.add_season(store, farm_id=farm.id, name="One", opens_on=opens, must_finish_on=ends)
    crew = planting.add_crew(store, farm_id=farm.id, name="Crew")
    plans = [
        BlockPlan(f"B{i:03}", "", None, outline, plan)
        for i, (outline, plan) in enumerate(zip(outlines, plantings, strict=True))
    ]
    blocks = planting.plant_blocks(store, farm_id=farm.id, plans=plans)
    half_a_season(store, farm.id, blocks, season, crew, now)


class Client:
    """One connection that stays open, as a program's does."""

    def __init__(self, address, token):
        where = urlsplit(address)
        self.connection = http.client.HTTPConnection(where.hostname, where.port)
        self.headers = {"Authorization": f"Bearer {token}"}

    def get(self, path, **headers):
        self.connection.request("GET", path, headers=self.headers | headers)
        answer = self.connection.getresponse()
        body = answer.read()
        assert answer.status == 200, body[:300]
        return body

    def post(self, path, body):
        self.connection.request(
            "POST", path, json.dumps(body), self.headers | {"Content-Type": "application/json"}
        )
        answer = self.connection.getresponse()
        said = answer.read()
        assert answer.status == 200, said[:300]
        return json.loads(said)


def cpu_s(pid):
    """Processor time of a process so far, with its threads."""
    fields = Path(f"/proc/{pid}/stat").read_text("ascii").rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def timed(what, call, paths):
    times, size, began_cpu = [], 0, cpu_s(SERVICE["pid"])
    for path in paths:
        began = time.perf_counter()
        size += len(call(path))
        times.append(time.perf_counter() - began)
    rate, p95 = len(times) / sum(times), statistics.quantiles(times, n=20)[-1] if len(times) > 1 else times[0]
    cpu_ms = (cpu_s(SERVICE["pid"]) - began_cpu) / len(times) * 1000
    figures = f"{rate:>7.1f}/s, p95 {p95 * 1000:>8.1f} ms, processor {cpu_ms:>7.1f} ms, {size // len(times):>9,} bytes"
    print(f"{what:<42} {figures}", flush=True)


def main():
    ask = argparse.ArgumentParser()
    ask.add_argument("--blocks", type=int, default=600)
    ask.add_argument("--file", default="")
    said = ask.parse_args()
    print(f"Python {platform.python_version()}, load {os.getloadavg()[0]:.1f}, {os.cpu_count()} cores")
    now = datetime.now(UTC)
    with tempfile.TemporaryDirectory() as folder:
        file = Path(said.file or Path(folder, "farm.sqlite"))
        is_new = not file.exists()
        store = open_store(sqlite_url(file))
        if is_new:
            make_farm(store, said.blocks, now)
        with store.read() as conn:
            (farm,) = farm_store.farms(conn)
            (season,), (crew,) = farm_store.seasons(conn, farm.id), farm_store.crews(conn, farm.id)
        token = signed_in(store, {farm.id: ("manager", None)}, now=now)
        store.close()
        with served(sqlite_url(file)) as server:
            SERVICE["pid"] = server.process.pid
            measure(Client(server.address, token), farm, season, crew, now)


def measure(client, farm, season, crew, now):
    root = f"/ogc/farms/{farm.id}/collections"
    timed("first page of 1,000 rows", client.get, [f"{root}/rows/items?limit=1000"])
    pages, path = [], f"{root}/rows/items?limit=1000"
    while path:
        pages.append(path)
        told = json.loads(client.get(path))
        following = [link["href"] for link in told["links"] if link["rel"] == "next"]
        path = following[0][following[0].index("/ogc") :] if following else None
    print(f"{told['numberMatched']:,} rows in {len(pages)} pages")
    timed("every page of 1,000 rows", client.get, pages)
    timed(
        "every page of 1,000 rows, gzipped",
        lambda path: client.get(path, **{"Accept-Encoding": "gzip"}),
        pages,
    )
    timed("rows of one block", client.get, [f"{root}/rows/items?block=B{i:03}" for i in range(0, 600, 7)])
    blocks = json.loads(client.get(f"{root}/blocks/items?limit=10000"))["features"]
    views = [view(one["geometry"]) for one in blocks[::5]]
    timed("rows of a view of 300 m", client.get, [f"{root}/rows/items?bbox={one}" for one in views])
    timed("blocks of a view of 300 m", client.get, [f"{root}/blocks/items?bbox={one}" for one in views])
    timed("all blocks", client.get, [f"{root}/blocks/items?limit=10000"] * 60)
    timed("progress of all blocks", client.get, [f"{root}/progress/items?limit=10000"] * 60)
    timed("one row", client.get, [f"{root}/rows/items/{one['id']}.1" for one in blocks[::5]])
    for collection in ("rows", "progress", "blocks"):
        marked = [one["id"] for one in blocks[1:80:16]]
        path = f"{root}/{collection}/items?limit=1000"
        timed(
            f"a mark and the first page of {collection}",
            after_a_mark(client, farm, season, crew, now, path),
            marked,
        )
    when = (now - timedelta(days=20)).date()
    timed("first page of rows as of a day before", client.get, [f"{root}/rows/items?datetime={when}"])
    timed("next pages of that day", client.get, [f"{path}&datetime={when}" for path in pages[1:]])


def view(geometry):
    west, south = geometry["coordinates"][0][0][0]
    return f"{west},{south},{west + 0.0039},{south + 0.0027}"


def after_a_mark(client, farm, season, crew, now, path):
    def call(block_id):
        mark = {"id": new_id(), "season_id": season.id, "block_id": block_id, "row": 1, "first": 1, "last": 3}
        mark |= {
            "crew_id": crew.id,
            "day": now.date().isoformat(),
            "method": "ladder",
            "device_at": now.isoformat(),
        }
        client.post(f"/api/farms/{farm.id}/marks", {"sent_at": now.isoformat(), "marks": [mark]})
        return client.get(path)

    return call


if __name__ == "__main__":
    main()
