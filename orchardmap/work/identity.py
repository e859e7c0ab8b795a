"""What makes two records the same: id and content. And what day a record with a wrong clock belongs to."""

import hashlib
import json
from dataclasses import fields
from datetime import UTC, date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from orchardmap.model.check import Check
from orchardmap.model.tree_count import TreeCount
from orchardmap.model.work import CrewDay, Mark, Withdrawal

__all__ = ["content_hash", "corrected_at", "corrected_day"]


_LATER = frozenset({"extra", "brief_id", "brief_version", "lot_id", "findings", "second", "not_judged"})
"""Fields that came after records were first hashed."""
_HARMLESS_SKEW = timedelta(minutes=5)


def content_hash(record: Mark | Withdrawal | Check | CrewDay | TreeCount) -> str:
    """Return the SHA-256 of a record's content, in hexadecimal.

    Parameters
    ----------
    record : Mark, Withdrawal, Check, CrewDay or TreeCount
        As the device sent it, before any correction.

    Returns
    -------
    str
        64 hexadecimal digits; equal for records that say the same, whatever the time zone that a
        moment was written in. What a tablet said beyond the known fields counts where there is any, and so
        do a check's brief, lot, findings and why it judged nothing: a record without them keeps the hash that it had before there
        were such things.
    """
    content = {f.name: _plain(getattr(record, f.name)) for f in fields(record)}
    content = {name: value for name, value in content.items() if name not in _LATER or value is not None}
    return hashlib.sha256(json.dumps(content, sort_keys=True, ensure_ascii=True).encode()).hexdigest()


def _plain(value: Any) -> Any:  # noqa: ANN401 - any field of a record
    if isinstance(value, datetime):
        return value.astimezone(UTC).isoformat()
    return value.isoformat() if isinstance(value, date) else value


def corrected_at(device_at: datetime, sent_at: datetime, received_at: datetime) -> datetime:
    """Return the true moment of a record whose device clock runs steadily but wrong.

    Parameters
    ----------
    device_at, sent_at : datetime with time zone
        The device's clock when the record was made and when it was sent.
    received_at : datetime with time zone
        The server's clock when it arrived.

    Returns
    -------
    datetime
        ``received_at - (sent_at - device_at)``, or ``received_at`` where that cannot be represented, or would be later:
        nothing is made after it arrives, so such a clock was put back in between.
    """
    try:
        return min(received_at - (sent_at - device_at), received_at)
    except OverflowError:
        return received_at


def corrected_day(day: date, device_at: datetime, true_at: datetime, *, zone: ZoneInfo, today: date) -> date:
    """Return the day worked, shifted by as many days as the device's calendar was wrong.

    A clock that is off by five minutes or less moves no day; only its own today is never taken for tomorrow.

    Parameters
    ----------
    day : date
        As recorded: the device's today, or a day picked from its calendar.
    device_at, true_at : datetime with time zone
        The device's clock when the record was made, and the true moment (`corrected_at`).
    zone : ZoneInfo
        The farm's own time zone.
    today : date
        There, when the record arrives.

    Returns
    -------
    date

    Examples
    --------
    A tablet whose clock is ten days behind:

    >>> from datetime import UTC
    >>> utc = ZoneInfo("UTC")
    >>> said, true = datetime(2026, 1, 5, 9, tzinfo=UTC), datetime(2026, 1, 15, 9, tzinfo=UTC)
    >>> corrected_day(date(2026, 1, 5), said, true, zone=utc, today=date(2026, 1, 15))
    datetime.date(2026, 1, 15)
    """
    device_today = device_at.astimezone(zone).date()
    if abs(true_at - device_at) > _HARMLESS_SKEW:
        return day + (true_at.astimezone(zone).date() - device_today)
    return min(day, today) if day == device_today else day
