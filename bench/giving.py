"""Giving out blocks: how long a proposal for a whole farm takes, and how near it comes to the shortest season.

    python bench/giving.py [--farms 20]        (from the top of the repository)

* time: 600 blocks and 20 crews, all of it new, with the reasons of every block in words; the target is 5 s (issue 6)
* small: 14 blocks and 3 unlike crews, the day of the last crew over the optimum (HiGHS, whole blocks), ways and closures left out
* large: 600 blocks and 20 crews over a bound from below (parts of blocks allowed), ways, closures, days and habits as drawn
* ways: metres from block to block of the same farms, and of the same queues in an order of chance

Measured on two busy cores:

| what | mean or median | worst of 20 farms |
|---|---|---|
| time, 600 blocks and 20 crews | 1.0 s | 1.5 s |
| small, over the optimum | 1.030 | 1.135 |
| large, over the bound | 1.021 | 1.027 |

Ways of a large farm: 1,009 km over all queues of a season, in an order of chance 1,652 km.
"""

import argparse
import sys
import time
from itertools import pairwise
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1] / "tests" / "support"))
from orchardmap.planning.giving import propose
from orchardmap.planning.giving_texts import reason_text, reasons_of
from orchardmap.planning.work_ahead import WorkAhead
from work_to_give import DAYS, a_block, a_crew, a_farm, longest_h, shortest_h


def small(seed):
    """The last crew's hours over the shortest possible, of a small farm."""
    rng = np.random.default_rng(seed)
    blocks = [a_block(f"B{i}", int(rng.integers(1_000, 12_000))) for i in range(14)]
    crews = [a_crew(f"Crew {i}", int(rng.integers(4, 9))) for i in range(3)]
    ahead = WorkAhead.of(blocks, crews, DAYS)
    return longest_h(ahead, propose(blocks, crews, DAYS)) / shortest_h(ahead)


def ways_m(proposal, blocks, rng=None):
    """Metres from block to block over all queues; shuffled with a generator."""
    xy = {block.id: np.array(block.spot.xy_m) for block in blocks}
    total = 0.0
    for _, queue in proposal.queues:
        told = list(queue) if rng is None else [queue[i] for i in rng.permutation(len(queue))]
        total += sum(float(np.hypot(*(xy[b] - xy[a]))) for a, b in pairwise(told))
    return total


def large(seed):
    """Seconds, hours over the bound, metres and metres by chance of a large farm."""
    rng = np.random.default_rng(seed)
    blocks, crews = a_farm(rng, blocks=600, crews=20)
    began = time.perf_counter()
    found = propose(blocks, crews, DAYS)
    told = reasons_of(found, blocks, crews, DAYS)
    lines = [reason_text(one, crew="Crew", language="es") for one in told.values()]
    took_s = time.perf_counter() - began
    assert len(lines) == len(blocks)
    ahead = WorkAhead.of(blocks, crews, DAYS)
    bound_h = shortest_h(ahead, whole=False)
    return took_s, longest_h(ahead, found) / bound_h, ways_m(found, blocks), ways_m(found, blocks, rng)


def main():
    asked = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    asked.add_argument("--farms", type=int, default=20)
    farms = asked.parse_args().farms
    over = [small(seed) for seed in range(farms)]
    print(f"small: over the optimum mean {np.mean(over):.3f}, worst {max(over):.3f}, of {farms} farms")
    told = np.array([large(seed) for seed in range(farms)])
    print(f"large: {np.median(told[:, 0]):.2f} s median, {told[:, 0].max():.2f} s worst")
    print(f"large: over the bound mean {told[:, 1].mean():.3f}, worst {told[:, 1].max():.3f}")
    print(f"ways: {told[:, 2].mean() / 1000:.0f} km, by chance {told[:, 3].mean() / 1000:.0f} km")


if __name__ == "__main__":
    main()
