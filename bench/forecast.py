"""The forecast: whether its 80 % interval holds 80 %, beside the straight line, and how long it takes.

    python bench/forecast.py [--seasons 500] [--days 3 5 10 20] [--kinds 2] [--draws 1000] [--seed 1]      (from the top of the repository)

Invented seasons (tests/support/simulated_seasons.py), not drawn from the forecast's own model, each looked at after some days of work.

* 80 %: share of seasons that end within the interval from the 1-in-10 to the 9-in-10 chance. Whole days hold more than 80 %, the more the shorter
  the interval is; so a season that ends on a day at its edge counts by the share of that day that lies within (randomised probability integral
  transform: C. Czado, T. Gneiting and L. Held 2009, Biometrics 65:1254-1261, from memory). "days" counts such a season as held.
* early, late: seasons that ended before and after the interval, 10 % each are due.
* off, line off: working days between the even chance and the true end, and between the straight line and it. CRPS: of both (for the line it is
  the same as "line off").
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
from forecast_scores import crps
from orchardmap.planning.forecast import DRAWS, finish_forecast
from orchardmap.planning.pace import PacePrior, Work
from orchardmap.planning.season import Season
from orchardmap.planning.work_calendar import WorkCalendar
from simulated_seasons import KINDS, OPENS, snapshots


def looked_at(snapshot, rng, draws):
    drawn = finish_forecast(snapshot.season, seed=int(rng.integers(2**31)), draws=draws).working_day
    low, even, high = np.quantile(drawn, (0.1, 0.5, 0.9), method="inverted_cdf")
    true = snapshot.true_days
    at = (drawn < true).mean() + rng.random() * (drawn == true).mean()
    return (
        0.1 < at < 0.9,
        low <= true <= high,
        at <= 0.1,
        at >= 0.9,
        abs(even - true),
        abs(snapshot.naive_days - true),
        crps(drawn, true),
        high - low,
    )


def print_kind(name, kind, asked, rng):
    told = {days: [] for days in asked.days}
    for _ in range(asked.seasons):
        for snapshot in snapshots(kind, rng, tuple(asked.days)):
            told[snapshot.days_worked].append(looked_at(snapshot, rng, asked.draws))
    print(f"\n{name}\n  days  seasons   80 %         days   early  late   off   line off  CRPS  wide")
    for days, of_days in told.items():
        held, dates, early, late, off, line, score, wide = np.array(of_days, float).mean(axis=0)
        error = sqrt(held * (1 - held) / len(of_days))
        print(
            f"  {days:4}  {len(of_days):7}   {held:.3f} +-{error:.3f}  {dates:.3f}  {early:.3f}  {late:.3f}  {off:4.1f}  {line:8.1f}  {score:4.1f}  {wide:4.1f}"
        )
    return [one for of_days in told.values() for one in of_days]


def print_speed():
    season = Season(
        OPENS,
        WorkCalendar(),
        {f"crew {c}": 6.0 for c in range(20)},
        (),
        {Work("", f"variety {v}"): 20_000.0 for v in range(4)},
        PacePrior(8.0),
    )
    for draws in (DRAWS, 10_000):
        used = time.process_time()
        told = finish_forecast(season, seed=1, draws=draws)
        print(
            f"20 crews, 4 varieties, {draws} draws: {time.process_time() - used:.3f} s CPU, even chance on working day {int(np.median(told.working_day))}"
        )


def main():
    ask = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    ask.add_argument("--seasons", type=int, default=500, help="Of each kind.")
    ask.add_argument("--days", type=int, nargs="+", default=[3, 5, 10, 20])
    ask.add_argument("--kinds", type=int, default=len(KINDS), help="Only the first ones.")
    ask.add_argument("--draws", type=int, default=1000)
    ask.add_argument("--seed", type=int, default=1)
    asked = ask.parse_args()
    rng = np.random.default_rng(asked.seed)
    print(
        f"Python {platform.python_version()}, numpy {np.__version__}, {os.cpu_count()} cores, load {os.getloadavg()[0]:.1f}; {asked}"
    )
    print_speed()
    began, used = time.perf_counter(), time.process_time()
    for name, kind in list(KINDS.items())[: asked.kinds]:
        print_kind(name, kind, asked, rng)
    print(f"\n{time.perf_counter() - began:.0f} s, {time.process_time() - used:.0f} s of it CPU")


if __name__ == "__main__":
    main()
