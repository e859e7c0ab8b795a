"""When apple buds will show green, from degree days: a day, never without its interval."""

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from orchardmap.errors import InputError
from orchardmap.pruning.heat import degree_days
from orchardmap.pruning.weather import DailyWeather
from orchardmap.units import C_PER_F

__all__ = ["GREEN_TIP_F_DAYS", "LEAST_MARGIN_DAYS", "PUBLISHED_F_DAYS", "GreenTip", "green_tip"]

GREEN_TIP_F_DAYS = 120.0
"""Fahrenheit degree days, base 43 F, from 1 March: McIntosh (UMass, *Predicting green tip*, 1 April 2019)."""
PUBLISHED_F_DAYS = (24.0, 161.0)
"""Smallest and largest sum from 1 January at Geneva NY, base 43 F (*Scaffolds*, 20 March 1995)."""
LEAST_MARGIN_DAYS = 5
"""Models that know chill too err by 5 to 6 days over long series (Drepper et al. 2020, Agronomy)."""


@dataclass(frozen=True, slots=True)
class GreenTip:
    """Half of the buds show green. Each day is None where the table ends before it."""

    f_days: float
    """Fahrenheit degree days, base 43 F, from the start to the end of the table."""
    estimate: date | None
    earliest: date | None
    latest: date | None
    """The estimate less and plus the margin."""
    published_earliest: date | None
    published_latest: date | None
    """When the smallest and the largest published sum are reached; None too where the table begins after 1 January.
    They count the winter too: where it was warm the range may lie before the estimate, and neither is to be trusted."""


def green_tip(
    weather: DailyWeather,
    *,
    start: date,
    green_tip_f_days: float = GREEN_TIP_F_DAYS,
    margin_days: int = LEAST_MARGIN_DAYS,
) -> GreenTip:
    """Return when green tip is to be expected.

    Parameters
    ----------
    weather : DailyWeather
        Days so far, and forecast ones.
    start : date
        First day that counts: 1 March, or earlier after a very warm February.
    green_tip_f_days : float, Fahrenheit degree days above 43 F, ``> 0``
        Sum at green tip; a farm's own records are better than the default.
    margin_days : int, ``>= 5``
        Either way.

    Returns
    -------
    GreenTip
        The estimate is the first day whose sum reaches ``green_tip_f_days``.

    Raises
    ------
    InputError
        If the table does not hold the start, or the sum or margin is too small.

    Examples
    --------
    >>> from orchardmap.pruning.weather import daily_weather
    >>> days = np.arange("2026-03-01", "2026-04-01", dtype="datetime64[D]")
    >>> told = green_tip(daily_weather(days, [5.0] * 31, [20.0] * 31), start=date(2026, 3, 1))
    >>> told.earliest, told.estimate, told.latest
    (datetime.date(2026, 3, 6), datetime.date(2026, 3, 11), datetime.date(2026, 3, 16))
    """
    first, last = weather.days[0].astype(object), weather.days[-1].astype(object)
    if not first <= start <= last:
        todo = "Give its days too, or another start."
        raise InputError(f"The table runs from {first} to {last}.", where=f"start {start}", todo=todo)
    if not green_tip_f_days > 0:
        raise InputError(f"It is {green_tip_f_days:g}; it must be more than 0.", where="green_tip_f_days")
    if margin_days < LEAST_MARGIN_DAYS:
        what = f"It is {margin_days}; no model is better than {LEAST_MARGIN_DAYS} days."
        raise InputError(what, where="margin_days")
    estimate = _day_of_sum(weather, start, green_tip_f_days)
    margin = timedelta(margin_days)
    new_year = date(start.year, 1, 1)
    earliest, latest = (
        _day_of_sum(weather, new_year, f_days) if first <= new_year else None for f_days in PUBLISHED_F_DAYS
    )
    return GreenTip(
        f_days=float(_f_days(weather, start)[-1]),
        estimate=estimate,
        earliest=estimate and estimate - margin,
        latest=estimate and estimate + margin,
        published_earliest=earliest,
        published_latest=latest,
    )


def _f_days(weather: DailyWeather, start: date) -> NDArray[np.float64]:
    """Return the sum at the end of each day."""
    counted = np.where(weather.days >= np.datetime64(start), degree_days(weather.tmin_c, weather.tmax_c), 0.0)
    return np.cumsum(counted) / C_PER_F


def _day_of_sum(weather: DailyWeather, start: date, f_days: float) -> date | None:
    # a sum of converted temperatures may miss a round number by its last bits
    reached = weather.days[_f_days(weather, start) >= f_days * (1.0 - 1e-9)]
    return reached[0].astype(object) if len(reached) else None
