"""Weak areas: how often they are found, how often clean blocks alarm, and how far off the found place is.

    python bench/weak_areas.py [--seasons 25] [--clean 60] [--checks 180 300] [--weak] [--permutations 99] [--seed 1]
    (from the top of the repository)

Invented blocks of 40 rows by 150 trees, 3.5 m by 1 m, checked at random within every row at 3 % (180 trees) or 5 % (300). Patches:
a circle of 17.5 m radius, 3 whole rows, 6 half rows; faulty trees 5 to 35 % or 10 to 45 % (strong), 5 to 20 % or 10 to 30 % (--weak). Clean: 5 or
10 %, everywhere ("flat") or by rows that differ (Beta, precision 60).

* rectangles: `weak_areas`, as the command has it; + 40 trees: confirmed by 40 new trees in its first area, whatever that area's p
* circles: the same scan over circles around checks
* exact Gi*: hypergeometric chance of the checks within 18 m, Benjamini-Hochberg at 0.05
* rows, Beta: `weak_rows`;  rows, exact: hypergeometric chance of each row, Benjamini-Hochberg at 0.05

hit: an alarm that touches the patch; useful: at least half of the flagged checks lie in it. Precision, recall (of checks) and metres between
the middles are those of the hits.

Measured with 99 permutations: 180 checks by --checks 180 --seasons 60 --clean 200, 300 by --checks 300 --seasons 40 --clean 100. Standard errors of
alarms in brackets; of a share of finds up to .045 (180) and .056 (300).

| share of clean blocks with an alarm | flat, 180 | rows differ, 180 | flat, 300 | rows differ, 300 |
|---|---|---|---|---|
| rectangles | .043 (.010) | .037 (.009) | .035 (.013) | .045 (.015) |
| + 40 trees | .035 (.009) | .052 (.011) | .055 (.016) | .055 (.016) |
| circles | .020 (.007) | .062 (.012) | .065 (.017) | .050 (.015) |
| exact Gi* | .005 (.004) | .015 (.006) | .015 (.009) | .010 (.007) |
| rows, Beta | .062 (.012) | .095 (.015) | .115 (.023) | .215 (.029) |
| rows, exact | .015 (.006) | .033 (.009) | .030 (.012) | .060 (.017) |

| strong patches: hit / useful | circle, 180 | 3 rows, 180 | 6 half rows, 180 | circle, 300 | 3 rows, 300 | 6 half rows, 300 |
|---|---|---|---|---|---|---|
| rectangles | .18 / .13 | .23 / .21 | .35 / .33 | .42 / .39 | .56 / .56 | .57 / .57 |
| + 40 trees | .56 / .45 | .64 / .62 | .68 / .64 | .69 / .66 | .85 / .81 | .89 / .86 |
| circles | .24 / .16 | .14 / .07 | .25 / .20 | .39 / .33 | .21 / .14 | .59 / .40 |
| exact Gi* | .17 / .17 | .07 / .06 | .17 / .17 | .38 / .38 | .11 / .10 | .35 / .34 |
| rows, Beta | .03 / .01 | .18 / .18 | .08 / .08 | .09 / .04 | .72 / .72 | .30 / .29 |
| rows, exact | .03 / .01 | .16 / .16 | .07 / .07 | .01 / .00 | .56 / .56 | .15 / .14 |

| precision / recall / metres off | circle, 300 | 3 rows, 300 | 6 half rows, 300 |
|---|---|---|---|
| rectangles | .81 / .72 / 8 | .91 / .65 / 15 | .90 / .67 / 10 |
| + 40 trees | .85 / .64 / 7 | .89 / .62 / 17 | .89 / .61 / 11 |
| circles | .76 / .76 / 8 | .54 / .34 / 34 | .67 / .56 / 16 |
| exact Gi* | .88 / .45 / 8 | .71 / .19 / 37 | .93 / .31 / 15 |
| rows, Beta | .34 / .18 / 19 | 1.00 / .42 / 12 | .69 / .24 / 26 |
| rows, exact | .25 / .10 / 25 | 1.00 / .38 / 11 | .68 / .22 / 28 |

So the scan keeps to its 5 %. It finds 3 whole rows two to five times as often as circles and exact Gi* do, and round patches about as often; of half
rows it says better where they are. Rows by themselves find whole rows best, and alarm too often to be believed without a second look, more so where
rows differ anyway. 40 new trees find about half as many patches again at 300 checks, two to three times as many at 180.
999 permutations take .10 s CPU for 180 checks, .20 s for 300, 5.5 s for 5,000 in 250 rows of 30.
"""

import argparse
import os
import platform
import sys
import time
from collections import defaultdict
from dataclasses import dataclass
from math import sqrt
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1] / "tests" / "support"))
from hot_spots import circle_flags, gi_star_flags, row_fdr_flags, row_flags
from orchardmap.quality.weak_areas import weak_areas
from simulated_orchards import PATCHES, Block, checked, drawn_in_every_row, faulty_trees

BLOCK = Block()
SHARES = (0.05, 0.10)
STRONG, WEAK = dict(zip(SHARES, (0.35, 0.45), strict=True)), dict(zip(SHARES, (0.20, 0.30), strict=True))
METHODS = ("rectangles", "+ 40 trees", "circles", "exact Gi*", "rows, Beta", "rows, exact")
NEW_TREES = 40


@dataclass
class Outcome:
    """What one method made of one season."""

    alarm: bool
    hit: bool = False
    precision: float = 0.0
    recall: float = 0.0
    off_m: float = 0.0


def inside(area, shape):
    found = np.zeros(shape, bool)
    found[area.rows[0] - 1 : area.rows[1], area.positions[0] - 1 : area.positions[1]] = True
    return found


def confirmed(areas, checks, drawn, faulty, rng):
    """The first area where 40 new trees in it say so; no tree of the block where they do not."""
    nowhere = np.zeros(drawn.shape, bool)
    if not areas:
        return nowhere
    area = inside(areas[0], drawn.shape)
    left = np.flatnonzero(area & ~drawn)
    new = nowhere.copy()
    new.ravel()[rng.choice(left, min(NEW_TREES, len(left)), replace=False)] = True
    # the areas of the first pass do not depend on new trees, so few permutations are enough here
    again = weak_areas([*checks, *checked(new, faulty, is_recheck=True)], rng=rng, permutations=1)
    return area if again[0].state == "confirmed" else nowhere


def flags_of(faulty, drawn, rng, permutations):
    """Each method's flags over the checks, in the order of rows and positions."""
    checks = checked(drawn, faulty)
    is_faulty = faulty[drawn]
    xy_m = np.column_stack([axis[drawn] for axis in BLOCK.xy_m()])
    areas = weak_areas(checks, rng=rng, permutations=permutations)
    suspect = [inside(area, drawn.shape)[drawn] for area in areas if area.state == "suspect"]
    return {
        "rectangles": np.any(suspect, axis=0) if suspect else np.zeros(len(checks), bool),
        "+ 40 trees": confirmed(areas, checks, drawn, faulty, rng)[drawn],
        "circles": circle_flags(xy_m, is_faulty, rng, permutations),
        "exact Gi*": gi_star_flags(xy_m, is_faulty),
        "rows, Beta": row_flags(checks),
        "rows, exact": row_fdr_flags(checks),
    }


def outcome(flags, weak, drawn):
    in_patch = weak[drawn]
    if not (flags & in_patch).any():
        return Outcome(bool(flags.any()))
    found = (flags & in_patch).sum()
    x, y = BLOCK.xy_m()
    off = [axis[drawn][flags].mean() - axis[weak].mean() for axis in (x, y)]
    return Outcome(True, True, found / flags.sum(), found / in_patch.sum(), float(np.hypot(*off)))


def seasons(n, checks, make, rng, permutations):
    """Outcomes by method of seasons of both shares, told for each by what ``make(share)`` gives: patch and faulty trees."""
    told = defaultdict(list)
    for share in SHARES:
        for _ in range(n):
            weak, faulty = make(share)
            drawn = drawn_in_every_row(BLOCK, checks, rng)
            for method, flags in flags_of(faulty, drawn, rng, permutations).items():
                told[method].append(outcome(flags, weak, drawn))
    return told


def clean_flat(share, rng):
    return BLOCK.none(), faulty_trees(BLOCK.none(), share, share, rng)


def clean_by_rows(share, rng):
    of_row = rng.beta(60 * share, 60 * (1 - share), BLOCK.rows)
    return BLOCK.none(), rng.random((BLOCK.rows, BLOCK.positions)) < of_row[:, np.newaxis]


def said(share, n):
    return f"{share:.3f} +- {sqrt(share * (1 - share) / n):.3f}"


def print_alarms(title, told):
    n = len(next(iter(told.values())))
    print(f"\n{title}: {n} seasons; share with an alarm")
    for method in METHODS:
        print(f"  {method:12} {said(np.mean([one.alarm for one in told[method]]), n)}")


def print_finds(title, told):
    n = len(next(iter(told.values())))
    print(f"\n{title}: {n} seasons; hit, useful; of the hits precision, recall, metres off")
    for method in METHODS:
        hits = [one for one in told[method] if one.hit]
        useful = np.mean([one.hit and one.precision >= 0.5 for one in told[method]])
        line = f"  {method:12} {said(len(hits) / n, n)}   {said(useful, n)}"
        if hits:
            middle = [
                np.mean([getattr(one, name) for one in hits]) for name in ("precision", "recall", "off_m")
            ]
            line += "   {:.2f} {:.2f} {:4.0f} m".format(*middle)
        print(line)


def print_speed():
    for rows, positions, checks in ((40, 150, 180), (40, 150, 300), (250, 30, 5000)):
        block, rng = Block(rows, positions), np.random.default_rng(3)
        told = checked(drawn_in_every_row(block, checks, rng), faulty_trees(block.none(), 0.07, 0.07, rng))
        used = time.process_time()
        weak_areas(told, rng=rng)
        print(f"{checks} checks, {rows} rows, 999 permutations: {time.process_time() - used:.2f} s CPU")


def main():
    ask = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    ask.add_argument(
        "--seasons", type=int, default=25, help="with a patch, for each share, patch and number of checks"
    )
    ask.add_argument("--clean", type=int, default=60, help="clean ones, for each share and number of checks")
    ask.add_argument("--checks", type=int, nargs="+", default=[180, 300])
    ask.add_argument("--weak", action="store_true", help="weak patches too")
    ask.add_argument("--permutations", type=int, default=99)
    ask.add_argument("--seed", type=int, default=1)
    asked = ask.parse_args()
    rng = np.random.default_rng(asked.seed)
    print(
        f"Python {platform.python_version()}, numpy {np.__version__}, {os.cpu_count()} cores, load {os.getloadavg()[0]:.1f}; {asked}"
    )
    print_speed()
    began, used = time.perf_counter(), time.process_time()
    for checks in asked.checks:
        for name, clean in (("flat", clean_flat), ("rows differ", clean_by_rows)):
            told = seasons(
                asked.clean, checks, lambda share, clean=clean: clean(share, rng), rng, asked.permutations
            )
            print_alarms(f"clean, {name}, {checks} checks", told)
        for strength, rises in (("strong", STRONG), *((("weak", WEAK),) if asked.weak else ())):
            for name, patch in PATCHES.items():

                def planted(share, patch=patch, rises=rises):
                    weak = patch(BLOCK, rng)
                    return weak, faulty_trees(weak, share, rises[share], rng)

                told = seasons(asked.seasons, checks, planted, rng, asked.permutations)
                print_finds(f"{strength} {name}, {checks} checks", told)
    print(f"\n{time.perf_counter() - began:.0f} s, {time.process_time() - used:.0f} s of it CPU")


if __name__ == "__main__":
    main()
