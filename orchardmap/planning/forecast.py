"""When the last tree is pruned: all crews work down what is left together, in any order. Pure.

What crews were given in which order is simulated by `orchardmap.planning.queues`.
"""

from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from orchardmap.planning.futures import AT_A_TIME, MOST_DAYS, Futures
from orchardmap.planning.season import Season
from orchardmap.planning.work_calendar import Days

__all__ = ["DRAWS", "Finish", "finish_forecast", "straight_line"]

Floats = NDArray[np.float64]

DRAWS = 4_000
_ALL = 1.0 - 1e-9


@dataclass(frozen=True, slots=True)
class Finish:
    """The day on which the last tree is pruned, in many seasons that may be."""

    working_day: NDArray[np.int64]
    """Of shape (draws,): 1 for the first day on which work can go on, 0 where nothing is left, one more than there are `days` for never."""
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
        if must_finish < self.before:
            return 0.0
        in_time = int(np.searchsorted(self.days, np.datetime64(must_finish), side="right"))
        return float(np.mean(self.working_day <= in_time))


def finish_forecast(season: Season, *, seed: int, draws: int = DRAWS) -> Finish:
    """Return on which day a season may be finished.

    Parameters
    ----------
    season : Season
        What is left, who works, what was done.
    seed : int
        The same seed gives the same answer, and with more people, or a crew more, no draw finishes later.
    draws : int
        Seasons that are simulated.

    Returns
    -------
    Finish
    """
    futures = Futures(season, seed=seed, draws=draws)
    before: date = (np.datetime64(season.first) - np.timedelta64(1, "D")).item()
    if not futures.works:
        return Finish(np.zeros(draws, np.int64), futures.days, before)
    trees = np.array(list(season.left.values()), float)
    # each crew takes its part of every kind of work, so it does one share of all that is left in so many hours
    hours_for_all = (trees / futures.trees_per_h).sum(axis=2)
    return Finish(_first_done(futures, futures.come / hours_for_all), futures.days, before)


def _first_done(futures: Futures, an_hour: Floats) -> NDArray[np.int64]:
    """Return of each draw the number of the day on which all is done, MOST_DAYS + 1 for never."""
    # an_hour: the share of all that is left that an hour of a crew's whole people does on a mean day, (draws, crews)
    whole = futures.person_hours()
    done = np.zeros(futures.draws)
    found = np.full(futures.draws, MOST_DAYS + 1, np.int64)
    going = np.arange(futures.draws)
    for begin in range(0, len(futures.days), AT_A_TIME):
        batch = futures.batch(begin)
        stock, is_worked = batch.stock[going], batch.is_worked[going]
        hours = whole[begin : begin + stock.shape[1]]
        # crew by crew: a column of the stock stays in the processor's cache
        each_day = sum(
            own[going, np.newaxis] * of_mean[stock] * of_day
            for own, of_mean, of_day in zip(an_hour.T, futures.stock.T, hours.T, strict=True)
        )
        so_far = done[going, np.newaxis] + np.cumsum(each_day * is_worked, axis=1)
        reached = so_far >= _ALL
        is_done = reached[:, -1]
        found[going[is_done]] = begin + 1 + reached[is_done].argmax(axis=1)
        done[going] = so_far[:, -1]
        going = going[~is_done]
        if not len(going):
            break
    return found


def straight_line(season: Season, done: float | None = None) -> date | None:
    """Return the day that the mean of all working days so far comes to, lost ones among them: for comparison only.

    Parameters
    ----------
    season : Season
    done : float or None
        Trees pruned so far; None: those of the history, which leaves out what was pruned in hours that nobody said.

    Returns
    -------
    date or None
        None where nothing was done yet.

    Examples
    --------
    Five days, one of them lost, 2,300 trees; 8,740 more take 19 such days (checks/statistics.json, fc-10-naive):

    >>> from datetime import timedelta
    >>> from orchardmap.planning.pace import PaceDay, PacePrior, Work
    >>> from orchardmap.planning.work_calendar import WorkCalendar
    >>> monday = date(2026, 1, 12)
    >>> done = [PaceDay(monday + timedelta(n), Work("A", "x"), t, 40.0) for n, t in ((0, 520), (1, 610), (3, 580), (4, 590))]
    >>> season = Season(date(2026, 1, 19), WorkCalendar(), {"A": 5}, done, {Work("", "x"): 8740.0}, PacePrior(12.0))
    >>> WorkCalendar().between(season.first, straight_line(season))
    19
    """
    past, _ = season.past()
    done = sum(one.trees for one in season.history) if done is None else done
    if not len(past) or not done:
        return None
    left = sum(season.left.values())
    needed = int(np.ceil(left / (done / len(past)) - 1e-9))
    if needed == 0 or needed > MOST_DAYS:
        return None
    last: date = season.calendar.days(season.first, needed)[-1].item()
    return last
