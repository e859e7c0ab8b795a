"""Seasons that may be: paces, absences and lost days, drawn together. Pure."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from orchardmap.planning.keyed import keyed_normals
from orchardmap.planning.pace import PaceDraws, fitted_pace
from orchardmap.planning.season import Season
from orchardmap.planning.work_calendar import Days, lost_days

__all__ = ["AT_A_TIME", "MOST_DAYS", "Batch", "Futures"]

Floats = NDArray[np.float64]

MOST_DAYS = 1_000
"""Working days, four years of them: who is not done by then is told never to be."""
_POOL = 4_096
AT_A_TIME = 32
"""Working days of a batch."""
_SHARES_GUESSED = (0.75, 0.95)
"""Of a crew's hours that come to work, before any day is seen: two days' worth (design 07, 5.2)."""


@dataclass(frozen=True, slots=True)
class Batch:
    """Some working days, one after the other, of every draw."""

    begin: int
    """Number of the first of them, 0 for the first day on which work can go on."""
    stock: NDArray[np.int16]
    """Which day of the stock each is like, of shape (draws, days)."""
    is_worked: NDArray[np.bool_]
    """Of shape (draws, days)."""


class Futures:
    """Seasons that may be. Whoever asks with the same seed meets the same ones, with more people or crews too."""

    def __init__(self, season: Season, *, seed: int, draws: int, most_days: int = MOST_DAYS) -> None:
        self._rng = np.random.default_rng(seed)
        self._season = season
        self.draws = draws
        self.crews = season.crews
        self.works = list(season.left)
        asked = [
            work._replace(crew=crew, method=season.methods.get(crew, work.method))
            for crew in self.crews
            for work in self.works
        ]
        paces = fitted_pace(season.history, asked, season.prior).draws(draws, self._rng)
        shape = (draws, len(self.crews), len(self.works))
        self.trees_per_h: Floats = paces.trees_per_h.reshape(shape)
        """Of one person of each crew on each kind of work, of shape (draws, crews, works)."""
        past, worked = season.past()
        lost = lost_days(season.calendar, past, worked)
        come = _shares_at_work(season, self.crews)
        weights = self._rng.dirichlet(np.ones(len(come)), draws)
        self.come: Floats = weights @ come
        """Share of its people's hours that each crew has on a mean day, of shape (draws, crews)."""
        luck = keyed_normals(self._rng, self.crews, _POOL)
        self.stock = np.asfortranarray(_team_days(come, paces, luck, self._rng))
        """What each crew does of its mean on days of the whole team, of shape (days of the stock, crews)."""
        self.days: Days = season.calendar.days(season.first, most_days)
        self._lost = lost.chances(np.array(season.calendar.lost_chance), draws, self._rng)

    def person_hours(self) -> Floats:
        """Return the hours of all people of each crew on each day, when everybody comes: of shape (days, crews)."""
        return self._season.people_on(self.days) * self._season.calendar.hours(self.days)[:, np.newaxis]

    def batch(self, begin: int) -> Batch:
        """Return the next days from `begin` on; batches are asked for one after the other."""
        days = self.days[begin : begin + AT_A_TIME]
        shape = (self.draws, len(days))
        # as much is drawn whoever is done, so that more people meet the same days
        stock = self._rng.integers(_POOL, size=shape, dtype=np.int16)
        luck = self._rng.random(shape, dtype=np.float32)
        month = days.astype("datetime64[M]").astype(int) % 12
        return Batch(begin, stock, luck >= self._lost[:, month])


def _shares_at_work(season: Season, crews: Sequence[str]) -> Floats:
    """Return, day by day, which share of its whole hours each crew worked: of shape (days, crews), guessed days first."""
    column = {crew: at for at, crew in enumerate(crews)}
    known_days = sorted({
        one.day for one in season.history if one.full_person_hours and one.work.crew in column
    })
    row = {day: at for at, day in enumerate(known_days)}
    hours, whole = np.zeros((len(row), len(crews))), np.zeros((len(row), len(crews)))
    began = np.full(len(crews), len(row))
    for one in season.history:
        at = column.get(one.work.crew)
        if at is not None and one.full_person_hours:
            hours[row[one.day], at] += one.person_hours
            whole[row[one.day], at] = one.full_person_hours
            began[at] = min(began[at], row[one.day])
    guessed = np.repeat(np.array(_SHARES_GUESSED)[:, np.newaxis], len(crews), axis=1)
    if not row:
        return guessed
    # a day that others worked and a crew did not, once it had begun, is one on which nobody of it came
    seen = np.divide(hours, whole, out=np.zeros_like(hours), where=whole > 0)
    known = np.arange(len(row))[:, np.newaxis] >= began
    for day, crew in season.worked:
        if day in row and crew in column:
            known[row[day], column[crew]] &= whole[row[day], column[crew]] > 0
    # nor does a crew stay away that was told to be: it has no people then
    known &= (season.people_on(np.array(known_days, "datetime64[D]")) > 0) | (whole > 0)
    # a crew that was not to be there, or whose hours nobody wrote down, has that day's mean of the others
    mean = (seen * known).sum(axis=1) / known.sum(axis=1)
    return np.vstack([guessed, np.where(known, seen, mean[:, np.newaxis])])


def _team_days(come: Floats, paces: PaceDraws, luck: Floats, rng: np.random.Generator) -> Floats:
    """Return days of the whole team: what each crew does of its mean, of shape (_POOL, crews)."""
    # a day of the team is one thing, with its weather and its absences, whatever the order of days: so days are drawn
    # from a stock of them, not made anew for every simulated season (design 08, 9)
    of_mean = come[rng.integers(len(come), size=_POOL)] / come.mean(axis=0)
    for_all = rng.standard_normal((_POOL, 1)) * np.sqrt(np.mean(paces.day**2))
    of_each = luck * np.sqrt(np.mean(paces.noise**2))
    made: Floats = of_mean * np.exp(for_all + of_each)
    return made
