"""Blocks with work left, the crews that could do it, and how long each would take. Pure.

Lengths in metres in a local frame, times in working hours from now.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Self

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import Point
from shapely.geometry.base import BaseGeometry

from orchardmap.errors import InputError
from orchardmap.model.code_order import code_order
from orchardmap.model.orchard import Habit
from orchardmap.model.people import Method

__all__ = ["AheadBlock", "AheadCrew", "Days", "Skill", "Spot", "WorkAhead"]

WALK_M_PER_H = 4_000.0
"""How fast a crew moves from block to block, with what it carries. Common practice."""


AWAY_DAYS = 5
"""Working days for which what a crew began waits for it. A first guess of ours."""


@dataclass(frozen=True, slots=True)
class Spot:
    """A block that a crew stands in, or comes from."""

    code: str
    xy_m: tuple[float, float]
    """Its centre."""
    ground: BaseGeometry | None = None
    """Its outline, in metres of the same frame; its centre stands for it where it has none."""

    def apart_m(self, other: "Spot") -> float:
        """Return how far it is from the edge of one block to that of another; 0 where they touch."""
        mine, theirs = (Point(one.xy_m) if one.ground is None else one.ground for one in (self, other))
        return float(mine.distance(theirs))


@dataclass(frozen=True, slots=True)
class AheadBlock:
    """A block with work left."""

    id: str
    spot: Spot
    trees: int
    """Left to prune."""
    habit: Habit
    must_finish_on: date
    is_biennial: bool = False
    begun_by: str | None = None
    """Id of the crew that pruned in it last and goes on with it; None where nobody has begun."""
    closed: tuple[tuple[date, date], ...] = ()
    """Spans of days, first and last."""
    platform_fits: bool | None = None
    """None where nobody said."""
    variety: str = ""
    """Its id."""


@dataclass(frozen=True, slots=True)
class Skill:
    """How a crew does at one habit."""

    trees_per_h: float
    """Per person-hour."""
    faulty_share: float = 0.0
    """Of its trees that must be gone over again; 0 where checks do not tell enough."""

    @property
    def person_h_per_tree(self) -> float:
        """What a tree takes, going over the faulty ones again included."""
        return (1.0 + self.faulty_share) / self.trees_per_h


@dataclass(frozen=True, slots=True)
class AheadCrew:
    """A crew that could be given blocks."""

    id: str
    name: str
    people: int
    method: Method = "ladder"
    skills: Mapping[Habit, Skill] = field(default_factory=dict)
    """Of the habits that it has pruned this season."""
    usual: Mapping[Habit, Skill] = field(default_factory=dict)
    """What any crew does at the other ones: one for every habit."""
    stands: Spot | None = None
    """Where it pruned last."""
    paces: Mapping[str, float] = field(default_factory=dict)
    """Trees of a person-hour by variety, as the forecast reckons with them; where one is not told, that of its habit stands."""
    back_on: date | None = None
    """The first day on which it is there, where that is not today."""

    def skill(self, habit: Habit) -> Skill:
        """Return its own skill at a habit, else the usual one."""
        return self.skills.get(habit) or self.usual[habit]

    def person_h_per_tree(self, block: AheadBlock) -> float:
        """Return what a tree of a block takes, going over the faulty ones again included."""
        skill, pace = self.skill(block.habit), self.paces.get(block.variety)
        return skill.person_h_per_tree if pace is None else (1.0 + skill.faulty_share) / pace


@dataclass(frozen=True, slots=True)
class Days:
    """Working days ahead and how many hours each has."""

    days: tuple[date, ...]
    """In order; what lies beyond the last is told as the last."""
    hours_per_day: float = 8.0

    def __post_init__(self) -> None:
        if not self.days or self.hours_per_day <= 0:
            raise InputError("There is no working day ahead.", where="days")

    def day_at(self, at_h: float) -> date:
        """Return the day on which an hour falls; where one day ends, the next."""
        return self.days[min(int(at_h / self.hours_per_day + 1e-9), len(self.days) - 1)]

    def day_before(self, at_h: float) -> date:
        """Return the same, but where one day ends that day."""
        return self.days[min(max(0, int(np.ceil(at_h / self.hours_per_day - 1e-9)) - 1), len(self.days) - 1)]

    def begins_h(self, day: date | None) -> float:
        """Return the hour at which a day begins; None is today."""
        return 0.0 if day is None else bisect_left(self.days, day) * self.hours_per_day

    def span_h(self, first: date, last: date) -> tuple[float, float]:
        """Return the hours from the first to the end of the last of some days, as far as they are ahead."""
        from_day, to_day = bisect_left(self.days, first), bisect_right(self.days, last)
        return from_day * self.hours_per_day, to_day * self.hours_per_day


@dataclass(frozen=True, slots=True)
class WorkAhead:
    """Blocks by code and crews by name, each with its index, and the hours that they mean."""

    blocks: tuple[AheadBlock, ...]
    crews: tuple[AheadCrew, ...]
    days: Days
    xy_m: NDArray[np.float64]
    work_h: NDArray[np.float64]
    """Of each crew in each block: crew-hours of all its people together."""
    closed_h: Mapping[int, tuple[tuple[float, float], ...]]
    """By index of the block, in order."""
    back_h: tuple[float, ...]
    """Of each crew, the hour from which it is there."""

    @classmethod
    def of(cls, blocks: Sequence[AheadBlock], crews: Sequence[AheadCrew], days: Days) -> Self:
        """Put them into an order of their own, whatever order they came in; crews without people are left out. What they began is anybody's, as is what those began that are away for longer."""
        able = tuple(sorted((c for c in crews if c.people > 0), key=lambda one: (one.name, one.id)))
        back_h = tuple(days.begins_h(crew.back_on) for crew in able)
        longest_h = AWAY_DAYS * days.hours_per_day
        here = {crew.id for crew, at_h in zip(able, back_h, strict=True) if at_h <= longest_h}
        begun = (b if b.begun_by in here else replace(b, begun_by=None) for b in blocks)
        listed = tuple(sorted(begun, key=lambda one: (code_order(one.spot.code), one.id)))
        work_h = [
            [block.trees * crew.person_h_per_tree(block) / crew.people for block in listed] for crew in able
        ]
        spans = {i: sorted(days.span_h(*one) for one in block.closed) for i, block in enumerate(listed)}
        return cls(
            listed,
            able,
            days,
            np.array([block.spot.xy_m for block in listed], np.float64).reshape(-1, 2),
            np.array(work_h, np.float64).reshape(len(able), len(listed)),
            {i: tuple((a, b) for a, b in found if b > a) for i, found in spans.items() if found},
            back_h,
        )

    def is_ever_closed(self, block: int) -> bool:
        """Tell whether a closure of the block lies ahead."""
        return bool(self.closed_h.get(block))

    def opens_h(self, block: int, at_h: float) -> float:
        """Return the first hour from one on at which the block may be begun."""
        for first_h, last_h in self.closed_h.get(block, ()):
            if first_h <= at_h < last_h:
                at_h = last_h
        return at_h

    def ends_h(self, crew: int, block: int, *, after: int | None, free_h: float) -> float:
        """Return the hour at which a crew that is free now would be finished with a block, its way there included."""
        return self._span_h(crew, block, after, free_h)[1]

    def spans_h(self, crew: int, queue: Sequence[int]) -> list[tuple[float, float]]:
        """Return from when to when a crew is in each block of a queue."""
        spans: list[tuple[float, float]] = []
        before: int | None = None
        for block in queue:
            spans.append(self._span_h(crew, block, before, spans[-1][1] if spans else self.back_h[crew]))
            before = block
        return spans

    def _span_h(self, crew: int, block: int, after: int | None, free_h: float) -> tuple[float, float]:
        stands = self.crews[crew].stands
        from_m = self.blocks[after].spot.xy_m if after is not None else stands.xy_m if stands else None
        to_m = self.blocks[block].spot.xy_m
        way_m = 0.0 if from_m is None else float(np.hypot(to_m[0] - from_m[0], to_m[1] - from_m[1]))
        starts_h = self.opens_h(block, free_h)
        return starts_h, starts_h + way_m / WALK_M_PER_H + float(self.work_h[crew, block])
