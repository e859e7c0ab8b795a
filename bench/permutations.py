"""One season's records in many orders, repeated and in other batches: the view must be the same byte for byte.

So must be what is said of lots with trees that cannot be judged, whatever order their checks come in.

    python bench/permutations.py [--permutations 10000] [--operations 800] [--rows 40]     (from the top of the repository)

Exits with 1 at the first that differs.
"""

import argparse
import hashlib
import os
import platform
import sys
import time
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "tests" / "support"))
import stand_in_vectors
from merge_seasons import folded_text, season, turned


def main():
    ask = argparse.ArgumentParser()
    ask.add_argument("--permutations", type=int, default=10_000)
    ask.add_argument("--operations", type=int, default=800)
    ask.add_argument("--rows", type=int, default=40)
    asked = ask.parse_args()
    print(f"Python {platform.python_version()}, load {os.getloadavg()[0]:.1f}, {os.cpu_count()} cores")
    records = season(rows=asked.rows, operations=asked.operations, seed=7)
    expected = folded_text(records)
    print(dict(Counter(type(one).__name__ for one in records)))
    print(
        "runs:",
        {status: expected.count(f'"{status}"') for status in ("done", "contested", "settled", "reopened")},
    )
    began, used = time.perf_counter(), time.process_time()
    for seed in range(asked.permutations):
        if folded_text(turned(records, seed)) != expected:
            print(f"permutation {seed} gives another view")
            sys.exit(1)
    took = time.perf_counter() - began
    print(
        f"{asked.permutations:,} permutations of {len(records)} records over {asked.rows} rows: all alike "
        f"({hashlib.sha256(expected.encode()).hexdigest()[:16]}); {took:.1f} s, {time.process_time() - used:.1f} s of it CPU"
    )
    lots = stand_in_vectors.generated()
    for seed in range(asked.permutations):
        lot = lots[seed % len(lots)]
        if stand_in_vectors.by_core(stand_in_vectors.turned(lot, seed)) != lot["expect"]:
            print(f"permutation {seed} of {lot['name']} judges the lot otherwise")
            sys.exit(1)
    print(f"{asked.permutations:,} permutations of the checks of {len(lots)} lots: all alike")


if __name__ == "__main__":
    main()
