"""Weak areas over a farm of blocks: how often a clean season shows one, and what holding a level over the farm costs in finding real ones.

What the screens state is `orchardmap.quality.farm_areas.areas_at`: one level over all blocks, asked again on every day that something
was checked. Each block by itself at the same level stands beside it. Run from the root: python bench/farm_areas.py
"""

import argparse
import os
import platform
import sys
import time
from math import sqrt
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1] / "tests" / "support"))
from orchardmap.quality.farm_areas import LOOSEST_LEVEL, areas_at
from simulated_orchards import PATCHES, Block, checked, drawn_in_every_row, faulty_trees

LEVEL, FIRST_GUESS = 0.05, 0.10
BLOCKS = (Block(25, 100), Block(40, 150), Block(30, 60), Block(18, 120))
CHECKED_SHARE = 0.03


def farm(n, rng, *, patch=None, rises_to=0.40):
    """Checks by block: each with a share of faulty trees of its own; the first one with a patch, if one is asked for."""
    told = {}
    for at in range(n):
        block = BLOCKS[at % len(BLOCKS)]
        weak = PATCHES[patch](block, rng) if patch and at == 0 else block.none()
        share = rng.beta(3, 40)
        faulty = faulty_trees(weak, share, max(share, rises_to), rng)
        drawn = drawn_in_every_row(block, round(CHECKED_SHARE * block.rows * block.positions), rng)
        told[f"block {rng.integers(2**60)}"] = checked(drawn, faulty)
    return told


def by_weeks(told, weeks, rng):
    """What was checked by the end of each week: rows are pruned and checked in order, blocks begin one after the other."""
    begins = {block: rng.uniform(0, 0.6) for block in told}
    for week in range(1, weeks + 1):
        gone = week / weeks
        yield {
            block: [
                one for one in trees if one.row / max(t.row for t in trees) <= (gone - begins[block]) / 0.4
            ]
            for block, trees in told.items()
        }


def shown(told, level=LEVEL):
    found = areas_at(level, told)
    return {block: found.standing(block) for block in told if found.standing(block)}


def block_alone(told, level=LEVEL):
    return [block for block, trees in told.items() if shown({block: trees}, level)]


def said(share, n):
    return f"{share:.3f} +- {sqrt(share * (1 - share) / n):.3f}"


def print_clean(seasons, n, weeks, rng):
    at_end = dict.fromkeys((0.01, LEVEL, FIRST_GUESS, LOOSEST_LEVEL), 0)
    alone_any, alone_blocks, ever = 0, 0, 0
    for _ in range(seasons):
        told = farm(n, rng)
        for level in at_end:
            at_end[level] += bool(shown(told, level))
        alone = block_alone(told)
        alone_any, alone_blocks = alone_any + bool(alone), alone_blocks + len(alone)
        ever += any(shown(so_far, FIRST_GUESS) for so_far in by_weeks(told, weeks, rng))
    print(f"\n{seasons} clean seasons of {n} blocks: share that shows an area")
    for level, alarms in at_end.items():
        print(f"  over the farm, level {level:.2f}, at the end    {said(alarms / seasons, seasons)}")
    print(
        f"  over the farm, level {FIRST_GUESS:.2f}, in any of {weeks} weeks {said(ever / seasons, seasons)}"
    )
    print(f"  each block by itself, level {LEVEL:.2f}         {said(alone_any / seasons, seasons)}")
    print(f"    of all blocks                         {said(alone_blocks / seasons / n, seasons * n)}")


def print_planted(seasons, n, rng):
    print(
        f"\n{seasons} seasons of {n} blocks, one of them with a patch: found over the farm at {LEVEL:.2f}, {FIRST_GUESS:.2f} and {LOOSEST_LEVEL:.2f}; by the block alone at {LEVEL:.2f}; false ones over the farm at the three"
    )
    for patch in PATCHES:
        found, false, alone = [0] * 3, [0] * 3, 0
        for _ in range(seasons):
            told = farm(n, rng, patch=patch)
            first = next(iter(told))
            for at, level in enumerate((LEVEL, FIRST_GUESS, LOOSEST_LEVEL)):
                listed = shown(told, level)
                found[at] += first in listed
                false[at] += bool(listed.keys() - {first})
            alone += bool(shown({first: told[first]}))
        print(f"  {patch:12}", *(said(one / seasons, seasons) for one in (*found, alone, *false)), sep="   ")


def print_speed(rng):
    told = farm(40, rng)
    for name in ("cold", "warm"):
        began = time.perf_counter()
        areas_at(LEVEL, told)
        print(
            f"40 blocks, {sum(map(len, told.values()))} checks, {name}: {1000 * (time.perf_counter() - began):.0f} ms"
        )


def main():
    ask = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    ask.add_argument("--seasons", type=int, default=200)
    ask.add_argument("--planted", type=int, default=40)
    ask.add_argument("--blocks", type=int, nargs="+", default=[12])
    ask.add_argument("--weeks", type=int, default=8)
    ask.add_argument("--seed", type=int, default=1)
    asked = ask.parse_args()
    rng = np.random.default_rng(asked.seed)
    print(
        f"Python {platform.python_version()}, numpy {np.__version__}, {os.cpu_count()} cores, load {os.getloadavg()[0]:.1f}; {asked}"
    )
    print_speed(rng)
    began, used = time.perf_counter(), time.process_time()
    for blocks in asked.blocks:
        print_clean(asked.seasons, blocks, asked.weeks, rng)
        print_planted(asked.planted, blocks, rng)
    print(f"\n{time.perf_counter() - began:.0f} s, {time.process_time() - used:.0f} s of it CPU")


if __name__ == "__main__":
    main()
