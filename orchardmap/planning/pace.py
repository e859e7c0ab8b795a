"""Pace: trees per person-hour by crew, variety, method and training system, from many days of work or none. Pure.

The logarithm of a day's pace is a sum: the farm, the crew, the variety, the method, the system, what this crew does
with this variety, what that day did to everybody, what it did to this crew, and noise. Each part but the noise is normal around a first guess, so
that crews and varieties with few days lean on the rest (partial pooling), and one that was never seen has the guess.
The normal-inverse-gamma prior makes all of it one closed form: A. Gelman and others 2013, Bayesian Data Analysis, 3rd
ed., chapter 14 (from memory).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy import linalg, stats

from orchardmap.errors import InputError
from orchardmap.planning.keyed import keyed_normals
from orchardmap.planning.pace_parts import PaceDay, PacePrior, Work, parts_of

__all__ = ["Pace", "PaceDay", "PaceDraws", "PacePrior", "Work", "fitted_pace"]

Floats = NDArray[np.float64]


class PaceDraws(NamedTuple):
    """Paces that may be, each as likely as the next."""

    trees_per_h: Floats
    """Of shape (draws, works): of one person on an ordinary day."""
    noise: Floats
    """Of shape (draws,): standard deviation of the logarithm of a crew's day about it, noise and the crew's day together."""
    day: Floats
    """Of shape (draws,): that of what a day does to everybody."""


@dataclass(frozen=True, slots=True)
class Pace:
    """What is known of paces after some days."""

    works: tuple[Work, ...]
    parts: tuple[str, ...]
    """Names of what paces are the sum of."""
    mean: Floats
    """Of the logarithm, of shape (works,)."""
    root: Floats
    """Of shape (works, parts): times its transpose and the noise's variance it is their covariance."""
    freedom: float
    """Degrees of freedom of the noise."""
    sum_of_squares: float
    """Scaled sum of the noise: divided by `freedom` its variance."""
    day_to_noise: float
    crew_day_to_noise: float
    days: int
    """Crew-days that it rests on."""

    @property
    def noise_variance(self) -> float:
        """Expected variance of the logarithm of a crew's day on one variety (what it shares with others aside)."""
        return self.sum_of_squares / (self.freedom - 2.0)

    def interval(self, share: float = 0.8) -> tuple[Floats, Floats, Floats]:
        """Return the likely pace of each work and the bounds that hold it with a chance, trees per person-hour.

        Parameters
        ----------
        share : float, between 0 and 1
            Chance that the true pace lies between the bounds.

        Returns
        -------
        tuple of three ndarray, shape (works,)
            Median, low and high, by Student's t.
        """
        spread = np.sqrt((self.root**2).sum(axis=1) * self.sum_of_squares / self.freedom)
        off = float(stats.t.ppf(0.5 + share / 2.0, self.freedom)) * spread
        return np.exp(self.mean), np.exp(self.mean - off), np.exp(self.mean + off)

    def draws(self, n: int, rng: np.random.Generator) -> PaceDraws:
        """Return paces that may be, all works of a draw together.

        Parameters
        ----------
        n : int
            How many.
        rng : numpy.random.Generator
            Whatever comes of it comes again from the same state, for each work that is asked about, whoever else is.

        Returns
        -------
        PaceDraws
        """
        noise = np.sqrt(self.sum_of_squares / rng.chisquare(self.freedom, n))
        off = keyed_normals(rng, self.parts, n) @ self.root.T
        of_crew = noise * np.hypot(1.0, self.crew_day_to_noise)
        return PaceDraws(np.exp(self.mean + noise[:, np.newaxis] * off), of_crew, noise * self.day_to_noise)


def fitted_pace(days: Sequence[PaceDay], works: Sequence[Work], prior: PacePrior) -> Pace:
    """Return what is known of the pace of some works.

    Parameters
    ----------
    days : sequence of PaceDay
        All days of work that count, in any order; none is enough.
    works : sequence of Work
        Which are asked about, seen or not.
    prior : PacePrior
        What was thought before.

    Returns
    -------
    Pace

    Raises
    ------
    InputError
        If a day has no trees or no hours, or the expected pace is not above 0.

    Examples
    --------
    After four days the crew that was quicker is thought a little quicker, and a variety that nobody met is the guess:

    >>> day = date(2026, 1, 12)
    >>> rates = [("A", "x", 11.5), ("B", "y", 13.2), ("A", "x", 12.4), ("B", "y", 14.0)]
    >>> seen = [PaceDay(day, Work(crew, variety), rate, 1.0) for crew, variety, rate in rates]
    >>> pace = fitted_pace(seen, [Work("A", "x"), Work("B", "y"), Work("B", "z")], PacePrior(12.0))
    >>> pace.interval()[0].round(1).tolist()
    [12.0, 13.3, 12.6]
    """
    if not prior.trees_per_h > 0:
        raise InputError("It must be above 0 trees per person-hour.", where="expected pace")
    for one in days:
        if not (one.trees > 0 and one.person_hours > 0):
            raise InputError("A day's pace needs trees and person-hours above 0.", where=f"{one.day}")
    everything = [*(one.work for one in days), *works]
    parts = parts_of(everything, days, prior)
    seen, asked = parts.of_works[: len(days)], parts.of_works[len(days) :]
    log_pace = np.log([one.trees / one.person_hours for one in days]) if days else np.zeros(0)
    together = _crew_days(days)
    rows = np.column_stack([seen, log_pace])
    # in units of the noise, as a conjugate prior has to be
    before, shared = prior.noise**2 / parts.spreads**2, (prior.crew_day / prior.noise) ** 2
    mean, lower, _ = _fitted(_apart(days, together, rows, shared), before, parts.guesses)
    _, _, squares = _fitted(_as_one(days, together, rows, shared), before, parts.guesses)
    root = linalg.solve_triangular(lower, asked.T, lower=True).T
    return Pace(
        tuple(works),
        parts.names,
        asked @ mean,
        root,
        prior.noise_days + sum(len(these) for these in together),
        prior.noise_days * prior.noise**2 + squares,
        prior.day / prior.noise,
        prior.crew_day / prior.noise,
        len(days),
    )


def _crew_days(days: Sequence[PaceDay]) -> list[NDArray[np.int64]]:
    """Return which of the days are one crew's on one day: of shape (crew-days, works) for each number of works."""
    found: dict[tuple[date, str], list[int]] = {}
    for at, one in enumerate(days):
        found.setdefault((one.day, one.work.crew), []).append(at)
    sizes = sorted({len(these) for these in found.values()})
    return [np.array([these for these in found.values() if len(these) == size]) for size in sizes]


def _apart(
    days: Sequence[PaceDay], together: Sequence[NDArray[np.int64]], rows: Floats, shared: float
) -> Floats:
    """Return parts and logarithms so turned that their noise is independent and of one size."""
    # what a crew did on one day on several varieties shares the crew's day, of `shared` times the noise's variance; a
    # short day's noise is larger
    weight = _weights(days)
    reckoned = np.array([one.is_reckoned for one in days], bool)
    found = [np.zeros((0, rows.shape[1]))]
    for these in together:
        as_one = reckoned[these].any(axis=1)
        found.append(_as_one(days, [these[as_one]], rows, shared))
        told = these[~as_one]
        covariance = np.eye(these.shape[1]) / weight[told][:, :, np.newaxis] + shared
        found.extend(np.linalg.solve(np.linalg.cholesky(covariance), rows[told]))
    return np.vstack(found)


def _as_one(
    days: Sequence[PaceDay], together: Sequence[NDArray[np.int64]], rows: Floats, shared: float
) -> Floats:
    """Return the same with each crew's day as one, its works in the shares of their hours."""
    # how much days differ is learned from whole days: how their hours fell to varieties is mostly reckoned, not written down
    hours, weight = np.array([one.person_hours for one in days]), _weights(days)
    found = [np.zeros((0, rows.shape[1]))]
    for these in together:
        share = hours[these] / hours[these].sum(axis=1, keepdims=True)
        noise = (share**2 / weight[these]).sum(axis=1, keepdims=True)
        found.append(np.einsum("dw,dwp->dp", share, rows[these]) / np.sqrt(noise + shared))
    return np.vstack(found)


def _fitted(rows: Floats, before: Floats, guesses: Floats) -> tuple[Floats, Floats, float]:
    """Return the mean of the parts, the lower root of their precision, and the sum of squares that is left (never below 0)."""
    x, y = rows[:, :-1], rows[:, -1]
    precision = np.diag(before) + x.T @ x
    lower = linalg.cholesky(precision, lower=True)
    mean = linalg.cho_solve((lower, True), before * guesses + x.T @ y)
    left = y @ y + before @ guesses**2 - mean @ precision @ mean
    return mean, lower, max(float(left), 0.0)


def _weights(days: Sequence[PaceDay]) -> Floats:
    """Return 1 for nine tenths of a whole day or more, less for less."""
    hours = np.array([one.person_hours for one in days])
    whole = np.array([one.full_person_hours or one.person_hours for one in days])
    weight: Floats = np.minimum(1.0, hours / (0.9 * whole))
    return weight
