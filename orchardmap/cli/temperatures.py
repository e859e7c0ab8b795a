"""A table of daily temperatures as CSV, read strictly: what is not plain is refused with its line."""

import csv
import io
import re
from collections.abc import Iterator
from datetime import date
from math import isfinite

from orchardmap.errors import ImportFileError
from orchardmap.pruning.bounds import air_temperature_c
from orchardmap.pruning.weather import DailyWeather, daily_weather
from orchardmap.units import fahrenheit_to_celsius

__all__ = ["weather_from_csv"]

_COLUMNS = (("date", "tmin_c", "tmax_c"), ("date", "tmin_f", "tmax_f"))
_TODO = "Its first line must be date,tmin_c,tmax_c or date,tmin_f,tmax_f, with rain_mm behind it if known."
_ISO_DAY = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)


def weather_from_csv(content: bytes, *, name: str) -> DailyWeather:
    """Return the daily weather that a CSV file holds.

    Parameters
    ----------
    content : bytes
        UTF-8 with or without a byte order mark, commas between columns. Columns in any order.
    name : str
        Of the file, for errors.

    Raises
    ------
    ImportFileError
        If a column is missing, unknown or double, or a cell is empty, no day or no number; ``where`` names the line.
    InputError
        If a temperature or rain is out of range, a day missing or double, or a maximum below its minimum.
    """
    lines = _lines(content, name)
    _, header = next(lines, (1, []))
    columns = [column.strip().lower() for column in header]
    if tuple(sorted(set(columns) - {"rain_mm"})) not in {tuple(sorted(known)) for known in _COLUMNS}:
        raise ImportFileError(
            "Its columns are not those of a temperature table.", where=f"{name}, line 1", todo=_TODO
        )
    if len(set(columns)) != len(columns):
        raise ImportFileError("A column stands there twice.", where=f"{name}, line 1", todo=_TODO)
    days: list[date] = []
    table: dict[str, list[float]] = {column: [] for column in ("tmin", "tmax", "rain")}
    for number, cells in lines:
        where = f"{name}, line {number}"
        if len(cells) != len(columns):
            raise ImportFileError(f"It has {len(cells)} cells for {len(columns)} columns.", where=where)
        for column, cell in zip(columns, cells, strict=True):
            if column == "date":
                days.append(_day(cell.strip(), where))
            else:
                quantity, unit = column.split("_")
                table[quantity].append(_value(cell.strip(), unit, f"{where}, {column}"))
    if not days:
        raise ImportFileError("It has no line with a day.", where=name)
    return daily_weather(days, table["tmin"], table["tmax"], table["rain"] or None)


def _lines(content: bytes, name: str) -> Iterator[tuple[int, list[str]]]:
    """Yield the lines that are not empty, with their number in the file."""
    try:
        reader = csv.reader(io.StringIO(content.decode("utf-8-sig"), newline=""), strict=True)
        for cells in reader:
            if cells:
                yield reader.line_num, cells
    except (UnicodeDecodeError, csv.Error) as error:
        raise ImportFileError(f"It is not a CSV file in UTF-8: {error}.", where=name) from error


def _day(cell: str, where: str) -> date:
    try:
        if _ISO_DAY.fullmatch(cell):
            return date.fromisoformat(cell)
    except ValueError:
        pass
    raise ImportFileError(f"{cell!r} is no day.", where=f"{where}, date", todo="Write it like 2026-03-01.")


def _value(cell: str, unit: str, where: str) -> float:
    """Return degrees Celsius or millimetres."""
    try:
        number = float(cell)
    except ValueError:
        number = float("nan")
    if not isfinite(number):
        raise ImportFileError(f"{cell!r} is no number.", where=where, todo="Write it with a decimal point.")
    if unit == "mm":
        return number
    return float(air_temperature_c(fahrenheit_to_celsius(number) if unit == "f" else number, where))
