"""What a pace is told of: kinds of work, days of it, what is thought before the first, and the parts that a pace is the sum of. Pure."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

__all__ = ["PaceDay", "PacePrior", "Parts", "Work", "parts_of"]

Floats = NDArray[np.float64]


class Work(NamedTuple):
    """What a pace is told of. Names, whatever they are; empty where nobody says."""

    crew: str
    variety: str
    method: str = ""
    system: str = ""


@dataclass(frozen=True, slots=True)
class PaceDay:
    """A crew's day on one variety."""

    day: date
    work: Work
    trees: float
    """Above 0: a day without trees tells of lost days, not of a pace."""
    person_hours: float
    """Above 0."""
    full_person_hours: float | None = None
    """What a whole day of that crew has; less of it than nine tenths weighs less. None where nobody knows."""
    is_reckoned: bool = False
    """The hours are a share of the crew's day that nobody wrote down (`split_hours`): only the whole day tells of a pace."""


@dataclass(frozen=True, slots=True)
class PacePrior:
    """What is thought before the first day. Spreads are of logarithms: 0.40 is 50 % more or a third less.

    With so few days behind the guess of the noise each part is Student's t with `noise_days` degrees of freedom, of which
    a spread is the scale: its standard deviation is 1.22 times as large. The farm's: 95 % of it spans a ratio of 4.1, as
    hours per hectare do across orchards (checks/trade.md, section 2.1: 3 to 5 fold). The others: common practice, as
    nothing is published per crew or variety.
    """

    trees_per_h: float
    """The pace that the farm expects, of one person."""
    farm: float = 0.29
    crew: float = 0.125
    variety: float = 0.25
    method: float = 0.165
    system: float = 0.25
    crew_with_variety: float = 0.06
    day: float = 0.08
    crew_day: float = 0.125
    """Of what a day does to one crew, on all that it works on."""
    noise: float = 0.067
    noise_days: float = 6.0
    """Of how many days the guess of the noise is worth."""
    ratio: Mapping[str, float] = field(default_factory=dict)
    """Of a variety, method or system to the farm's pace, by its name, where one is expected; else 1."""


class Parts(NamedTuple):
    """What paces are the sum of."""

    names: tuple[str, ...]
    """Of each part; whoever else is asked about, it keeps its name."""
    of_works: Floats
    """1 where a work has a part, else 0: of shape (works, parts)."""
    spreads: Floats
    guesses: Floats


def parts_of(works: Sequence[Work], days: Sequence[PaceDay], prior: PacePrior) -> Parts:
    """Return what the paces of works are the sum of; the first of them are those of the days, in order."""
    usual = _usual_method(days)
    of_usual = prior.ratio.get(usual, 1.0)
    # numbered, so that a season a week later is the same one
    number = {day: n for n, day in enumerate(sorted({one.day for one in days}))}
    columns = [np.ones((len(works), 1))]
    found, spreads, guesses = ["farm"], [prior.farm], [float(np.log(prior.trees_per_h * of_usual))]
    # names, their spread, and what the ratio that is expected of one is to; None where none is
    named = (
        ("crew", [one.crew for one in works], prior.crew, None),
        ("variety", [one.variety for one in works], prior.variety, 1.0),
        # the farm's pace is that of its usual method, and another one is told apart from it: so a ratio between two stays
        # what it is, however far off the expected pace turned out to be
        (
            "method",
            [one.method if one.method != usual else "" for one in works],
            prior.method * (np.sqrt(2.0) if usual else 1.0),
            of_usual,
        ),
        ("system", [one.system for one in works], prior.system, 1.0),
        ("both", [(one.crew, one.variety) for one in works], prior.crew_with_variety, None),
        # works that are asked about stand on an ordinary day
        ("day", [*(number[one.day] for one in days), *[None] * (len(works) - len(days))], prior.day, None),
    )
    for kind, names, spread, to in named:
        levels = sorted({name for name in names if name is not None and name != ""})
        columns.append(
            np.array([[name == level for level in levels] for name in names], float).reshape(
                len(works), len(levels)
            )
        )
        found += [f"{kind} {level}" for level in levels]
        spreads += [spread] * len(levels)
        guesses += [
            0.0 if to is None else float(np.log(prior.ratio.get(str(level), 1.0) / to)) for level in levels
        ]
    return Parts(tuple(found), np.hstack(columns), np.array(spreads), np.array(guesses))


def _usual_method(days: Sequence[PaceDay]) -> str:
    """Return the method of most hours so far; empty where none is told."""
    hours: dict[str, float] = defaultdict(float)
    for one in sorted(days, key=lambda one: one.person_hours):
        hours[one.work.method] += one.person_hours
    return max(hours, key=lambda method: (hours[method], method), default="")
