"""What it would take to be done in time: people, or days. Pure."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from orchardmap.planning.forecast import finish_forecast
from orchardmap.planning.season import Season

__all__ = ["MORE", "Sought", "days_more", "people_more"]

MORE = "+"
"""The name of a crew that people come to who are not there yet: nobody knows how fast they are."""
_MOST_PEOPLE = 1_000
_DRAWS = 1_000


@dataclass(frozen=True, slots=True)
class Sought:
    """In time, and how surely."""

    must_finish: date
    certainty: float
    """Share of seasons that are to be finished by then: 0.9 for 9 in 10."""
    seed: int
    draws: int = _DRAWS

    def __post_init__(self) -> None:
        if not 0 < self.certainty < 1:
            raise ValueError("certainty")


def people_more(season: Season, sought: Sought) -> int | None:
    """Return how many people more make it from the first day on, as one crew more whose pace nobody knows.

    Returns
    -------
    int or None
        0 where it is made anyway; None where 1,000 people would not do.
    """

    def is_made(n: int) -> bool:
        with_more = replace(season, people={**season.people, MORE: float(n)}) if n else season
        made = finish_forecast(with_more, seed=sought.seed, draws=sought.draws)
        return made.chance(sought.must_finish) >= sought.certainty

    return _least(is_made, _MOST_PEOPLE)


def days_more(season: Season, sought: Sought) -> int | None:
    """Return how many days later than it must the season may be finished, for it to be made with that certainty.

    Returns
    -------
    int or None
        Days of the calendar, 0 where it is made anyway; None where it is never.
    """
    day = finish_forecast(season, seed=sought.seed, draws=sought.draws).day(sought.certainty)
    return (
        None
        if day is None
        else max(0, int((np.datetime64(day) - np.datetime64(sought.must_finish)).astype(int)))
    )


def _least(is_enough: Callable[[int], bool], most: int) -> int | None:
    """Return the least number up to `most` that is enough, where more always is too."""
    if is_enough(0):
        return 0
    high = 1
    while not is_enough(high):
        if high == most:
            return None
        high = min(2 * high, most)
    low = high // 2
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if is_enough(middle) else (middle, high)
    return high
