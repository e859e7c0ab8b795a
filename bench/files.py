"""Files of a whole farm: 600 blocks, about 51,000 rows, half of them pruned; time, size and peak memory of each.

    python bench/files.py [--blocks 600] [--positions]

Each file is made in a process of its own, so that its peak memory is its own; the first one is an empty start of the program.
SQLite; the figures are of this machine and this run. ``--positions`` adds the files with every tree, millions on such a farm.
"""

import argparse
import resource
import subprocess
import sys
import tempfile
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path

from orchardmap.store.session import open_store
from orchardmap.usecases import planting, reporting
from orchardmap.usecases.farm_files import FILES, FileWish, write_farm_file
from orchardmap.usecases.planting import BlockPlan
from orchardmap.usecases.whole_farm import pack_farm, take_farm

START, PACK, TAKE = "(start)", "farm.zip", "(farm.zip taken)"


def one(what: str, url: str, folder: Path) -> None:
    """Make one file, and print what it took."""
    now = datetime.now(UTC)
    began, count, path = time.perf_counter(), 0, folder / what
    if what == TAKE:
        new = open_store(f"sqlite:///{folder}/new.sqlite")
        count = sum(take_farm(new, folder / PACK, now=now).lines.values())
        new.close()
        path = folder / "new.sqlite"
    elif what != START:
        store = open_store(url, read_only=True)
        farm = reporting.chosen_farm(store, "")
        path.unlink(missing_ok=True)
        if what == PACK:
            count = sum(pack_farm(store, farm.id, path).lines.values())
        else:
            count = write_farm_file(store, farm.id, FileWish(what), path, now=now).features
        store.close()
    took, used = time.perf_counter() - began, resource.getrusage(resource.RUSAGE_SELF)
    # not ru_maxrss, which begins with what the process was forked from
    peak = next(
        line for line in Path("/proc/self/status").read_text().splitlines() if line.startswith("VmHWM")
    )
    size = path.stat().st_size / 1e6 if path.exists() else 0
    print(
        f"{what:<30} {count:>9,} {size:>8.1f} MB {took:>7.1f} s {used.ru_utime + used.ru_stime:>7.1f} s CPU"
        f" {int(peak.split()[1]) / 1e3:>6.0f} MB peak",
        flush=True,
    )


def made_farm(url: str, blocks: int) -> None:
    """Make the synthetic farm, half of it pruned by one crew."""
    sys.path.insert(0, str(Path(__file__).parent))
    from rows import farm as synthetic_farm
    from whole_farm import half_a_season

    now = datetime.now(UTC)
    store = open_store(url)
    farm = planting.create_farm(store, name="Bench", time_zone="UTC", now=now)
    days = {"opens_on": (now - timedelta(60)).date(), "must_finish_on": (now + timedelta(60)).date()}
    season = planting.add_season(store, farm_id=farm.id, name="One", **days)
    crew = planting.add_crew(store, farm_id=farm.id, name="Crew")
    plans = [
        BlockPlan(f"B{number:03}", "", None, outline, plan)
        for number, (outline, plan) in enumerate(zip(*synthetic_farm(blocks), strict=True))
    ]
    planted = planting.plant_blocks(store, farm_id=farm.id, plans=plans)
    half_a_season(store, farm.id, planted, season, crew, now)
    store.close()


def main() -> None:
    """Make the farm, then every file of it."""
    asked = argparse.ArgumentParser()
    asked.add_argument("--blocks", type=int, default=600)
    asked.add_argument("--positions", action="store_true")
    asked.add_argument("--only", nargs="*", default=[], help="names of files")
    asked.add_argument("--one", nargs=3)
    given = asked.parse_args()
    if given.one:
        one(given.one[0], given.one[1], Path(given.one[2]))
        return
    with tempfile.TemporaryDirectory() as folder:
        url = f"sqlite:///{folder}/farm.sqlite"
        made_farm(url, given.blocks)
        files = [name for name in FILES if given.positions or "positions" not in name]
        for what in (START, *(given.only or files), PACK, TAKE):
            subprocess.run([sys.executable, __file__, "--one", what, url, folder], check=True)


if __name__ == "__main__":
    main()
