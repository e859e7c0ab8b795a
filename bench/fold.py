"""Folding the log of a large season: 460,800 marks over 55,000 rows, 500 settlements, 1 in 50 marks taken back.

    python bench/fold.py [--marks 460800] [--rows 55000]

Marks as 64 tablets make them in 120 days of 60 marks: rows in parts, one in twenty by two crews. Prints how long the pure
fold takes, and the whole `orchardmap rebuild` of a SQLite file (read, fold, compare, write).
"""

import argparse
import os
import platform
import sys
import tempfile
import time
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from random import Random

import numpy as np
from sqlalchemy import insert

from orchardmap.model.work import StretchSettlement
from orchardmap.store import log, orchard, row_tables
from orchardmap.store import tables as t
from orchardmap.store.session import open_store, sqlite_url
from orchardmap.store.settlements import append_settlement
from orchardmap.store.standing import Standing
from orchardmap.usecases import folding, planting
from orchardmap.usecases.planting import BlockPlan, new_id

sys.path.insert(0, str(Path(__file__).parent))
from rows import farm as synthetic_farm

NOW = datetime(2026, 1, 20, 15, 0, tzinfo=UTC)


def timed(what, call):
    began, used = time.perf_counter(), time.process_time()
    answer = call()
    print(f"{what:<66} {time.perf_counter() - began:>8.2f} s  ({time.process_time() - used:.2f} s CPU)")
    return answer


def made_marks(draw, table, crews, wanted):
    """Every row in some eight parts by its own crew; one part in twenty again by another."""
    rows = len(table.block_id)
    while True:
        for row in range(rows):
            length = int(table.positions[row])
            if not length:
                continue
            parts = max(1, round(wanted / rows * 0.95))
            edges = np.linspace(0, length, parts + 1).astype(int)
            crew = draw.choice(crews)
            for first, last in zip(edges[:-1] + 1, edges[1:], strict=True):
                if first > last:
                    continue
                who = crew if draw.random() > 0.05 else draw.choice(crews)
                yield Standing(
                    table.block_id[row], int(table.number[row]), int(first), int(last), who,
                    date(2026, 1, 1) + timedelta(days=draw.randrange(19)), new_id(), new_id(),
                )  # fmt: skip
                if draw.random() < 0.05:
                    yield Standing(
                        table.block_id[row], int(table.number[row]), int(first), int(last), draw.choice(crews),
                        date(2026, 1, 19), new_id(), new_id(),
                    )  # fmt: skip


def stored(conn, farm_id, season_id, marks, back):
    shared = {
        "farm_id": farm_id, "season_id": season_id, "content_hash": "0", "method": "ladder", "device_at": NOW,
        "corrected_at": NOW, "server_at": NOW, "set_aside": None,
    }  # fmt: skip
    for start in range(0, len(marks), 20_000):
        conn.execute(
            insert(t.marks),
            [
                shared
                | {
                    "id": m.id, "block_id": m.block_id, "row": m.row, "first": m.first, "last": m.last,
                    "crew_id": m.crew_id, "day": m.day, "device_day": m.day, "content_hash": m.content_hash,
                }
                for m in marks[start : start + 20_000]
            ],
        )  # fmt: skip
    del shared["season_id"], shared["method"]
    conn.execute(insert(t.withdrawals), [shared | {"id": new_id(), "mark_id": i, "reason": ""} for i in back])


def main():
    ask = argparse.ArgumentParser()
    ask.add_argument("--marks", type=int, default=460_800)
    ask.add_argument("--rows", type=int, default=55_000)
    ask.add_argument("--settlements", type=int, default=500)
    asked = ask.parse_args()
    print(f"Python {platform.python_version()}, load {os.getloadavg()[0]:.1f}, {os.cpu_count()} cores")
    draw = Random(7)
    outlines, plantings = synthetic_farm(max(1, round(asked.rows / 85)))
    with tempfile.TemporaryDirectory() as folder:
        store = open_store(sqlite_url(Path(folder) / "fold.sqlite"))
        farm = planting.create_farm(store, name="Bench", time_zone="UTC", now=NOW)
        season = planting.add_season(
            store, farm_id=farm.id, name="One", opens_on=date(2025, 12, 1), must_finish_on=date(2026, 3, 1)
        )
        crews = [planting.add_crew(store, farm_id=farm.id, name=f"Crew {n}").id for n in range(64)]
        plans = [
            BlockPlan(f"B{i:03}", "", None, o, p)
            for i, (o, p) in enumerate(zip(outlines, plantings, strict=True))
        ]
        planting.plant_blocks(store, farm_id=farm.id, plans=plans)
        with store.read() as conn:
            ids = [block.id for block in orchard.blocks(conn, farm.id)]
            table = row_tables.row_table(conn, ids)
        source = made_marks(draw, table, crews, asked.marks)
        marks = [next(source) for _ in range(asked.marks)]
        by_row = {}
        for mark in marks:
            by_row.setdefault((mark.block_id, mark.row), []).append(mark)
        words = [
            StretchSettlement(
                new_id(),
                n,
                season.id,
                *key,
                1,
                40,
                draw.choice(crews),
                frozenset(m.content_hash for m in by_row[key]),
            )
            for n, key in enumerate(draw.sample(sorted(by_row), asked.settlements), 1)
        ]
        print(f"{len(marks):,} marks, {len(table.block_id):,} rows, {len(words)} settlements")
        made = timed("pure fold of all rows", lambda: folding.folded(marks, table, words))
        statuses = [run.status for state in made for run in state.runs]
        print({status: statuses.count(status) for status in ("done", "contested", "settled", "reopened")})
        with store.write() as conn:
            log.lock_farm(conn, farm.id)
            stored(conn, farm.id, season.id, marks, [m.id for m in marks[::50]])
            for word in words:
                append_settlement(conn, farm.id, word, settled_by=None, now=NOW)
        timed(
            "rebuild: read, fold, compare, write (SQLite)",
            lambda: folding.rebuild(store, farm.id, write=True),
        )
        differing = timed(
            "rebuild again: the proof of equality", lambda: folding.rebuild(store, farm.id, write=False)
        )
        print(f"{len(differing)} rows differ")
        store.close()


if __name__ == "__main__":
    main()
