"""The farm's working days: which days are worked, how long, and how many of them are lost. Pure."""

from collections.abc import Collection
from dataclasses import dataclass, field
from datetime import date

import numpy as np
from numpy.typing import NDArray

from orchardmap.errors import InputError
from orchardmap.planning.daylight import daylight_hours

__all__ = ["LostDays", "WorkCalendar", "lost_days"]

Days = NDArray[np.datetime64]

LOST_CHANCE = 0.10
"""Of a working day, where the farm gives none: common practice, five days' worth of it (design 07, 5.2)."""
_GUESS_DAYS = 5.0


@dataclass(frozen=True, slots=True)
class WorkCalendar:
    """Which days of a week are worked, save holidays, and for how many hours."""

    weekmask: str = "1111100"
    """Monday to Sunday, 1 for a day that is worked."""
    holidays: frozenset[date] = frozenset()
    hours_per_day: float = 8.0
    lost_chance: tuple[float, ...] = field(default=(LOST_CHANCE,) * 12)
    """Of a working day being lost to weather, January to December, 0 to 1."""
    latitude_deg: float | None = None
    """Where daylight limits the day; None where it does not."""
    dark_margin_h: float = 1.0
    """Daylight that is not worked in: the way to the rows, and breaks. Common practice."""

    def __post_init__(self) -> None:
        if len(self.weekmask) != 7 or set(self.weekmask) - {"0", "1"}:
            raise InputError(
                f'It is "{self.weekmask}"; it must be seven times 0 or 1, Monday first.', where="weekmask"
            )
        if "1" not in self.weekmask:
            raise InputError("No day of the week is worked.", where="weekmask")
        if not 0 < self.hours_per_day <= 24:
            raise InputError("It must be above 0 and at most 24.", where="hours_per_day")
        if len(self.lost_chance) != 12 or not all(0 <= chance < 1 for chance in self.lost_chance):
            raise InputError(
                "It must be twelve chances from 0 to below 1, January first.", where="lost_chance"
            )
        if self.latitude_deg is not None and not -90 <= self.latitude_deg <= 90:
            raise InputError("It must be from -90 to 90 degrees.", where="latitude_deg")

    @property
    def _busday(self) -> np.busdaycalendar:
        return np.busdaycalendar(self.weekmask, sorted(np.datetime64(one) for one in self.holidays))

    def days(self, first: date, n: int) -> Days:
        """Return the first working days from a day on, that day among them if it is worked.

        Parameters
        ----------
        first : date
            The farm's own.
        n : int
            How many.

        Returns
        -------
        ndarray of datetime64[D], shape (n,)

        Examples
        --------
        >>> from datetime import date
        >>> WorkCalendar("1111110", frozenset({date(2025, 1, 1)})).days(date(2024, 12, 31), 3).astype(str).tolist()
        ['2024-12-31', '2025-01-02', '2025-01-03']
        """
        return np.busday_offset(np.datetime64(first), np.arange(n), roll="forward", busdaycal=self._busday)

    def between(self, first: date, last: date) -> int:
        """Return how many working days there are from one day to another, both among them."""
        end = np.datetime64(last) + np.timedelta64(1, "D")
        return max(0, int(np.busday_count(np.datetime64(first), end, busdaycal=self._busday)))

    def hours(self, days: Days) -> NDArray[np.float64]:
        """Return how many hours of each day are worked: never more than daylight less the margin, where a latitude is given."""
        whole: NDArray[np.float64] = np.full(days.shape, self.hours_per_day)
        if self.latitude_deg is None:
            return whole
        light = daylight_hours(days, self.latitude_deg) - self.dark_margin_h
        lit: NDArray[np.float64] = np.clip(light, 0.0, whole)
        return lit

    def chances(self, days: Days) -> NDArray[np.float64]:
        """Return of each day the chance that it is lost, as the farm thinks before the season."""
        months = days.astype("datetime64[M]").astype(int) % 12
        found: NDArray[np.float64] = np.array(self.lost_chance)[months]
        return found


@dataclass(frozen=True, slots=True)
class LostDays:
    """How much more or less often than thought days are lost: a gamma distribution of the ratio."""

    shape: float
    rate: float

    def after(self, lost: float, thought: float) -> "LostDays":
        """Return what is known after so many days were lost, where so many were thought to be (Gamma-Poisson)."""
        return LostDays(self.shape + lost, self.rate + thought)

    def chances(self, thought: NDArray[np.float64], n: int, rng: np.random.Generator) -> NDArray[np.float64]:
        """Return chances of days being lost, of shape (n, days): at most 0.95."""
        ratio = rng.gamma(self.shape, 1.0 / self.rate, n)
        return np.minimum(0.95, ratio[:, np.newaxis] * thought)


def lost_days(calendar: WorkCalendar, past: Days, worked: Collection[date]) -> LostDays:
    """Return what the days gone by say of losing days.

    The chances of the calendar times one ratio; that ratio's gamma prior weighs as much as five days that lose as many as
    was thought, and each day gone by adds to it (Gamma-Poisson: A. Gelman and others 2013, Bayesian Data Analysis, 3rd ed.,
    section 2.6, from memory).

    Parameters
    ----------
    calendar : WorkCalendar
        With the chances thought of.
    past : ndarray of datetime64[D]
        Working days gone by since work began.
    worked : collection of date
        On which anybody worked.

    Returns
    -------
    LostDays

    Examples
    --------
    >>> from datetime import date
    >>> calendar = WorkCalendar()
    >>> past = calendar.days(date(2026, 1, 5), 10)
    >>> lost_days(calendar, past, {date(2026, 1, 5)})
    LostDays(shape=9.5, rate=1.5)
    """
    seen = np.isin(past, np.array(sorted(worked), "datetime64[D]"))
    thought = calendar.chances(past)
    mean = float(np.mean(calendar.lost_chance)) or LOST_CHANCE
    weight = _GUESS_DAYS * mean
    return LostDays(weight, weight).after(float((~seen).sum()), float(thought.sum()))
