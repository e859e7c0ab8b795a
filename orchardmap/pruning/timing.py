"""When cutting is risky, and which blocks go first: advice from settings with their source, never a rule of law."""

from collections.abc import Sequence
from datetime import date

import numpy as np
from numpy.typing import ArrayLike, NDArray

from orchardmap.pruning.weather import DailyWeather
from orchardmap.units import fahrenheit_to_celsius

__all__ = [
    "FALLING_RISK_DAYS",
    "HARD_FROST_C",
    "HIGH_RISK_DAYS",
    "WET_DAY_MM",
    "day_spells",
    "first_frosts",
    "frost_risk",
    "is_wet_on_canker",
    "pruning_order_key",
]

HARD_FROST_C = fahrenheit_to_celsius(0.0)
"""A minimum of 0 F (-17.8 C) or below harms fresh cuts: Penn State, in *Fruit Growers News*, 14 January 2016."""
HIGH_RISK_DAYS = 2
"""The risk is greatest within 48 hours of the cut (same source)."""
FALLING_RISK_DAYS = 14
"""It fades over two weeks (same source)."""
WET_DAY_MM = 0.2
"""Common practice: the least fall that most gauges count. The rule itself, no pruning of cankered trees in the wet, is
NIAB's (*Cultural control of apple canker*) and has no figure."""


def frost_risk(
    cut_days: ArrayLike | Sequence[date],
    weather: DailyWeather,
    *,
    hard_frost_c: float = HARD_FROST_C,
    high_risk_days: int = HIGH_RISK_DAYS,
    falling_risk_days: int = FALLING_RISK_DAYS,
) -> NDArray[np.str_]:
    """Return the risk that frost harms the cuts of each day.

    Parameters
    ----------
    cut_days : array_like of date, any shape
        Days on which cuts were, or would be, made.
    weather : DailyWeather
        Past and forecast minima.
    hard_frost_c : float, degrees Celsius
        A minimum at or below it counts.
    high_risk_days, falling_risk_days : int, days
        From the cut to the first hard frost: at most the first is high, at most the second is falling.

    Returns
    -------
    ndarray of str, same shape
        ``"high"``, ``"falling"``, or ``"none_seen"``: the table holds no such frost, which may yet come after its end. The
        day of the cut counts, for nobody knows the hours.

    Examples
    --------
    >>> from orchardmap.pruning.weather import daily_weather
    >>> weather = daily_weather(["2026-01-20", "2026-01-21"], [-8, -19], [-1, -9])
    >>> frost_risk(["2026-01-05", "2026-01-18", "2026-01-19"], weather).tolist()
    ['none_seen', 'falling', 'high']
    """
    cuts = np.asarray(cut_days, "datetime64[D]")
    waited = (first_frosts(cuts, weather.days[weather.tmin_c <= hard_frost_c]) - cuts).astype(int)
    is_falling, is_high = waited <= falling_risk_days, waited <= high_risk_days
    return np.where(is_high, "high", np.where(is_falling, "falling", "none_seen"))


def first_frosts(
    cut_days: NDArray[np.datetime64], frost_days: NDArray[np.datetime64]
) -> NDArray[np.datetime64]:
    """Return the first hard frost on or after each cut; 9999-12-31 where none is known.

    Parameters
    ----------
    cut_days : ndarray of datetime64[D], any shape
        Days of the cuts.
    frost_days : ndarray of datetime64[D], shape (n,)
        In order.

    Returns
    -------
    ndarray of datetime64[D], shape of ``cut_days``

    Examples
    --------
    >>> days = np.array(["2026-01-20", "2026-01-22"], "datetime64[D]")
    >>> first_frosts(days, days[:1]).tolist()
    [datetime.date(2026, 1, 20), datetime.date(9999, 12, 31)]
    """
    # one frost beyond all others, so that each cut has a next one
    frosts = np.append(frost_days, np.datetime64("9999-12-31"))
    return frosts[np.searchsorted(frosts, cut_days)]


def day_spells(days: NDArray[np.datetime64]) -> NDArray[np.int64]:
    """Return for each of some days to which run of days one after the other it belongs, counted from 0.

    Parameters
    ----------
    days : ndarray of datetime64[D], shape (n,)
        In order, none twice.

    Returns
    -------
    ndarray of int64, shape (n,)

    Examples
    --------
    >>> day_spells(np.array(["2026-01-20", "2026-01-21", "2026-01-23"], "datetime64[D]")).tolist()
    [0, 0, 1]
    """
    return np.concatenate([[0], np.cumsum(np.diff(days).astype(int) != 1)])[: len(days)].astype(np.int64)


def is_wet_on_canker(
    cut_days: ArrayLike | Sequence[date],
    is_canker_prone: ArrayLike,
    weather: DailyWeather,
    *,
    wet_day_mm: float = WET_DAY_MM,
) -> NDArray[np.bool_]:
    """Tell which cuts were, or would be, made in the wet on canker-prone trees.

    Parameters
    ----------
    cut_days : array_like of date, any shape
        Days of the cuts.
    is_canker_prone : array_like of bool, broadcastable
        Of the block that is cut.
    weather : DailyWeather
        Without rain nothing is known, and nothing told.
    wet_day_mm : float, millimetres
        Rain of a wet day, at least.

    Returns
    -------
    ndarray of bool
        False too for days that the table does not hold.

    Examples
    --------
    >>> from orchardmap.pruning.weather import daily_weather
    >>> weather = daily_weather(["2026-01-20", "2026-01-21"], [1, 1], [5, 6], [0.0, 3.4])
    >>> is_wet_on_canker(["2026-01-20", "2026-01-21", "2026-01-21"], [True, True, False], weather).tolist()
    [False, True, False]
    """
    cuts = np.asarray(cut_days, "datetime64[D]")
    rain = np.zeros(len(weather.days)) if weather.rain_mm is None else weather.rain_mm
    return np.isin(cuts, weather.days[rain >= wet_day_mm]) & np.asarray(is_canker_prone, np.bool_)


def pruning_order_key(*, is_biennial: bool, must_finish: date | None) -> tuple[bool, date]:
    """Return a key to sort blocks by: annual bearers before biennial ones, then the earliest day to be finished by.

    Parameters
    ----------
    is_biennial : bool
        The variety tends to bear every other year: pruned late, its flower buds can be counted first (Cornell, Miranda
        Sazo & Robinson 2024).
    must_finish : date, optional
        Blocks without one come last of their kind.

    Returns
    -------
    tuple of bool and date

    Examples
    --------
    >>> keys = [pruning_order_key(is_biennial=True, must_finish=date(2026, 2, 1)),
    ...         pruning_order_key(is_biennial=False, must_finish=None)]
    >>> min(keys) == keys[1]
    True
    """
    return is_biennial, must_finish or date.max
