"""What a forecast starts from: what is left, who works, and what was done. Pure."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

import numpy as np
from numpy.typing import NDArray

from orchardmap.planning.pace import PaceDay, PacePrior, Work
from orchardmap.planning.work_calendar import Days, WorkCalendar

__all__ = ["Season", "Strength", "people_on"]

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Strength:
    """People of a crew from one day to another, both among them, instead of what it has otherwise."""

    crew: str
    first: date
    last: date
    people: float


def people_on(people: Mapping[str, float], strengths: Sequence[Strength], days: Days) -> Floats:
    """Return how many people each crew of `people` has, by name: of shape (days, crews); where spans say nothing those of `people`."""
    crews = sorted(people)
    column = {crew: at for at, crew in enumerate(crews)}
    found = np.tile(np.array([people[crew] for crew in crews], float), (len(days), 1))
    for one in strengths:
        if one.crew in column:
            within = (days >= np.datetime64(one.first)) & (days <= np.datetime64(one.last))
            found[within, column[one.crew]] = one.people
    return found


@dataclass(frozen=True, slots=True)
class Season:
    """What a forecast starts from."""

    first: date
    """From which on work can go on."""
    calendar: WorkCalendar
    people: Mapping[str, float]
    """By crew, on days of which `strengths` say nothing."""
    history: Sequence[PaceDay]
    remaining: Mapping[Work, float]
    """Trees by variety (method and system), of any crew: its name is empty."""
    prior: PacePrior
    strengths: Sequence[Strength] = ()
    """Of several that hold on one day the last one counts."""
    methods: Mapping[str, str] = field(default_factory=dict)
    """By crew, how it prunes, where that is known: it goes before what `remaining` says."""
    worked: Collection[tuple[date, str]] = ()
    """Days on which a crew worked, whatever is known of its hours: such a day is not lost, and nobody stayed away."""

    @property
    def crews(self) -> list[str]:
        """The crews, in the order of their names."""
        return sorted(self.people)

    @property
    def left(self) -> dict[Work, float]:
        """What is left of each kind of work that is not done."""
        return {work: trees for work, trees in self.remaining.items() if trees > 0}

    def people_on(self, days: Days) -> Floats:
        """Return how many people each crew has: of shape (days, crews)."""
        return people_on(self.people, self.strengths, days)

    def past(self) -> tuple[Days, set[date]]:
        """Return the working days from the first one of the history to the day before work can go on, and those worked."""
        worked = {one.day for one in self.history} | {day for day, _ in self.worked}
        if not worked:
            return self.calendar.days(self.first, 0), worked
        first = min(worked)
        day_before: date = (np.datetime64(self.first) - np.timedelta64(1, "D")).item()
        gone = self.calendar.days(first, self.calendar.between(first, day_before))
        past = np.union1d(gone, np.array(sorted(worked), "datetime64[D]"))
        past = past[past < np.datetime64(self.first)]
        past = past[~_days_off_then(past, worked)]
        return past[
            ~self._nobody_was_to_come(past) | np.isin(past, np.array(sorted(worked), past.dtype))
        ], worked

    def _nobody_was_to_come(self, past: Days) -> NDArray[np.bool_]:
        """Return which days all crews that have begun were told to be away: the weather took nothing from them."""
        seen = {one.work.crew for one in self.history} | {crew for _, crew in self.worked}
        begun = [at for at, crew in enumerate(self.crews) if crew in seen]
        away = self.people_on(past)[:, begun] == 0
        return away.all(axis=1) if begun else np.zeros(len(past), bool)


def _days_off_then(past: Days, worked: Collection[date]) -> NDArray[np.bool_]:
    """Return which days gone by were no working days then, though the calendar of now says so."""
    # where two days or more of a weekday went by before the first one was worked, nobody meant to work on them; a single
    # one may well have been lost
    off = np.zeros(len(past), bool)
    for weekday in range(7):
        first = min((day for day in worked if day.weekday() == weekday), default=date.max)
        before = (_weekday(past) == weekday) & (past < np.datetime64(first))
        if before.sum() > 1:
            off |= before
    return off


def _weekday(days: Days) -> NDArray[np.int64]:
    """Return 0 for Monday to 6 for Sunday; 1 January 1970 was a Thursday."""
    numbered: NDArray[np.int64] = (days.astype(np.int64) + 3) % 7
    return numbered
