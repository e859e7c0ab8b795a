"""A whole farm through store and service: 600 blocks, about 51,000 rows, half of them pruned.

    python bench/whole_farm.py [--blocks 600]

Prints how long taking the blocks, recording marks and answering the overview take, and how large
the answers are, plain and gzipped. A proposal of who prunes what next is to take less than 5 s. SQLite, one process; the figures are of this machine and this run.
"""

import argparse
import gzip
import json
import os
import platform
import statistics
import sys
import tempfile
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path

from fastapi.testclient import TestClient

from orchardmap.model.work import Mark
from orchardmap.store.session import open_store, sqlite_url
from orchardmap.usecases import account_keeping, planting, queue_board, recording
from orchardmap.usecases.planting import BlockPlan, new_id
from orchardmap_api.main import create_app
from orchardmap_api.settings import Settings

sys.path.insert(0, str(Path(__file__).parent))
from rows import farm as synthetic_farm

ROUNDS = 7


def timed(what, call, rounds=1):
    times = []
    for _ in range(rounds):
        began = time.perf_counter()
        answer = call()
        times.append(time.perf_counter() - began)
    print(f"{what:<58} {statistics.median(times) * 1000:>10.1f} ms")
    return answer


def weighed(what, response):
    raw = response.content
    print(f"{what:<58} {len(raw):>10,} bytes, {len(gzip.compress(raw, 6)):>9,} gzipped")
    return json.loads(raw)


def half_a_season(store, farm_id, blocks, season, crew, now):
    """Mark every row of every other block, in batches of 500."""
    marks = []
    for number, block in enumerate(blocks[::2]):
        with store.read() as conn:
            from orchardmap.store import orchard

            rows = orchard.rows(conn, block.id)
        day = (now - timedelta(days=number % 40)).date()
        marks += [
            Mark(
                new_id(),
                season.id,
                block.id,
                row.number,
                1,
                row.positions,
                crew.id,
                day,
                "ladder",
                None,
                None,
                now,
            )
            for row in rows
            if row.positions
        ]
    for start in range(0, len(marks), 500):
        recording.record_marks(store, farm_id=farm_id, marks=marks[start : start + 500], sent_at=now, now=now)
    return marks


def main():
    ask = argparse.ArgumentParser()
    ask.add_argument("--blocks", type=int, default=600)
    n_blocks = ask.parse_args().blocks
    print(f"Python {platform.python_version()}, load {os.getloadavg()[0]:.1f}, {os.cpu_count()} cores")
    now = datetime.now(UTC)
    outlines, plantings = synthetic_farm(n_blocks)
    with tempfile.TemporaryDirectory() as folder:
        url = sqlite_url(Path(folder) / "farm.sqlite")
        store = open_store(url)
        farm = planting.create_farm(store, name="Bench", time_zone="UTC", now=now)
        season = planting.add_season(
            store,
            farm_id=farm.id,
            name="One",
            opens_on=(now - timedelta(days=60)).date(),
            must_finish_on=(now + timedelta(days=60)).date(),
        )
        crew = planting.add_crew(store, farm_id=farm.id, name="Crew")
        plans = [
            BlockPlan(f"B{i:03}", "", None, outline, plan)
            for i, (outline, plan) in enumerate(zip(outlines, plantings, strict=True))
        ]
        blocks = timed("take all blocks", lambda: planting.plant_blocks(store, farm_id=farm.id, plans=plans))
        for i in range(19):
            planting.add_crew(store, farm_id=farm.id, name=f"Crew {i + 2}")

        def propose():
            return queue_board.proposed_queues(store, farm.id, language="es", now=now)

        timed("proposal of queues, no block begun, 20 crews", propose, 3)
        marks = timed(
            "mark half the rows, batches of 500",
            lambda: half_a_season(store, farm.id, blocks, season, crew, now),
        )
        print(f"{len(marks):,} marks")
        one = marks[0]

        def again(position):
            mark = Mark(
                new_id(),
                season.id,
                blocks[1].id,
                1 + position,
                1,
                5,
                crew.id,
                now.date(),
                "ladder",
                None,
                None,
                now,
            )
            return recording.record_marks(store, farm_id=farm.id, marks=[mark], sent_at=now, now=now)

        timed("proposal of queues, half the blocks done", propose)
        timed("the same while nothing changes", propose, 3)
        numbers = iter(range(10_000))
        timed("one mark, on disk", lambda: again(next(numbers) % 20), rounds=40)
        account = account_keeping.add_account(store, login="bench", name="Bench", password=None, now=now)
        account_keeping.give_role(store, account, farm_id=farm.id, role="manager", now=now)
        headers = {"Authorization": f"Bearer {account_keeping.make_token(store, account, now=now)}"}
        store.close()
        app = create_app(Settings(database_url=url))
        with TestClient(app, base_url="http://localhost", headers=headers) as client:
            at = f"/api/farms/{farm.id}/overview"
            timed("overview, today", lambda: client.get(at), ROUNDS)
            timed(
                "overview, as of ten days ago",
                lambda: client.get(at, params={"day": str(now.date() - timedelta(days=10))}),
                3,
            )
            told = weighed("overview", client.get(at))
            print(
                f"{told['figures']['rows']:,} rows, {told['figures']['trees']:,} trees, {told['figures']['pruned']:,} pruned"
            )
            version = {block["id"]: block["shape_version"] for block in told["blocks"]}[one.block_id]
            shape = f"/api/blocks/{one.block_id}/shape?v={version}"
            timed("shape of one block", lambda: client.get(shape), ROUNDS)
            weighed("shape of one block", client.get(shape))
            timed("state of one block", lambda: client.get(f"/api/blocks/{one.block_id}/state"), ROUNDS)
            weighed("state of one block", client.get(f"/api/blocks/{one.block_id}/state"))
            timed("progress of the farm", lambda: client.get(f"/api/farms/{farm.id}/progress"), 3)


if __name__ == "__main__":
    main()
