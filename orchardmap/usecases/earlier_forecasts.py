"""What was forecast on earlier evenings of a season, and how it came out."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

import numpy as np

from orchardmap.planning.forecast import finish_forecast
from orchardmap.usecases.season_ahead import season_ahead
from orchardmap.usecases.season_records import SeasonRecords

__all__ = ["EarlierForecast", "earlier_forecasts", "scored"]

Json = dict[str, Any]
MOST = 16
"""Evenings that are told of, spread evenly over those of days worked."""
_DRAWS = 500
_LEAST_DAYS = 5
"""Working days, after which a forecast is held against what came of it."""


@dataclass(frozen=True, slots=True)
class EarlierForecast:
    """A forecast of an earlier evening."""

    evening: date
    p10: date | None
    p50: date | None
    p90: date | None
    chance: float
    working_days: int
    """Gone by since."""

    def told(self) -> list[Any]:
        """Return it as screens draw it."""
        days = [day.isoformat() if day else None for day in (self.p10, self.p50, self.p90)]
        return [self.evening.isoformat(), *days, self.chance]


def earlier_forecasts(records: SeasonRecords, evening: date, *, seed: int) -> list[EarlierForecast]:
    """Return what is forecast on earlier evenings by what was recorded until then.

    Parameters
    ----------
    records : SeasonRecords
        To whatever day they go.
    evening : date
        Later evenings are left out, and this one.
    seed : int
        Of the season's forecasts.

    Returns
    -------
    list of EarlierForecast
        In order, `MOST` at the most.

    Notes
    -----
    Nothing is kept of what was told on the day: a forecast is worked out again from the records of that day and before, as
    they stand now, and from the calendar as it is now. So what came late is in it, a day on which nobody looked has its
    forecast too, and another calendar is scored by what it would have said. Crews' queues do not enter: which block came
    before which hardly moves the day on which all are done, and nobody knows the queues of then.
    """
    days = sorted(day for day in records.pruned if day < evening)
    chosen = (
        sorted({days[at] for at in np.linspace(0, len(days) - 1, MOST).round().astype(int)}) if days else []
    )
    made = (_made(records, day, evening, seed) for day in chosen)
    return [one for one in made if one is not None]


def _made(records: SeasonRecords, day: date, evening: date, seed: int) -> EarlierForecast | None:
    season = season_ahead(records, day).season
    if season is None or not season.left:
        return None
    found = finish_forecast(season, seed=seed, draws=_DRAWS)
    return EarlierForecast(
        day,
        *(found.day(0.1), found.day(0.5), found.day(0.9)),
        chance=found.chance(records.season.must_finish_on),
        working_days=season.calendar.between(season.first, evening),
    )


def scored(earlier: Sequence[EarlierForecast], likely: date | None) -> Json | None:
    """Return how many earlier forecasts were old enough to be held against what came, and in how many it lies inside.

    Parameters
    ----------
    earlier : sequence of EarlierForecast
    likely : date or None
        The day on which the season was finished; until then the likely day of the latest forecast, None for never.

    Returns
    -------
    dict or None
        ``issued``, and of these ``inside``: from the day of 1 in 10 to that of 9 in 10. None where none is old enough.
    """
    old = [one for one in earlier if one.working_days >= _LEAST_DAYS]
    inside = sum(
        one.p10 is not None and likely is not None and one.p10 <= likely <= (one.p90 or date.max)
        for one in old
    )
    return {"issued": len(old), "inside": inside} if old else None
