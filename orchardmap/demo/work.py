"""What the crews of the invented farm pruned and recorded, day by day, walking their rows in order."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import NamedTuple

import numpy as np

from orchardmap.demo.ids import uuid7
from orchardmap.demo.land import Plot
from orchardmap.demo.people import Gang
from orchardmap.demo.season import CLOCK_PER_HOUR, WorkDay, moment
from orchardmap.model.orchard import Row
from orchardmap.model.work import CrewDay, Mark

# A close-planted tree at 80 to 120 h/ha (Mika et al. 2016, quoted second-hand) takes about 2.1 min; a
# large old one 11 min, and 4 min more to clear its brush (New Hampshire Agr. Exp. Sta., report for 1927).
# Between the two the time grows with a power of the ground that a tree has.
CLOSE_TREE_MIN, CLOSE_TREE_M2 = 2.1, 3.5
OLD_TREE_MIN, OLD_TREE_M2 = 11.0, 56.0
WITH_BRUSH = (11.0 + 4.0) / 11.0
PLATFORM_TIME = 0.63  # 37 % less time in close rows: Miranda Sazo, SARE ONE12-165, 2012-13

FOREMAN_HANDS = 0.5  # invented: half of a foreman's day goes into leading
ABSENT_CHANCE = 0.08
DAY_SPREAD = 0.12  # invented: standard deviation of a day's pace, in log
MARKED_AT = (0.5, 1.0)  # shares of the day after which a foreman marks a row that is not finished
KNOCK_OFF_H = 0.1  # after the last tree the foreman says the crew's day


@dataclass(frozen=True, slots=True)
class BlockAtWork:
    """A block as the crews meet it."""

    block_id: str
    plot: Plot
    rows: tuple[Row, ...]


@dataclass(frozen=True, slots=True)
class CrewAtWork:
    """A crew with its tablet and the blocks it was given."""

    gang: Gang
    crew_id: str
    foreman_id: str
    device_id: str
    blocks: tuple[BlockAtWork, ...]


class _Walk(NamedTuple):
    """One row still to prune, in walking order."""

    block_id: str
    row: int
    positions: int
    from_last: bool
    minutes: float
    """Person-minutes for one position."""


def minutes_a_tree(plot: Plot, gang: Gang) -> float:
    """Return the person-minutes that a crew needs for one tree of a block, brush included.

    Parameters
    ----------
    plot : Plot
        Its spacings say how large the trees are.
    gang : Gang
        Its method and speed.

    Returns
    -------
    float
        Minutes, > 0.
    """
    power = np.log(OLD_TREE_MIN / CLOSE_TREE_MIN) / np.log(OLD_TREE_M2 / CLOSE_TREE_M2)
    ground_m2 = plot.row_spacing_m * plot.tree_spacing_m
    minutes = WITH_BRUSH * CLOSE_TREE_MIN * (ground_m2 / CLOSE_TREE_M2) ** power
    if gang.method == "platform" and plot.is_close:
        minutes *= PLATFORM_TIME
    return float(minutes / gang.speed)


def crew_season(
    crew: CrewAtWork, season_id: str, *, days: Sequence[WorkDay], rng: np.random.Generator
) -> tuple[list[Mark], list[CrewDay]]:
    """Return the marks and crew-days of one crew: a whole row is marked when it is finished, a part at noon and at the end of the day.

    Parameters
    ----------
    crew : CrewAtWork
        Its blocks are pruned one after the other, up one row and down the next.
    season_id : str
        The season the marks belong to.
    days : sequence of WorkDay
        The days worked, in order.
    rng : Generator
        Decides who is absent and how the day goes.

    Returns
    -------
    tuple of list
        Marks in order of time, no position twice; a crew-day for every day on which anything was marked.
    """
    marks: list[Mark] = []
    knock_offs: list[CrewDay] = []
    # of its own, so that what is marked does not hang on it
    (ids,) = rng.spawn(1)
    walk = _walk(crew)
    here, done = next(walk, None), 0
    for day in days:
        present, whole_day = _present(crew.gang, day, rng=rng)
        budget = 0.0
        for share in MARKED_AT:
            budget += whole_day / len(MARKED_AT)
            while here is not None:
                step = min(here.positions - done, int(budget / here.minutes))
                if step < min(3, here.positions - done):
                    break
                budget -= step * here.minutes
                at = moment(day.day, (share - budget / whole_day) * day.hours * CLOCK_PER_HOUR)
                span = _span(here, first=done + 1, last=done + step)
                marks.append(_mark(crew, season_id, here=here, span=span, at=at, rng=rng))
                done += step
                if done == here.positions:
                    here, done = next(walk, None), 0
        if marks and marks[-1].day == day.day:
            knock_offs.append(_knock_off(crew, season_id, day=day, people=present, rng=ids))
    return marks, knock_offs


def _walk(crew: CrewAtWork) -> Iterator[_Walk]:
    for block in crew.blocks:
        minutes = minutes_a_tree(block.plot, crew.gang)
        for turn, row in enumerate(sorted(block.rows, key=lambda one: one.number)):
            living = 1.0 - len(row.blanks) / row.positions if row.positions else 0.0
            if living > 0.0:
                yield _Walk(block.block_id, row.number, row.positions, turn % 2 == 1, minutes * living)


def _present(gang: Gang, day: WorkDay, *, rng: np.random.Generator) -> tuple[int, float]:
    """Return how many came, the foreman too, and the minutes that they have for trees."""
    workers = int((rng.random(len(gang.workers)) >= ABSENT_CHANCE).sum())
    luck = float(np.exp(rng.normal(0.0, DAY_SPREAD)))
    return workers + 1, (FOREMAN_HANDS + workers) * day.hours * 60.0 * luck


def _knock_off(
    crew: CrewAtWork, season_id: str, *, day: WorkDay, people: int, rng: np.random.Generator
) -> CrewDay:
    on_the_clock = day.hours * CLOCK_PER_HOUR
    at = moment(day.day, on_the_clock + KNOCK_OFF_H)
    return CrewDay(
        id=uuid7(at, rng),
        season_id=season_id,
        crew_id=crew.crew_id,
        day=day.day,
        people=people,
        hours=round(4.0 * on_the_clock) / 4.0,
        method=crew.gang.method,
        recorder_id=crew.foreman_id,
        device_id=crew.device_id,
        device_at=at,
    )


def _span(here: _Walk, *, first: int, last: int) -> tuple[int, int]:
    """Positions of a stretch counted from the end at which the crew came in."""
    if here.from_last:
        return here.positions - last + 1, here.positions - first + 1
    return first, last


def _mark(
    crew: CrewAtWork,
    season_id: str,
    *,
    here: _Walk,
    span: tuple[int, int],
    at: datetime,
    rng: np.random.Generator,
) -> Mark:
    return Mark(
        id=uuid7(at, rng),
        season_id=season_id,
        block_id=here.block_id,
        row=here.row,
        first=span[0],
        last=span[1],
        crew_id=crew.crew_id,
        day=at.date(),
        method=crew.gang.method,
        recorder_id=crew.foreman_id,
        device_id=crew.device_id,
        device_at=at,
    )
