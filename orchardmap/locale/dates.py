"""Days as each language writes them in a sentence."""

from datetime import date

from orchardmap.locale.catalogue import message, translated

__all__ = ["date_text"]

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
    parts = {
        "day": str(day.day),
        "month": translated(_MONTHS[day.month - 1], language),
        "year": str(day.year),
    }
    return translated(_DAY, language).format(**parts)
