"""The weather of one day, as a station measured it or a forecast gave it."""

from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True)
class WeatherDay:
    """Temperatures in degrees Celsius, rain in millimetres; None where rain was not told."""

    day: date
    tmin_c: float
    tmax_c: float
    rain_mm: float | None = None
