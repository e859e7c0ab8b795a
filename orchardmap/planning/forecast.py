"""When the last tree is pruned: simulated seasons, each with paces, absences and lost days that may be. Pure.

All crews work down what is left together, in any order: what crews are given in which order is simulated by
`orchardmap.planning.queues`.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from orchardmap.planning.pace import Pace, PaceDay, PacePrior, Work, fitted_pace
from orchardmap.planning.work_calendar import Days, LostDays, WorkCalendar, lost_days

__all__ = ["Finish", "Season", "finish_forecast"]

Floats = NDArray[np.float64]

DRAWS = 4_000
MOST_DAYS = 1_000
"""Working days, four years of them: who is not done by then is told never to be."""
_POOL = 4_096
_AT_A_TIME = 32
_SHARES_GUESSED = (0.75, 0.95)
"""Of a crew's hours that come to work, before any day is seen: two days' worth (design 07, 5.2)."""


@dataclass(frozen=True, slots=True)
class Season:
    """What a forecast starts from."""

    first: date
    """From which on work can go on."""
    calendar: WorkCalendar
    people: Mapping[str, float]
    """By crew."""
    history: Sequence[PaceDay]
    remaining: Mapping[Work, float]
    """Trees by variety (method and system), of the work's crew or of any where that is empty."""
    prior: PacePrior


@dataclass(frozen=True, slots=True)
class Finish:
    """The day on which the last tree is pruned, in many seasons that may be."""

    working_day: NDArray[np.int64]
    """Of shape (draws,): 1 for the first day on which work can go on, 0 where nothing is left, MOST_DAYS + 1 for never."""
    days: Days
    """The working days, the first at index 0."""
    before: date
    """Where nothing is left: the day before the first."""

    def day(self, share: float) -> date | None:
        """Return the first day by which at least a share of seasons is finished, None for never.

        Parameters
        ----------
        share : float, above 0, at most 1

        Returns
        -------
        date or None
        """
        at = int(np.quantile(self.working_day, share, method="inverted_cdf"))
        if at > len(self.days):
            return None
        found: date = self.days[at - 1].item() if at else self.before
        return found

    def chance(self, must_finish: date) -> float:
        """Return the share of seasons that are finished by a day, 0 to 1."""
        in_time = int(np.searchsorted(self.days, np.datetime64(must_finish), side="right"))
        return float(np.mean(self.working_day <= in_time)) if must_finish >= self.before else 0.0


def finish_forecast(season: Season, *, seed: int, draws: int = DRAWS) -> Finish:
    """Return on which day a season may be finished.

    Parameters
    ----------
    season : Season
        What is left, who works, what was done.
    seed : int
        The same seed gives the same answer, and with more people no draw finishes later.
    draws : int
        Seasons that are simulated.

    Returns
    -------
    Finish
    """
    rng = np.random.default_rng(seed)
    left = {work: trees for work, trees in season.remaining.items() if trees > 0}
    crews = sorted(season.people)
    works = [work._replace(crew=crew) for crew in crews for work in left]
    paces = fitted_pace(season.history, works, season.prior).draws(draws, rng)
    past, worked = _past(season)
    lost = lost_days(season.calendar, past, worked)
    come = _shares_at_work(season, crews, past, worked)
    weights = rng.dirichlet(np.ones(len(come)), draws)
    trees = np.array(list(left.values()), float)
    if not len(trees):
        return Finish(np.zeros(draws, np.int64), season.calendar.days(season.first, 1), _day_before(season.first))
    hours_each = trees / paces.trees_per_h.reshape(draws, len(crews), len(left))
    people = np.array([season.people[crew] for crew in crews], float)
    a_day = people * season.calendar.hours_per_day * (weights @ come) / hours_each.sum(axis=2)
    team = _team_days(come, paces.noise, paces.day, rng)
    days = season.calendar.days(season.first, MOST_DAYS)
    return Finish(_first_done(a_day, team, days, (season.calendar, lost), rng), days, _day_before(season.first))


def _past(season: Season) -> tuple[Days, set[date]]:
    """Return the working days from the first one of the history to the day before work can go on, and those worked."""
    worked = {one.day for one in season.history}
    if not worked:
        return season.calendar.days(season.first, 0), worked
    first = min(worked)
    n = season.calendar.between(first, _day_before(season.first))
    past = np.union1d(season.calendar.days(first, n), np.array(sorted(worked), "datetime64[D]"))
    return past[past < np.datetime64(season.first)], worked


def _shares_at_work(season: Season, crews: Sequence[str], past: Days, worked: set[date]) -> Floats:
    """Return, day by day, which share of its full hours each crew worked: of shape (days, crews), guessed days first.

    A crew that was not yet there has that day's mean of the others.
    """
    column = {crew: at for at, crew in enumerate(crews)}
    row = {day: at for at, day in enumerate(sorted(worked))}
    hours = np.zeros((len(row), len(crews)))
    full = np.zeros(len(crews))
    began = np.full(len(crews), len(row))
    for one in season.history:
        at = column.get(one.work.crew)
        if at is not None:
            hours[row[one.day], at] += one.person_hours
            began[at] = min(began[at], row[one.day])
            full[at] = max(full[at], one.full_person_hours or 0.0)
    guessed = np.repeat(np.array(_SHARES_GUESSED)[:, np.newaxis], len(crews), axis=1)
    if not len(row):
        return guessed
    seen = np.divide(hours, full, out=np.full_like(hours, np.nan), where=full > 0)
    seen[np.arange(len(row))[:, np.newaxis] < began] = np.nan
    known = ~np.isnan(seen)
    mean = np.where(known, seen, 0.0).sum(axis=1) / np.maximum(known.sum(axis=1), 1)
    seen = np.where(known, seen, mean[:, np.newaxis])
    return np.vstack([guessed, seen[known.any(axis=1)]])


def _team_days(come: Floats, noise: Floats, day: Floats, rng: np.random.Generator) -> Floats:
    """Return days of the whole team: what each crew does of its mean, of shape (_POOL, crews).

    A day of the team is one thing, with its weather and its absences, whatever the order of days: so days are drawn from
    a stock of them, not made anew for every simulated season (design 08, 9).
    """
    of_mean = come[rng.integers(len(come), size=_POOL)] / come.mean(axis=0)
    for_all = rng.standard_normal((_POOL, 1)) * np.sqrt(np.mean(day**2))
    of_each = rng.standard_normal(of_mean.shape) * np.sqrt(np.mean(noise**2))
    made: Floats = of_mean * np.exp(for_all + of_each)
    return made


def _first_done(
    a_day: Floats,
    team: Floats,
    days: Days,
    losing: tuple[WorkCalendar, LostDays],
    rng: np.random.Generator,
) -> NDArray[np.int64]:
    """Return of each draw the number of the day on which its share done reaches 1, MOST_DAYS + 1 for never.

    ``a_day`` is the share of all that is left that a crew does on a mean day, of shape (draws, crews).
    """
    calendar, lost = losing
    team = np.asfortranarray(team)
    chances = lost.chances(np.array(calendar.lost_chance), len(a_day), rng)
    months = days.astype("datetime64[M]").astype(int) % 12
    done = np.zeros(len(a_day))
    found = np.full(len(a_day), MOST_DAYS + 1, np.int64)
    going = np.arange(len(a_day))
    for begin in range(0, len(days), _AT_A_TIME):
        shape = (len(a_day), len(days[begin : begin + _AT_A_TIME]))
        # as much is drawn whoever is done, so that more people meet the same days
        drawn = rng.integers(_POOL, size=shape, dtype=np.int16)[going]
        luck = rng.random(shape, dtype=np.float32)[going]
        is_worked = luck >= chances[going][:, months[begin : begin + _AT_A_TIME]]
        # crew by crew: a column of the stock stays in the processor's cache
        each_day = sum(
            own[going, np.newaxis] * of_mean[drawn] for own, of_mean in zip(a_day.T, team.T, strict=True)
        )
        so_far = done[going, np.newaxis] + np.cumsum(each_day * is_worked, axis=1)
        reached = so_far >= 1.0 - 1e-9
        is_done = reached[:, -1]
        found[going[is_done]] = begin + 1 + reached[is_done].argmax(axis=1)
        done[going] = so_far[:, -1]
        going = going[~is_done]
        if not len(going):
            break
    return found


def _day_before(day: date) -> date:
    before: date = (np.datetime64(day) - np.timedelta64(1, "D")).item()
    return before
