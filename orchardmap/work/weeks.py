"""What was done in a week on a variety, so that farms can be laid side by side. Pure.

Source: ISO 8601, a week begins on a Monday.
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

__all__ = ["WeekWork", "together", "week_start", "weeks_of_work"]

Variety = str
"""Its id, empty where a block names none."""


@dataclass(frozen=True, slots=True)
class WeekWork:
    """What was done on one variety in one week, or in several."""

    trees: int = 0
    """Pruned for the first time."""
    paced_trees: float = 0.0
    """Those whose hours a crew-day tells."""
    person_hours: float = 0.0
    """Of those trees and of no others."""
    checked: int = 0
    """Drawn trees that were looked at, in the week of the look."""
    faulty: int = 0

    def __add__(self, other: "WeekWork") -> "WeekWork":
        """Return what was done in both."""
        return WeekWork(
            self.trees + other.trees,
            self.paced_trees + other.paced_trees,
            self.person_hours + other.person_hours,
            self.checked + other.checked,
            self.faulty + other.faulty,
        )

    @property
    def trees_per_h(self) -> float | None:
        """Trees per person-hour; None where no hours are told."""
        return self.paced_trees / self.person_hours if self.person_hours else None


def week_start(day: date) -> date:
    """Return the Monday of a day's week."""
    return day - timedelta(days=day.weekday())


def together(works: Iterable[WeekWork]) -> WeekWork:
    """Return what was done in all of them; nothing where there is none."""
    return sum(works, WeekWork())


def weeks_of_work(
    pruned: Iterable[tuple[date, Variety, int]],
    paced: Iterable[tuple[date, Variety, float, float]],
    looks: Iterable[tuple[date, Variety, bool]],
) -> dict[tuple[date, Variety], WeekWork]:
    """Return the work of each week and variety.

    Parameters
    ----------
    pruned : iterable of (date, str, int)
        Trees that were pruned for the first time on a day.
    paced : iterable of (date, str, float, float)
        Trees of a day whose hours are known, and those person-hours.
    looks : iterable of (date, str, bool)
        Drawn trees that were looked at on a day, and whether one was faulty.

    Returns
    -------
    dict of (date, str) to WeekWork
        By the Monday of the week and the variety, in that order; weeks without anything are not in it.

    Examples
    --------
    >>> monday, friday = date(2026, 1, 12), date(2026, 1, 16)
    >>> found = weeks_of_work([(monday, "x", 90), (friday, "x", 60)], [(monday, "x", 90.0, 7.5)], [(friday, "x", True)])
    >>> found[monday, "x"]
    WeekWork(trees=150, paced_trees=90.0, person_hours=7.5, checked=1, faulty=1)
    >>> found[monday, "x"].trees_per_h
    12.0
    """
    found: dict[tuple[date, Variety], WeekWork] = defaultdict(WeekWork)
    for day, variety, trees in pruned:
        found[week_start(day), variety] += WeekWork(trees=trees)
    for day, variety, known, hours in paced:
        found[week_start(day), variety] += WeekWork(paced_trees=known, person_hours=hours)
    for day, variety, is_faulty in looks:
        found[week_start(day), variety] += WeekWork(checked=1, faulty=int(is_faulty))
    return dict(sorted(found.items()))
