"""Invented pruning seasons, worked to the last tree; for tests and benchmarks of the forecast.

They are not drawn from the forecast's own model: crews come in shares of their people that differ by the day, varieties are
worked side by side or one after the other, days are lost by a chance that each farm has of its own, and in the drifting
ones everybody's pace wanders.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from itertools import count

import numpy as np
from numpy.typing import NDArray

from orchardmap.planning.hours import split_hours
from orchardmap.planning.pace import PaceDay, PacePrior, Work
from orchardmap.planning.season import Season
from orchardmap.planning.work_calendar import WorkCalendar

Floats = NDArray[np.float64]

OPENS = date(2025, 11, 17)
EXPECTED_TREES_PER_H = 12.0
HOURS = 8.0


@dataclass(frozen=True)
class Kind:
    """How a season is worked. Spreads are standard deviations of logarithms."""

    is_mixed: bool
    """Varieties are worked side by side, each crew on two of them a day; else one after the other, by all crews."""
    is_reckoned: bool = False
    """Hours are written down for a crew's whole day only."""
    drift: float = 0.0
    """Of everybody's pace, from one day to the next."""
    farm: float = 0.35
    """Of the true pace about the expected one."""
    crew: float = 0.12
    variety: float = 0.28
    crew_with_variety: float = 0.07
    day: float = 0.10
    crew_day: float = 0.15
    noise: float = 0.08


KINDS = {
    "varieties side by side, hours of whole days": Kind(is_mixed=True, is_reckoned=True),
    "varieties side by side, hours by variety": Kind(is_mixed=True),
    "one variety after the other": Kind(is_mixed=False),
    "one after the other, pace drifting": Kind(is_mixed=False, drift=0.02),
}


@dataclass(frozen=True)
class Snapshot:
    """A season at the evening of a day, and when it was truly finished."""

    season: Season
    days_worked: int
    true_days: int
    """Working days from the next one on, lost ones among them, to the day of the last tree."""
    naive_days: int
    """By the straight line: what is left by the mean of all working days so far."""


def snapshots(kind: Kind, rng: np.random.Generator, at: tuple[int, ...]) -> Iterator[Snapshot]:
    """Return a season of a kind after so many days of work each."""
    crews, varieties = int(rng.integers(2, 6)), int(rng.integers(3, 7))
    people = rng.integers(4, 11, crews)
    pace = np.log(EXPECTED_TREES_PER_H) + rng.normal(0, kind.farm)
    log_pace = (
        pace
        + rng.normal(0, kind.crew, crews)[:, np.newaxis]
        + rng.normal(0, kind.variety, varieties)
        + rng.normal(0, kind.crew_with_variety, (crews, varieties))
    )
    trees = people.sum() * HOURS * 0.8 * np.exp(pace) * rng.uniform(35, 50)
    left = np.round(rng.dirichlet(np.full(varieties, 4.0)) * trees)
    lost_chance = rng.beta(2, 18)
    calendar = WorkCalendar()
    history: list[PaceDay] = []
    pending: list[tuple[Season, int, int, int]] = []
    worked, drift = 0, 0.0
    for day_number in count():
        day = calendar.days(OPENS, day_number + 1)[-1].item()
        drift += rng.normal(0, kind.drift) if kind.drift else 0.0
        share, of_day = rng.beta(18, 2, crews), rng.normal(0, kind.day)
        of_crew = rng.normal(0, kind.crew_day, crews)[:, np.newaxis]
        today = np.exp(log_pace + drift + of_day + of_crew + rng.normal(0, kind.noise, log_pace.shape))
        if rng.random() < lost_chance:
            continue
        worked += 1
        done, hours = (_side_by_side if kind.is_mixed else _one_by_one)(
            left, people * HOURS * share, today, day_number
        )
        history += _written_down(day, done, hours, people, kind)
        left = np.maximum(0, left - done.sum(axis=0))
        if left.sum() < 1:
            for season, n, number, naive in pending:
                yield Snapshot(season, n, day_number - number, naive)
            return
        if worked in at:
            season = Season(
                first=calendar.days(OPENS, day_number + 2)[-1].item(),
                calendar=calendar,
                people={f"crew {c}": float(people[c]) for c in range(crews)},
                history=tuple(history),
                remaining={Work("", f"variety {v}"): left[v] for v in range(varieties)},
                prior=PacePrior(EXPECTED_TREES_PER_H),
            )
            a_day = sum(one.trees for one in history) / (day_number + 1)
            pending.append((season, worked, day_number, int(np.ceil(left.sum() / a_day))))


def _written_down(
    day: date, done: Floats, hours: Floats, people: NDArray[np.int64], kind: Kind
) -> Iterator[PaceDay]:
    """Return what is known of a day: trees by variety, and hours by variety or of the whole."""
    for c, crew in enumerate(done):
        trees = {Work(f"crew {c}", f"variety {v}"): n for v, n in enumerate(crew) if n >= 1}
        spent = {work: hours[c, int(work.variety.split()[1])] for work in trees}
        is_reckoned = kind.is_reckoned and len(trees) > 1
        if is_reckoned:
            spent = split_hours(trees, sum(spent.values()), dict.fromkeys(trees, EXPECTED_TREES_PER_H))
        for work, n in trees.items():
            yield PaceDay(day, work, n, spent[work], people[c] * HOURS, is_reckoned)


def _one_by_one(left: Floats, hours: Floats, pace: Floats, day_number: int) -> tuple[Floats, Floats]:
    """All crews on the first variety that is left, then on the next."""
    done, spent, free = np.zeros_like(pace), np.zeros_like(pace), hours.copy()
    for v in np.flatnonzero(left > 0):
        can = free * pace[:, v]
        share = min(1.0, left[v] / can.sum()) if can.sum() else 0.0
        done[:, v], spent[:, v] = can * share, free * share
        free = free * (1 - share)
    return done, spent


def _side_by_side(left: Floats, hours: Floats, pace: Floats, day_number: int) -> tuple[Floats, Floats]:
    """Each crew two varieties a day in turn, six tenths of its hours on the first; then whatever is left."""
    done, spent, to_do = np.zeros_like(pace), np.zeros_like(pace), left.copy()
    for c, whole in enumerate(hours):
        turn = [v for v in np.roll(np.arange(len(left)), -(day_number + c)) if to_do[v] > 0]
        free = whole
        for at, v in enumerate(turn):
            goes = min(free, 0.6 * whole) if at == 0 and len(turn) > 1 else free
            n = min(to_do[v], goes * pace[c, v])
            done[c, v] += n
            spent[c, v] += n / pace[c, v]
            to_do[v] -= n
            free -= n / pace[c, v]
            if free <= 1e-9:
                break
    return done, spent
