"""How many people it would take to be done in time. Pure."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import cache

from orchardmap.planning.forecast import finish_forecast
from orchardmap.planning.queues import QueueBlock, queue_forecast
from orchardmap.planning.season import Season

__all__ = ["MORE", "Sought", "people_more"]

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


def people_more(season: Season, sought: Sought, blocks: Sequence[QueueBlock] = ()) -> int | None:
    """Return how many people more make it from the first day on, as one crew more whose pace nobody knows.

    Parameters
    ----------
    season : Season
    sought : Sought
    blocks : sequence of QueueBlock
        As crews were given them, with the days on which they are closed; none where all work down what is left together.

    Returns
    -------
    int or None
        The fewest that are enough, 0 where it is made anyway; None where 1,000 people would not do. With blocks it is sought
        as if all worked together, which takes a tenth of the time, and from there on with the blocks.
    """

    def with_more(n: int) -> Season:
        return replace(season, people={**season.people, MORE: float(n)}) if n else season

    def is_made_together(n: int) -> bool:
        made = finish_forecast(with_more(n), seed=sought.seed, draws=sought.draws)
        return made.chance(sought.must_finish) >= sought.certainty

    @cache
    def is_made(n: int) -> bool:
        made = queue_forecast(with_more(n), blocks, seed=sought.seed, draws=sought.draws).farm
        return made.chance(sought.must_finish) >= sought.certainty

    together = _least(is_made_together)
    if together is None or not blocks:
        return together
    found = _least(is_made, together)
    while found and is_made(found - 1):
        found -= 1
    return found


def _least(is_enough: Callable[[int], bool], begin: int = 0) -> int | None:
    """Return the least number from `begin` on that is enough, where more always is too; None where `_MOST_PEOPLE` are not."""
    if is_enough(begin):
        return begin
    if not is_enough(_MOST_PEOPLE):
        return None
    low, high = begin, begin + 1
    while not is_enough(high):
        low, high = high, min(high + 2 * (high - low), _MOST_PEOPLE)
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if is_enough(middle) else (middle, high)
    return high
