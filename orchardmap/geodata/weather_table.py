"""A table of daily weather as CSV, read strictly: what is not plain is refused with its line."""

import re
from collections.abc import Callable
from datetime import date
from math import isfinite

from orchardmap.errors import ImportFileError
from orchardmap.geodata.plain_csv import table_lines
from orchardmap.model.weather import WeatherDay
from orchardmap.pruning.bounds import air_temperature_c, rain_mm
from orchardmap.units import fahrenheit_to_celsius, inches_to_cm

__all__ = ["weather_days"]

_TEMPERATURES = ({"date", "tmin_c", "tmax_c"}, {"date", "tmin_f", "tmax_f"})
_RAINS: tuple[set[str], ...] = (set(), {"rain_mm"}, {"rain_in"})
_COLUMNS = [frozenset(said | rain) for said in _TEMPERATURES for rain in _RAINS]
_TODO = "Its first line must be date,tmin_c,tmax_c or date,tmin_f,tmax_f, with rain_mm or rain_in behind it if known."
_ISO_DAY = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)
_INTO: dict[str, Callable[[float], float]] = {
    "c": float,
    "f": fahrenheit_to_celsius,
    "mm": float,
    "in": lambda rain_in: 10.0 * inches_to_cm(rain_in),
}
"""Unit of a column to what makes degrees Celsius, or millimetres, of its numbers."""


def weather_days(content: bytes, *, name: str) -> list[WeatherDay]:
    """Return the days that a CSV file holds.

    Parameters
    ----------
    content : bytes
        UTF-8 with or without a byte order mark, commas between columns. Columns in any order.
    name : str
        Of the file, for errors.

    Returns
    -------
    list of WeatherDay
        In the order of the file; days may be left out.

    Raises
    ------
    ImportFileError
        If a column is missing, unknown or double, a cell is empty, no day or no number, a day stands there twice, or a
        maximum is below its minimum; ``where`` names the line and the column.
    InputError
        If a temperature or rain is out of range; ``where`` likewise.
    """
    found: dict[date, tuple[str, WeatherDay]] = {}
    for where, cells in table_lines(content, name=name, kind="weather table", allowed=_COLUMNS, todo=_TODO):
        one = _weather_day(cells, where)
        if one.day in found:
            what = f"{one.day} stands in {found[one.day][0]} already."
            raise ImportFileError(what, where=f"{where}, date", todo="Give every day once.")
        found[one.day] = where.removeprefix(f"{name}, "), one
    if not found:
        raise ImportFileError("It has no line with a day.", where=name)
    return [one for _, one in found.values()]


def _weather_day(cells: dict[str, str], where: str) -> WeatherDay:
    day = _day(cells["date"], f"{where}, date")
    told: dict[str, float] = {}
    for column in sorted(set(cells) - {"date"}):
        quantity, unit = column.split("_")
        value, place = _INTO[unit](_number(cells[column], f"{where}, {column}")), f"{where}, {column}"
        told[quantity] = float(
            rain_mm(value, place) if quantity == "rain" else air_temperature_c(value, place)
        )
    if told["tmax"] < told["tmin"]:
        raise ImportFileError(
            "Its maximum is below its minimum.", where=where, todo="Put the two in the other order."
        )
    return WeatherDay(day, told["tmin"], told["tmax"], told.get("rain"))


def _day(cell: str, where: str) -> date:
    try:
        if _ISO_DAY.fullmatch(cell):
            return date.fromisoformat(cell)
    except ValueError:
        pass
    raise ImportFileError(f"{cell!r} is no day.", where=where, todo="Write it like 2026-03-01.")


def _number(cell: str, where: str) -> float:
    try:
        number = float(cell)
    except ValueError:
        number = float("nan")
    if not isfinite(number):
        raise ImportFileError(f"{cell!r} is no number.", where=where, todo="Write it with a decimal point.")
    return number
