"""Where a forecast runs out of people: a season that nobody is entered for does not end."""

from typing import Any

import numpy as np

from orchardmap.planning.queues import QueueFinish
from orchardmap.planning.season import Season

__all__ = ["people_end"]


def people_end(season: Season, found: QueueFinish, *, left: int, certainty: float) -> dict[str, Any] | None:
    """Return the last day on which any crew has people, where it ends there and not for want of pace.

    Parameters
    ----------
    season : Season
        That was reckoned with.
    found : QueueFinish
        What came of it.
    left : int
        Trees that were left on the evening before.
    certainty : float
        Nothing is told where so many of the seasons are finished, 0 to 1.

    Returns
    -------
    dict or None
        ``day`` is null where no day ahead has anybody; ``trees`` are those that likely stay.
    """
    days = found.farm.days
    there = np.flatnonzero(season.people_on(days).sum(axis=1) > 0)
    ends = not there.size or there[-1] < len(days) - 1
    if not ends or found.farm.day(certainty) is not None:
        return None
    if not there.size:
        return {"day": None, "trees": left}
    last = int(there[-1])
    likely = float(found.pruned[min(last, len(found.pruned) - 1), 1])
    return {"day": days[last].item().isoformat(), "trees": max(0, round(left - likely))}
