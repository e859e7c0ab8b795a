"""Is it vouched for who made a record? A tablet's word counts for whoever held it, by a PIN, when the record was made."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

__all__ = ["Holding", "held"]

_SLACK = timedelta(minutes=5)
"""A device's clock drifts, and a record made while the tablet changes hands is nobody's fraud."""


@dataclass(frozen=True, slots=True)
class Holding:
    """A person held a tablet; by the server's clock, for a PIN is checked there."""

    person_id: str
    since: datetime
    until: datetime | None = None
    """None while it is held."""


def held(holdings: Iterable[Holding], person_id: str, at: datetime) -> bool:
    """Tell whether a person held the tablet at a moment.

    Parameters
    ----------
    holdings : iterable of Holding
        Of that tablet, in any order.
    person_id : str
        Whom a record names.
    at : datetime with time zone
        When the record was made, corrected for the device's clock.

    Returns
    -------
    bool

    Examples
    --------
    >>> from datetime import UTC
    >>> noon = datetime(2026, 1, 20, 12, tzinfo=UTC)
    >>> morning = Holding("gwen", noon - timedelta(hours=4), noon)
    >>> held([morning], "gwen", noon - timedelta(hours=1)), held([morning], "gwen", noon + timedelta(hours=1))
    (True, False)
    """
    return any(
        one.person_id == person_id
        and one.since - _SLACK <= at
        and (one.until is None or at <= one.until + _SLACK)
        for one in holdings
    )
