"""Say whether work was done while a block was closed."""

from collections.abc import Sequence
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from orchardmap.model.season import Closure

__all__ = ["is_inside_closure"]


def is_inside_closure(
    block_id: str, day: date, true_at: datetime, *, closures: Sequence[Closure], zone: ZoneInfo
) -> bool:
    """Tell whether the work was done inside a closure."""
    # a mark made on the day it speaks of counts by its own moment; one entered on a later day only
    # when the block was closed all that day, for nobody knows the hour
    for closure in closures:
        if closure.block_id != block_id:
            continue
        if true_at.astimezone(zone).date() == day:
            if closure.holds(true_at):
                return True
            continue
        midnight = datetime.combine(day, time(), tzinfo=zone)
        next_midnight = datetime.combine(day + timedelta(days=1), time(), tzinfo=zone)
        if closure.starts_at <= midnight and closure.ends_at >= next_midnight:
            return True
    return False
