"""From trees and hours, as they are recorded, to days of a pace. Pure."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import date
from typing import NamedTuple

from orchardmap.planning.hours import split_hours
from orchardmap.planning.pace import PaceDay, PacePrior, Work, fitted_pace

__all__ = ["CrewHours", "pace_days"]

Trees = Mapping[date, Mapping[Work, float]]
FullHours = Callable[[date, str, float], float]


class CrewHours(NamedTuple):
    """A crew-day that stands."""

    day: date
    crew: str
    method: str
    people: float
    person_hours: float


class _Said(NamedTuple):
    """Hours of a crew's day, and all that they stand for."""

    day: date
    person_hours: float
    full: float
    trees: Mapping[Work, float]


def pace_days(
    trees: Trees, hours: Iterable[CrewHours], prior: PacePrior, full_hours: FullHours
) -> list[PaceDay]:
    """Return what the records tell of paces: a crew's day on each kind of work.

    - A crew-day without trees tells of no pace and is left out, and so are trees without a crew-day: nothing is guessed.
    - Of several crew-days that stand for one crew, day and method the mean counts, until a manager has said which one holds:
      most are the same day said twice, and the order in which they came must decide nothing.
    - Methods are kept apart where each method that was marked has its crew-day. Otherwise all hours of the day stand for all
      its trees, by the method of most hours: what was said of the crew's day outweighs what a row was marked by.
    - Hours go to the kinds of work of a day by what each takes at the pace thought of: first by what days with a single kind
      tell, then by what all tell.

    Parameters
    ----------
    trees : mapping of date to mapping of Work to float
        First pruned on that day, by the crew and method of the work.
    hours : iterable of CrewHours
        That stand, in any order.
    prior : PacePrior
        What is thought before any day.
    full_hours : callable
        Told a day, a crew and the people who came: person-hours of a whole day of that crew.

    Returns
    -------
    list of PaceDay
        By day, crew and work.

    Examples
    --------
    Eight hours of four people on 100 and on 60 trees of two varieties, which nobody has met by itself:

    >>> day = date(2026, 1, 20)
    >>> trees = {day: {Work("A", "x", "ladder"): 100.0, Work("A", "y", "ladder"): 60.0}}
    >>> said = [CrewHours(day, "A", "ladder", 4.0, 32.0)]
    >>> for one in pace_days(trees, said, PacePrior(6.0), lambda day, crew, came: came * 8.0):
    ...     print(one.work.variety, one.trees, round(one.person_hours, 1), one.full_person_hours)
    x 100.0 20.1 32.0
    y 60.0 11.9 32.0
    """
    said: list[_Said] = []
    for (day, crew), of_methods in sorted(_means(hours).items()):
        full = full_hours(day, crew, max(one.people for one in of_methods))
        pruned = {work: n for work, n in trees.get(day, {}).items() if work.crew == crew and n > 0}
        said += [_Said(day, one.person_hours, full, of) for one, of in _joined(of_methods, pruned) if of]
    single = [one for one in said if len(one.trees) == 1]
    # of one kind: no pace is thought of
    told = _split(single, [], prior)
    for _ in range(0 if len(single) == len(said) else 2):
        told = _split(said, told, prior)
    return told


def _means(hours: Iterable[CrewHours]) -> dict[tuple[date, str], list[CrewHours]]:
    """Return one crew-day of each crew, day and method, by crew and day."""
    several: dict[tuple[date, str, str], list[CrewHours]] = defaultdict(list)
    for one in hours:
        several[one.day, one.crew, one.method].append(one)
    found: dict[tuple[date, str], list[CrewHours]] = defaultdict(list)
    for (day, crew, method), same in sorted(several.items()):
        people, person_hours = (sum(of) / len(same) for of in zip(*(one[3:] for one in same), strict=True))
        found[day, crew].append(CrewHours(day, crew, method, people, person_hours))
    return found


def _joined(
    of_methods: Sequence[CrewHours], pruned: Mapping[Work, float]
) -> list[tuple[CrewHours, Mapping[Work, float]]]:
    """Return the hours of a crew's day with the trees that they stand for."""
    if {work.method for work in pruned} <= {one.method for one in of_methods}:
        return [(one, {w: n for w, n in pruned.items() if w.method == one.method}) for one in of_methods]
    most = max(of_methods, key=lambda one: (one.person_hours, one.method))
    together: dict[Work, float] = defaultdict(float)
    for work, n in pruned.items():
        together[work._replace(method=most.method)] += n
    return [(most._replace(person_hours=sum(one.person_hours for one in of_methods)), together)]


def _split(said: Sequence[_Said], known: Sequence[PaceDay], prior: PacePrior) -> list[PaceDay]:
    """Return days of each kind of work, hours split by the pace that known days tell."""
    works = sorted({work for one in said if len(one.trees) > 1 for work in one.trees})
    paces = (
        dict(zip(works, fitted_pace(known, works, prior).interval()[0].tolist(), strict=True))
        if works
        else {}
    )
    told = []
    for one in said:
        # of a single kind all hours go to it
        thought = {work: paces.get(work, 1.0) for work in one.trees}
        for work, hours in sorted(split_hours(one.trees, one.person_hours, thought).items()):
            told.append(PaceDay(one.day, work, one.trees[work], hours, one.full, len(one.trees) > 1))
    return told
