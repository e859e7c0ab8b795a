"""When a paper was made, in words: two prints of one day differ, and the older one is taken down."""

from datetime import datetime

from orchardmap.locale.catalogue import message, translated
from orchardmap.locale.dates import date_text

__all__ = ["made_words"]

_MADE = message("Made with orchardmap on {day} at {time}")


def made_words(at: datetime | None, language: str) -> str:
    """Return when a paper was made.

    Parameters
    ----------
    at : datetime or None
        By the farm's clock; nothing is said without one.
    language : str
        ISO 639-1 code.

    Returns
    -------
    str

    Examples
    --------
    >>> made_words(datetime(2026, 1, 21, 15, 4), "en")
    'Made with orchardmap on 21 January 2026 at 15:04'
    """
    if at is None:
        return ""
    return translated(_MADE, language).format(day=date_text(at.date(), language), time=f"{at:%H:%M}")
