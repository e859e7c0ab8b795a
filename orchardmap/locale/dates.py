"""Days as each language writes them in a sentence."""

from collections.abc import Sequence
from datetime import date, timedelta

from orchardmap.locale.catalogue import message, translated
from orchardmap.locale.numbers import range_text

__all__ = ["date_text", "day_month_text", "days_text", "month_text"]

_MONTHS = (
    message("January"),
    message("February"),
    message("March"),
    message("April"),
    message("May"),
    message("June"),
    message("July"),
    message("August"),
    message("September"),
    message("October"),
    message("November"),
    message("December"),
)
_DAY = message("{day} {month} {year}")
_DAY_MONTH = message("{day} {month}")
_EARLIER = message("{days}, and {number} earlier")


def date_text(day: date, language: str) -> str:
    """Return a day with its month in words, so that nobody reads the month for the day.

    Parameters
    ----------
    day : date
    language : str
        ISO 639-1 code; English where it has no catalogue.

    Returns
    -------
    str

    Examples
    --------
    >>> date_text(date(2026, 3, 1), "en"), date_text(date(2026, 3, 1), "es")
    ('1 March 2026', '1 de marzo de 2026')
    """
    return _in_month(str(day.day), day, language)


def day_month_text(day: date, language: str) -> str:
    """Return a day without its year, where the year is told beside it.

    Returns
    -------
    str

    Examples
    --------
    >>> day_month_text(date(2026, 3, 1), "en"), day_month_text(date(2026, 3, 1), "es")
    ('1 March', '1 de marzo')
    """
    return translated(_DAY_MONTH, language).format(day=day.day, month=month_text(day, language))


def month_text(day: date, language: str) -> str:
    """Return the name of a day's month.

    Returns
    -------
    str

    Examples
    --------
    >>> month_text(date(2026, 3, 1), "es")
    'marzo'
    """
    return translated(_MONTHS[day.month - 1], language)


def _in_month(days: str, day: date, language: str) -> str:
    parts = {
        "day": days,
        "month": month_text(day, language),
        "year": str(day.year),
    }
    return translated(_DAY, language).format(**parts)


def days_text(days: Sequence[date], language: str, *, most: int | None = None) -> str:
    """Return several days, those one after the other as first and last.

    Parameters
    ----------
    days : sequence of date
        In order, none twice.
    language : str
        ISO 639-1 code; English where it has no catalogue.
    most : int, optional
        So many spans of days are named, the latest ones, and how many days there were before.

    Returns
    -------
    str
        Empty for no day.

    Examples
    --------
    >>> days_text([date(2026, 1, 30), date(2026, 1, 31), date(2026, 2, 3)], "en")
    '30 to 31 January 2026, 3 February 2026'
    """
    spans: list[list[date]] = []
    for day in days:
        if spans and day - spans[-1][-1] == timedelta(days=1):
            spans[-1].append(day)
        else:
            spans.append([day])
    left_out = 0 if most is None else max(0, len(spans) - most)
    text = ", ".join(_span_text(span[0], span[-1], language) for span in spans[left_out:])
    if not left_out:
        return text
    number = sum(map(len, spans[:left_out]))
    return translated(_EARLIER, language).format(days=text, number=number)


def _span_text(first: date, last: date, language: str) -> str:
    if (first.year, first.month) == (last.year, last.month):
        return _in_month(range_text(str(first.day), str(last.day), language), first, language)
    return range_text(date_text(first, language), date_text(last, language), language)
