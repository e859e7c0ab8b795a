"""Which denials the audit log is told of: all that tell something new, and never so many that they fill it."""

from dataclasses import dataclass, field
from datetime import datetime, timedelta

__all__ = ["MOST_AN_HOUR", "Denials"]

MOST_AN_HOUR = 50
"""Of one account or tablet; whoever lost a role could ask for ever new ids."""
_SAME_AGAIN = timedelta(minutes=10)
"""A revoked tablet with a full queue asks each minute, all day."""


@dataclass
class _Hour:
    begun: datetime
    told: int = 0
    last: dict[tuple[str, ...], datetime] = field(default_factory=dict)
    """What was denied -> when it was told last."""


class Denials:
    """Keeps, for each of those who are known, what was told of them lately and how much was left out."""

    def __init__(self) -> None:
        self._hours: dict[str, _Hour] = {}
        self._left_out: dict[str, int] = {}

    def to_tell(self, actor: str, what: tuple[str, ...], now: datetime) -> int | None:
        """Return None where a denial is only counted, else how many were only counted since the last one told.

        Parameters
        ----------
        actor : str
            Who was denied, as the audit log names them.
        what : tuple of str
            What was denied.
        now : datetime with time zone
            The service's clock.

        Returns
        -------
        int or None
        """
        hour = self._hours.get(actor)
        if hour is None or hour.begun + timedelta(hours=1) <= now:
            hour = self._hours[actor] = _Hour(now)
        is_again = what in hour.last and hour.last[what] + _SAME_AGAIN > now
        if is_again or hour.told >= MOST_AN_HOUR:
            self._left_out[actor] = self._left_out.get(actor, 0) + 1
            return None
        hour.told += 1
        hour.last[what] = now
        return self._left_out.pop(actor, 0)
