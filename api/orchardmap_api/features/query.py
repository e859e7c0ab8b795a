"""What a request for features asks: read strictly, for the standard wants 400 for whatever is malformed or not known.

Source: OGC 17-069r4, 7.15 (limit, bbox, datetime) and 7.8 (parameters that are not known or not valid); RFC 3339, 5.6, for moments.
"""

import math
import re
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from orchardmap.errors import ParameterError

__all__ = [
    "DEFAULT_LIMIT", "MOST", "PARAMETERS", "Asked", "Box", "Days", "as_of", "asked_of", "box_of", "days_of", "limit_of", "only_known", "when_of",
]  # fmt: skip

Box = tuple[float, float, float, float]
"""West, south, east, north in degrees, WGS 84; west above east crosses the antimeridian."""
Moment = date | datetime
"""A whole day of the farm's own zone, or a moment with its offset."""
When = tuple[Moment | None, Moment | None]
"""First and last moment; None is open. An instant is both."""
Days = tuple[date | None, date | None]
"""First and last day of the farm's own zone; None is open."""

MOST, DEFAULT_LIMIT = 10_000, 1_000
"""Features of one page: at most, and where nothing is said."""
PARAMETERS = ("bbox", "datetime", "block", "limit", "after")
_BOX = {"where": "bbox", "todo": "Give west,south,east,north in degrees, WGS 84."}
_TIMES = {
    "where": "datetime",
    "todo": "Give a day such as 2026-01-20, a moment such as 2026-01-20T12:00:00Z (a plus sign as %2B), or two of them with a slash "
    "between; .. leaves an end open.",
}
_DATE = r"\d{4}-\d\d-\d\d"
_DAY = re.compile(rf"{_DATE}T?", re.ASCII)  # GDAL (3.12) writes a day with its T and no time behind it
_TIME = re.compile(rf"{_DATE}[Tt]\d\d:\d\d:\d\d(\.\d+)?([Zz]|[+-]\d\d:\d\d)", re.ASCII)
_NUMBER = re.compile(r"\s*[+-]?(\d+(\.\d*)?|\.\d+)([Ee][+-]?\d+)?\s*", re.ASCII)


@dataclass(frozen=True, slots=True)
class Asked:
    """What a page of features is asked for."""

    box: Box | None = None
    when: When | None = None
    block: str | None = None
    """Code of a block."""
    limit: int = DEFAULT_LIMIT
    after: str | None = None


def asked_of(said: Sequence[tuple[str, str]], known: Collection[str] = PARAMETERS) -> Asked:
    """Return what the parameters of a request for items ask.

    Parameters
    ----------
    said : sequence of (str, str)
        Name and value, decoded, as they came.
    known : collection of str
        Those of `PARAMETERS` that the collection takes.

    Returns
    -------
    Asked

    Raises
    ------
    ParameterError
        If one of them is not known, is said twice or cannot be used.
    """
    values = only_known(said, known)
    return Asked(
        box_of(values["bbox"]) if "bbox" in values else None,
        when_of(values["datetime"]) if "datetime" in values else None,
        values.get("block"),
        limit_of(values["limit"]) if "limit" in values else DEFAULT_LIMIT,
        values.get("after"),
    )


def only_known(said: Sequence[tuple[str, str]], known: Collection[str]) -> Mapping[str, str]:
    """Return the values by name.

    Raises
    ------
    ParameterError
        If a name is not known (17-069r4, requirement query-param-unknown), or said twice.
    """
    values = dict(said)
    for name, _ in said:
        if name not in known:
            todo = f"Known here: {', '.join(known)}." if known else "Nothing can be asked for here."
            raise ParameterError("there is no such parameter", where=_short(name), todo=todo)
    if len(values) < len(said):
        raise ParameterError(
            "a parameter is said twice", where=", ".join(sorted(values)), todo="Say it once."
        )
    return values


def _short(text: str) -> str:
    return text[:60].encode("utf-8", "replace").decode()


def box_of(text: str) -> Box:
    """Return the box of a ``bbox``: four numbers, or six of which the third and the last are heights and tell nothing of a flat geometry.

    Raises
    ------
    ParameterError
        If it is not such numbers, or not on the globe.
    """
    parts = text.split(",")
    if len(parts) not in (4, 6) or not all(_NUMBER.fullmatch(part) for part in parts):
        raise ParameterError("a box is four numbers, or six with heights", **_BOX)
    numbers = [float(part) for part in parts]
    if len(numbers) == 6:
        bottom, top = numbers.pop(2), numbers.pop(4)
        if not (math.isfinite(bottom) and math.isfinite(top) and bottom <= top):
            raise ParameterError("the box ends below its bottom", **_BOX)
    west, south, east, north = numbers
    if not (-180 <= west <= 180 and -180 <= east <= 180 and -90 <= south <= 90 and -90 <= north <= 90):
        raise ParameterError("the box is not on the globe", **_BOX)
    if south > north:
        raise ParameterError("the box ends south of where it begins", **_BOX)
    return west, south, east, north


def limit_of(text: str) -> int:
    """Return how many features a page may have: more than `MOST` is that many (17-069r4, requirement fc-limit-response-1).

    Raises
    ------
    ParameterError
        If it is no whole number from 1.
    """
    if not (text.isascii() and text.isdigit()) or not text.strip("0"):
        raise ParameterError("that is no number of features", where="limit", todo=f"Give 1 to {MOST}.")
    return MOST if len(text.lstrip("0")) > len(str(MOST)) else min(int(text), MOST)


def when_of(text: str) -> When:
    """Return the first and last moment of a ``datetime``: a moment, ``from/to``, ``from/..`` or ``../to``; a day stands for all its hours.

    Raises
    ------
    ParameterError
        If it is nothing of that, or ends before it begins.
    """
    parts = text.split("/")
    if len(parts) == 1:
        moment = _moment(text)
        return moment, moment
    if len(parts) != 2 or all(part in ("", "..") for part in parts):
        raise ParameterError("that is no moment and no interval", **_TIMES)
    first, last = (None if part in ("", "..") else _moment(part) for part in parts)
    if first is not None and last is not None and _is_after(first, last):
        raise ParameterError("the interval ends before it begins", **_TIMES)
    return first, last


def _moment(text: str) -> Moment:
    # RFC 3339 has a year 0, a leap year, and QGIS asks from its beginning; Python's first one is 1
    is_year_0 = text.startswith("0000-")
    said = f"0004{text[4:]}" if is_year_0 else text
    # nor does it know a leap second, which RFC 3339 allows
    said = re.sub(r"(?<=:59:)60(?=[.Zz+-])", "59", said)
    try:
        if _DAY.fullmatch(said):
            day = date.fromisoformat(said[:10])
            return date.min if is_year_0 else day
        if _TIME.fullmatch(said):
            moment = datetime.fromisoformat(said.upper())
            return datetime.min.replace(tzinfo=moment.tzinfo) if is_year_0 else moment
    except ValueError:
        pass
    raise ParameterError("that is no moment and no interval", **_TIMES)


def _is_after(first: Moment, last: Moment) -> bool:
    """Tell whether one ends before the other; of a day and a moment only the farm's zone could tell, within a day."""
    if isinstance(first, datetime) and isinstance(last, datetime):
        return first > last
    return first.timetuple()[:3] > last.timetuple()[:3]


def days_of(when: When, zone: ZoneInfo) -> Days:
    """Return the days of a zone that moments lie on."""
    first, last = (_day(moment, zone) for moment in when)
    return first, last


def _day(moment: Moment | None, zone: ZoneInfo) -> date | None:
    if not isinstance(moment, datetime):
        return moment
    try:
        return moment.astimezone(zone).date()
    except OverflowError:  # within a day of the first or last that Python knows
        return moment.date()


def as_of(days: Days, today: date) -> Days | None:
    """Return the first day asked about and the day that is looked at, which is None for today; None where nothing of it is known yet.

    Parameters
    ----------
    days : (date or None, date or None)
        First and last day; None is open.
    today : date
        In the farm's zone.

    Returns
    -------
    (date or None, date or None) or None
    """
    first, last = days
    if first is not None and first > today:
        return None
    return first, None if last is None or last >= today else last
