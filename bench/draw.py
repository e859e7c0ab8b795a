"""The draw of checks: how evenly it is spread, how fair it is, and how far one walks for it.

    python bench/draw.py [--draws 100] [--seeds 2000]        (from the top of the repository)

A block of 40 rows by 150 trees, 3.5 m by 1 m.

* balance: mean over draws of the mean square of the Voronoi shares off one (Stevens & Olsen 2004); 0 is perfectly even
* steps: positions passed along rows, between rows only at their ends: in the order of `walking_order`, and up one row and down the next
* fair: half of a block of 10 by 30 drawn over and over; spread of the trees' shares of being drawn, and what chance alone gives

Measured with 100 draws and 2,000 seeds, standard errors in brackets:

| trees | balance, drawn | simple random | steps, walking order | up and down |
|---|---|---|---|---|
| 60 | .091 (.003) | .307 (.009) | 4,650 (26) | 5,774 (30) |
| 180 | .088 (.002) | .294 (.005) | 5,984 (2) | 6,000 |
| 300 | .079 (.001) | .289 (.004) | 6,000 | 6,000 |

Spread of the shares .0225, by chance alone .0224; without the random shift (a line of `draw.py` left out) it was .0726.
"""

import argparse
import os
import platform
import sys
import time
from collections import Counter
from itertools import pairwise, product
from math import sqrt
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1] / "tests" / "support"))
from orchardmap.quality.draw import drawn_trees
from orchardmap.quality.walk import walking_order
from spread import voronoi_balance

ROWS, POSITIONS = 40, 150
TREES = list(product(range(1, ROWS + 1), range(1, POSITIONS + 1)))


def places(trees, n, seed):
    return [(one.row, one.position) for one in drawn_trees(trees, n, rng=np.random.default_rng(seed))]


def simple(n, seed):
    return [TREES[at] for at in np.random.default_rng(seed).choice(len(TREES), n, replace=False)]


def balance(sample):
    at = [(row - 1) * POSITIONS + position - 1 for row, position in sample]
    return voronoi_balance(np.array(TREES) * (3.5, 1.0), at)


def steps(order):
    """Positions passed along the rows in this order, from either end of the first row to either end of the last."""
    rows = {}
    for row, position in order:
        rows.setdefault(row, []).append(position)
    at_end = {True: 0.0, False: 0.0}
    for inside in rows.values():
        after = {True: np.inf, False: np.inf}
        for is_first, so_far in at_end.items():
            if all(a < b if is_first else a > b for a, b in pairwise(inside)):
                turn = 2 * inside[-1] if is_first else 2 * (POSITIONS + 1 - inside[-1])
                after[is_first] = min(after[is_first], so_far + turn)
                after[not is_first] = min(after[not is_first], so_far + POSITIONS)
        at_end = after
    return min(at_end.values())


def told(values):
    return f"{np.mean(values):8.3f} +- {np.std(values) / sqrt(len(values)):.3f}"


def main():
    ask = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    ask.add_argument("--draws", type=int, default=100)
    ask.add_argument("--seeds", type=int, default=2000)
    asked = ask.parse_args()
    print(
        f"Python {platform.python_version()}, numpy {np.__version__}, {os.cpu_count()} cores, load {os.getloadavg()[0]:.1f}; {asked}"
    )
    for n in (60, 180, 300):
        print(f"\n{n} trees, {asked.draws} draws")
        print(
            f"  balance, drawn:         {told([balance(places(TREES, n, seed)) for seed in range(asked.draws)])}"
        )
        print(f"  balance, simple random: {told([balance(simple(n, seed)) for seed in range(asked.draws)])}")
        drawn = [places(TREES, n, seed) for seed in range(asked.draws)]
        walks = [walking_order(trees, dict.fromkeys(range(1, ROWS + 1), POSITIONS)) for trees in drawn]
        print(f"  steps, walking order:   {told([steps(walk) for walk in walks])}")
        print(
            f"  steps, up and down:     {told([POSITIONS * len({row for row, _ in trees}) for trees in drawn])}"
        )
    block = list(product(range(10), range(30)))
    began = time.perf_counter()
    counts = Counter(tree for seed in range(asked.seeds) for tree in places(block, 150, seed))
    spent = time.perf_counter() - began
    shares = np.array([counts[tree] for tree in block]) / asked.seeds / 0.5
    print(
        f"\nfair: spread of shares {shares.std():.4f}, by chance alone {sqrt(1 / asked.seeds):.4f} ({asked.seeds} seeds)"
    )
    print(f"a draw of 150 trees: {1000 * spent / asked.seeds:.1f} ms")


if __name__ == "__main__":
    main()
